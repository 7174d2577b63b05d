// What answers and facts have in common when they are written: their body as an event, the facts they state, the heat they show.
// Whether an answer is allowed is decide.ts.
import type { CommandOf } from '../contract/index.ts'
import { HOT_WATER_DEGC, hottestOf } from '../safety/tub.ts'
import type { Answer, Meaning, StatedFact } from './answer.ts'
import { push } from './draft.ts'
import type { Draft } from './draft.ts'

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
  const before = draft.state.facts[fact.slug]
  if (fact.value === null && before === undefined) return
  push(draft, 'fact-stated', {
    slug: fact.slug,
    value: fact.value,
    source,
    ...(fact.typed === undefined ? {} : { typed: fact.typed }),
    ...(key === undefined ? {} : { key }),
  })
}

/** Water far above the bathing limit is a standing hazard from the moment it is read. */
export function noteHotWater(draft: Draft, meaning: Meaning): void {
  const hottest = hottestOf(meaning.readings)
  if (hottest !== undefined && hottest >= HOT_WATER_DEGC && draft.state.tub.hazards['hot-water'] === undefined) {
    push(draft, 'hazard-seen', { hazard: 'hot-water' })
  }
}
