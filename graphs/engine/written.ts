// What answers and facts have in common when they are written: their body as an event, the facts they state, the heat they show.
// Whether an answer is allowed is decide.ts.
import type { CommandOf } from '../contract/index.ts'
import { HOT_WATER_DEGC, hottestOf } from '../safety/tub.ts'
import type { Answer, Meaning, StatedFact } from './answer.ts'
import { push } from './draft.ts'
import type { Draft } from './draft.ts'
import { own } from './lookup.ts'
import { isOutsider } from './offer.ts'

export function bodyOf(meaning: Meaning, given: Answer) {
  const { outcome, reason, readings, form, verdict } = meaning
  return {
    outcome,
    ...(reason === undefined ? {} : { reason }),
    ...(readings === undefined ? {} : { readings }),
    ...(form === undefined ? {} : { form }),
    ...(verdict === undefined ? {} : { verdict }),
    ...(given.words === undefined || given.words === '' ? {} : { words: given.words }),
  }
}

export function pushFact(draft: Draft, fact: StatedFact, source: CommandOf<'state-fact'>['source'], key?: string): void {
  const before = own(draft.state.facts, fact.slug)
  if (fact.value === null && before === undefined) return
  if (outranked(draft, fact.slug)) return
  // Other conductors, other pairs: a proof of the old ones says nothing about them.
  if (fact.slug === 'supply-profile' && before?.value !== fact.value && draft.state.tub.proofs.length > 0)
    push(draft, 'proof-lapsed', { reason: 'withdrawn' })
  push(draft, 'fact-stated', {
    slug: fact.slug,
    value: fact.value,
    source,
    ...(fact.typed === undefined ? {} : { typed: fact.typed }),
    ...(key === undefined ? {} : { key }),
  })
}

/** What somebody of the trade wrote down is not overruled, nor taken back, by whoever only tells. */
export function outranked(draft: Draft, fact: string): boolean {
  const before = own(draft.state.facts, fact)
  return before !== undefined && isOutsider(draft.envelope.role) && !isOutsider(before.role) && fact !== 'units'
}

/** Water far above the bathing limit is a standing hazard from the moment it is read. */
export function noteHotWater(draft: Draft, meaning: Meaning): void {
  const hottest = hottestOf(meaning.readings)
  if (hottest !== undefined && hottest >= HOT_WATER_DEGC && draft.state.tub.hazards['hot-water'] === undefined) {
    push(draft, 'hazard-seen', { hazard: 'hot-water' })
  }
}
