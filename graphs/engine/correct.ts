// Corrections: a changed answer, one taken back, a fact learnt later, a wrong statement about the tub mended. The path follows; the tub only gets less safe.
// First answers are decide.ts.
import type { CommandOf } from '../contract/index.ts'
import type { Effect } from '../edition/compiled.ts'
import { isSafer } from '../safety/undo.ts'
import { judgedAgain, meaningOf, statedFact, stored } from './answer.ts'
import type { StatedFact } from './answer.ts'
import { push, refuse } from './draft.ts'
import type { Draft } from './draft.ts'
import { applyEffects, mendEffects, power } from './effects.ts'
import { isHeld, lastByHand, personOf } from './offer.ts'
import { endOfKey } from './place.ts'
import { bodyOf, noteHotWater, pushFact } from './written.ts'

/** A past answer is corrected: the path is walked anew, the tub is not. */
export function change(draft: Draft, command: CommandOf<'change'>): void {
  const entry = draft.state.path.entries[command.key]
  const person = personOf(draft.state, draft.envelope.person)
  const { block, step: stepId } = endOfKey(command.key)
  const step = draft.edition.blocks[block]?.steps[stepId]
  if (
    entry === undefined ||
    step === undefined ||
    person === undefined ||
    entry.auto !== undefined ||
    !draft.state.path.trail.includes(command.key)
  ) {
    return refuse(draft, { code: 'JOB_PLACE_GONE', message: 'That answer no longer stands. Look at the log and change one that does.' })
  }
  if (!step.who.includes(person.role))
    return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: `This answer is changed by: ${step.who.join(', ')}.` })
  if (person.role === 'homeowner' && draft.state.people[entry.person]?.role === 'technician') {
    return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: 'A technician gave this answer, and changes it.' })
  }
  if (isHeld(step) && draft.state.tub.holder !== undefined && draft.state.tub.holder.person !== person.id) {
    return refuse(draft, { code: 'JOB_NOT_HOLDER', message: 'Another phone holds the tub. Take it over, said aloud, or wait.' })
  }
  const meaning = meaningOf(draft.edition, draft.state, step, person.id, command, draft.now, command.key)
  if (!meaning.ok) return refuse(draft, meaning.problem)
  const before = step.outcomes[entry.outcome]
  const after = step.outcomes[meaning.value.outcome]
  if (after === undefined) return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'This step does not offer that answer.' })
  push(draft, 'answer-changed', { key: command.key, step: step.id, ...bodyOf(meaning.value, command) })
  if (before !== undefined && meaning.value.outcome !== entry.outcome) {
    mendEffects(draft, before, entry.person)
    const worse = (after.effects ?? []).filter((effect: Effect) => !isSafer(effect))
    applyEffects(draft, { ...after, effects: worse }, command.key, [])
  }
  for (const fact of meaning.value.facts) changeFact(draft, fact, command.key)
  noteHotWater(draft, meaning.value)
}

function changeFact(draft: Draft, fact: StatedFact, key: string): void {
  pushFact(draft, fact, 'told', key)
  reviseVerdicts(draft, fact.slug)
}

/** The last answer of a person is taken back; the tub keeps what was done to it. */
export function undo(draft: Draft): void {
  const { path } = draft.state
  const key = lastByHand(draft.state)
  const entry = key === undefined ? undefined : path.entries[key]
  if (key === undefined || entry === undefined)
    return refuse(draft, { code: 'JOB_NOTHING_TO_UNDO', message: 'There is no answer to take back.' })
  const { block, step: stepId } = endOfKey(key)
  const step = draft.edition.blocks[block]?.steps[stepId]
  const person = personOf(draft.state, draft.envelope.person)
  if (step === undefined || person === undefined || !step.who.includes(person.role)) {
    return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: 'The last answer was given by someone else. They take it back.' })
  }
  push(draft, 'answer-withdrawn', { key })
  const outcome = step.outcomes[entry.outcome]
  if (outcome !== undefined) mendEffects(draft, outcome, entry.person)
}

export function stateFact(draft: Draft, command: CommandOf<'state-fact'>): void {
  const fact = statedFact(command.slug, command.value)
  if (!fact.ok) return refuse(draft, fact.problem)
  pushFact(draft, fact.value, command.source)
  reviseVerdicts(draft, command.slug)
}

/** A fact learnt later: every standing verdict that used it is judged again; a moved outcome counts as a changed answer. */
function reviseVerdicts(draft: Draft, fact: string): void {
  const keys = draft.state.path.trail
  for (const key of keys) {
    const entry = draft.state.path.entries[key]
    const { block, step: stepId } = endOfKey(key)
    const step = draft.edition.blocks[block]?.steps[stepId]
    if (entry?.verdict === undefined || entry.readings === undefined || step === undefined || !entry.verdict.uses.includes(fact)) continue
    const verdict = judgedAgain(draft.state, step, entry.readings)
    if (!verdict.ok) continue
    const next = stored(verdict.value)
    if (JSON.stringify(next) !== JSON.stringify(entry.verdict))
      push(draft, 'verdict-revised', { key, outcome: next.outcome, verdict: next, fact })
  }
}

/** A wrong statement about the tub is mended by a new one, and only towards less safe. */
export function mend(draft: Draft, command: CommandOf<'mend'>): void {
  const person = draft.envelope.person
  switch (command.what) {
    case 'power-is-on':
      return power(draft, 'on')
    case 'cover-is-off':
      return push(draft, 'covered', { to: 'off' })
    case 'proof-is-gone':
      return draft.state.tub.proofs.length > 0 ? push(draft, 'proof-lapsed', { reason: 'withdrawn' }) : undefined
    case 'lock-is-off':
      if (draft.state.tub.proofs.length > 0) push(draft, 'proof-lapsed', { reason: 'lock-off' })
      return push(draft, 'lock-taken', { owner: person })
    default:
      if (command.hazard === undefined) return refuse(draft, { code: 'JOB_ANSWER_INCOMPLETE', message: 'Name the hazard.', path: 'hazard' })
      return push(draft, 'hazard-seen', { hazard: command.hazard })
  }
}
