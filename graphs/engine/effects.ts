// What an outcome does to the tub, as events; and the mends of an answer taken back, which can only make the tub less safe.
// Path effects (flags, constants) are the walk's.
import type { EventBodies } from '../contract/index.ts'
import type { Effect, HandPlace, Outcome } from '../edition/compiled.ts'
import { push } from './draft.ts'
import type { Draft } from './draft.ts'
import { endOfKey } from './place.ts'

/**
 * Writes an answer and all that it brings about: its own effects, then those of every call and procedure it led out of.
 * Tub effects on the arrows of decide and call steps are the edition's own words and count like a person's.
 */
export function writeAnswer(
  draft: Draft,
  body: EventBodies['answer-given'],
  outcome: Outcome | undefined,
  places: readonly HandPlace[],
): void {
  push(draft, 'answer-given', body)
  const passed = draft.state.path.passed
  if (outcome !== undefined) applyEffects(draft, outcome, body.key, places)
  for (const one of passed) {
    // The path may leap over answers that were given before a correction: what those brought about was brought about then.
    if (one.from !== body.key) continue
    if ('put' in one) {
      if (one.put.cause === 'leave') push(draft, 'person-left', { person: one.put.person, reason: 'handed-over' })
      continue
    }
    const { block, step } = endOfKey(one.key)
    const arrow = draft.edition.blocks[block]?.steps[step]?.outcomes[one.outcome]
    if (arrow !== undefined) applyEffects(draft, arrow, one.key, [])
  }
}

/** Writes the effects of an answer. `places` are those that were to be proved when the answer was given. */
export function applyEffects(draft: Draft, outcome: Outcome, key: string, places: readonly HandPlace[]): void {
  for (const effect of outcome.effects ?? []) applyEffect(draft, effect, key, places)
}

function applyEffect(draft: Draft, effect: Effect, key: string, places: readonly HandPlace[]): void {
  const person = draft.envelope.person
  switch (effect.do) {
    case 'energy':
      return power(draft, effect.to, key)
    case 'covers':
      return push(draft, 'covered', { to: effect.to, key })
    case 'lock':
      return push(draft, 'lock-put', { owner: effect.owner === 'own' ? person : 'shop', point: 'disconnect' })
    case 'unlock':
      return effect.owner === 'others' ? unlockOthers(draft) : unlock(draft, effect.owner === 'own' ? person : 'shop')
    case 'proof':
      return push(draft, 'proof-made', { prover: person, places: [...places], witnesses: witnesses(draft) })
    case 'leads':
      return push(draft, 'leads-set', { to: effect.to })
    case 'part-out':
      return push(draft, 'part-removed', { part: effect.part })
    case 'part-in':
      return push(draft, 'part-fitted', { part: effect.part, trial: false })
    case 'hazard':
      return draft.state.tub.hazards[effect.hazard] === undefined ? push(draft, 'hazard-seen', { hazard: effect.hazard }) : undefined
    case 'clear-hazard':
      return draft.state.tub.hazards[effect.hazard] === undefined
        ? undefined
        : push(draft, 'hazard-cleared', { hazard: effect.hazard, how: 'step' })
    case 'reset':
      return push(draft, 'reset-used', { role: draft.envelope.role })
    case 'gfci':
      return push(draft, 'gfci-tested', { result: effect.result })
    case 'water-clear':
      return push(draft, 'water-cleared', { key })
    case 'mark':
      return push(draft, 'marked', { mark: effect.mark })
    case 'unmark':
      return draft.state.tub.marks[effect.mark] === undefined ? undefined : push(draft, 'unmarked', { mark: effect.mark })
    case 'fact':
      return push(draft, 'fact-stated', { slug: effect.slug, value: effect.value, source: 'told', key })
    case 'approve':
      return push(draft, 'approval-given', { what: effect.what })
    default:
      return undefined
  }
}

/** Power on ends every proof; the same event order on phone and server. */
export function power(draft: Draft, to: 'on' | 'off' | 'unknown', key?: string): void {
  if (to !== 'off' && draft.state.tub.proofs.length > 0) push(draft, 'proof-lapsed', { reason: 'energized' })
  push(draft, 'powered', { to, ...(key === undefined ? {} : { key }) })
}

function unlock(draft: Draft, owner: string): void {
  const { locks, proofs } = draft.state.tub
  if (!locks.some((lock) => lock.owner === owner)) return
  if (proofs.some((proof) => proof.prover === owner)) push(draft, 'proof-lapsed', { reason: 'lock-off' })
  push(draft, 'lock-taken', { owner })
}

/** Said by the person at the tub: the others took their own locks off, or a lead ordered it on record. */
function unlockOthers(draft: Draft): void {
  const { person } = draft.envelope
  for (const { owner } of draft.state.tub.locks) {
    if (owner === 'shop' || owner === person) continue
    if (draft.state.tub.proofs.some((proof) => proof.prover === owner)) push(draft, 'proof-lapsed', { reason: 'lock-off' })
    push(draft, 'lock-taken', { owner, by_order_of: person })
  }
}

/** Others at the tub with their own lock on watch the proof. */
function witnesses(draft: Draft): string[] {
  const { onSite, locks } = draft.state.tub
  return onSite.filter((person) => person !== draft.envelope.person && locks.some((lock) => lock.owner === person))
}

/**
 * An answer was taken back: whatever it said that made the tub safer is no longer believed.
 * What made it less safe stays: the tub is never made safer by a change of mind.
 */
export function mendEffects(draft: Draft, outcome: Outcome, person: string): void {
  for (const effect of outcome.effects ?? []) {
    switch (effect.do) {
      case 'energy':
        if (effect.to === 'off') power(draft, 'unknown')
        break
      case 'covers':
        if (effect.to === 'on') push(draft, 'covered', { to: 'off' })
        break
      case 'lock':
        takeLockBack(draft, effect.owner === 'own' ? person : 'shop')
        break
      case 'proof':
        if (draft.state.tub.proofs.length > 0) push(draft, 'proof-lapsed', { reason: 'withdrawn' })
        break
      case 'leads':
        if (effect.to === 'capped') push(draft, 'leads-set', { to: 'on' })
        break
      case 'gfci':
        if (effect.result === 'passed') push(draft, 'unmarked', { mark: 'gfci' })
        break
      case 'water-clear':
        push(draft, 'unmarked', { mark: 'water-clear' })
        break
      case 'mark':
        unmark(draft, effect.mark)
        break
      case 'clear-hazard':
        push(draft, 'hazard-seen', { hazard: effect.hazard })
        break
      default:
    }
  }
}

/** Marks that a cleared hazard rests on: when one goes, the hazard stands again. */
const RESTS_ON: { readonly [hazard: string]: readonly string[] } = {
  'heat-without-demand': ['heat-path-repaired', 'heat-off-held'],
  'hot-water': ['cause-repaired', 'heat-off-held'],
}

function unmark(draft: Draft, mark: string): void {
  const { marks, cleared, hazards } = draft.state.tub
  if (marks[mark] === undefined) return
  push(draft, 'unmarked', { mark })
  for (const [hazard, rests] of Object.entries(RESTS_ON)) {
    const wasCleared = cleared.some((one) => one.hazard === hazard && one.how === 'step')
    if (wasCleared && rests.includes(mark) && hazards[hazard] === undefined) push(draft, 'hazard-seen', { hazard })
  }
}

/** A lock that was said to be on and is not: proofs under it end with it. */
function takeLockBack(draft: Draft, owner: string): void {
  if (draft.state.tub.proofs.length > 0) push(draft, 'proof-lapsed', { reason: 'withdrawn' })
  if (!draft.state.tub.locks.some((lock) => lock.owner === owner)) return
  push(draft, 'lock-taken', owner === draft.envelope.person || owner === 'shop' ? { owner } : { owner, by_order_of: draft.envelope.person })
}
