// What a command brings about: checked, computed, written as events. Phone and server run this same code and get the same events.
// Believing events is evolve.ts; coming to rest is settle.ts; corrections, people and interruptions have their own files.
import type { Command, CommandOf, Envelope } from '../contract/index.ts'
import type { Edition, Outcome } from '../edition/compiled.ts'
import { invariant } from '../result.ts'
import type { Problem, Result } from '../result.ts'
import { WATER_CLEAR_MINUTES } from '../safety/power.ts'
import type { Proof } from '../safety/tub.ts'
import { meaningOf } from './answer.ts'
import type { Answer, Meaning } from './answer.ts'
import { carryOver, carryRefusal } from './carry.ts'
import { change, stateFact, undo } from './correct.ts'
import { createDraft, finished, push, refuse } from './draft.ts'
import type { Decided, Draft } from './draft.ts'
import { writeAnswer } from './effects.ts'
import type { Evolve } from './evolve.ts'
import { redFlag, stop, takeTest } from './interrupt.ts'
import { own } from './lookup.ts'
import { clearHazard, mend } from './mend.ts'
import { goesOtherwise, here, isHeldByOther, personOf, refusal, safetyRefusal } from './offer.ts'
import type { Here, Person } from './offer.ts'
import { people } from './people.ts'
import { placesMeasured } from './proof.ts'
import { settle } from './settle.ts'
import type { JobState } from './state.ts'
import type { Walker } from './walk.ts'
import { bodyOf, noteHotWater, pushFact } from './written.ts'

/** A pause longer than this ends the proof of dead, minutes: the shop's limit, common practice, no source. */
export const PAUSE_LIMIT_MINUTES = 60

export type Decide = (state: JobState, envelope: Envelope, now: number) => Result<Decided>

export function createDecide(house: { readonly edition: Edition; readonly evolve: Evolve; readonly walker: Walker }): Decide {
  return (state, envelope, now) => {
    invariant(state.edition === house.edition.number || envelope.command.type === 'carry-over', 'a job is decided on its own edition')
    const draft = createDraft(house, state, envelope, now)
    const problem = mayCommand(house.edition, state, envelope)
    if (problem !== undefined) return { ok: false, problem }
    timePasses(draft)
    carryOut(draft, envelope.command)
    if (draft.refused === undefined) settle(draft)
    return finished(draft)
  }
}

/** What time has brought about since the last event. */
export function isDue(edition: Edition, state: JobState, now: number): boolean {
  return isPaused(state, now) || isClearStale(edition, state, now)
}

/** Somebody who works under a proof has been away too long. What others write from afar is no sign of them. */
function isPaused({ tub, seen }: JobState, now: number): boolean {
  const lastSeen = (proof: Proof) => Math.max(proof.at, ...[proof.prover, ...proof.witnesses].map((person) => own(seen, person) ?? 0))
  return tub.proofs.some((proof) => now - lastSeen(proof) > PAUSE_LIMIT_MINUTES * 60_000)
}

/** The step that starts something was left standing, beyond its own minutes and a pause: somebody may have come to the water. */
function isClearStale(edition: Edition, state: JobState, now: number): boolean {
  const { clear } = state.tub
  if (clear === undefined || state.ended !== undefined) return false
  const step = here(edition, state)?.step
  return step?.starts !== undefined && now - clear.at > (WATER_CLEAR_MINUTES + PAUSE_LIMIT_MINUTES + 2 * step.minutes) * 60_000
}

function timePasses(draft: Draft): void {
  if (isPaused(draft.state, draft.now)) push(draft, 'proof-lapsed', { reason: 'paused', limit_minutes: PAUSE_LIMIT_MINUTES })
  // An answer says that it was done meanwhile; whoever only looks at the step again is asked anew.
  if (draft.envelope.command.type !== 'answer' && isClearStale(draft.edition, draft.state, draft.now))
    push(draft, 'unmarked', { mark: 'water-clear' })
}

const AFTER_THE_END = new Set<Command['type']>([
  'join',
  'arrive',
  'confirm-outcome',
  'undo',
  'wake',
  'note-photo',
  'mend',
  'clear-hazard',
  'red-flag',
])

function mayCommand(edition: Edition, state: JobState, envelope: Envelope): Problem | undefined {
  const { command } = envelope
  if (command.type !== 'join' && personOf(state, envelope.person) === undefined) {
    return { code: 'JOB_NOT_JOINED', message: 'Join this job first: say who you are.', details: { person: envelope.person } }
  }
  // Whoever comes back comes back in the same role: locks, answers and sign-offs hang on the name.
  const known = own(state.people, envelope.person)?.role
  if (known !== undefined && (known !== envelope.role || (command.type === 'join' && command.person.role !== known)))
    return { code: 'JOB_NOT_FOR_ROLE', message: `You joined this job as ${known}. Use that role.` }
  if (state.ended !== undefined && !AFTER_THE_END.has(command.type)) {
    return {
      code: 'JOB_ENDED',
      message: 'This job has ended. Take the last answer back, or arrive for a new visit.',
      details: { ending: state.ended.ending },
    }
  }
  if (command.type !== 'carry-over') return undefined
  const person = personOf(state, envelope.person, envelope.device)
  if (envelope.role === 'homeowner') return { code: 'JOB_NOT_FOR_ROLE', message: 'The shop moves a job to another edition.' }
  if (person !== undefined && isHeldByOther(state, person))
    return { code: 'JOB_NOT_HOLDER', message: 'Another phone holds the tub. Take it over, said aloud, or wait.' }
  return carryRefusal(edition, state, command)
}

function carryOut(draft: Draft, command: Command): void {
  switch (command.type) {
    case 'answer':
      return answer(draft, command)
    case 'change':
      return change(draft, command)
    case 'undo':
      return undo(draft)
    case 'stop':
      return stop(draft)
    case 'red-flag':
      return redFlag(draft, command)
    case 'take-test':
      return takeTest(draft, command)
    case 'state-fact':
      return stateFact(draft, command)
    case 'mend':
      return mend(draft, command)
    case 'clear-hazard':
      return clearHazard(draft, command)
    case 'note-photo':
      return push(draft, 'photo-taken', { name: command.name })
    case 'confirm-outcome':
      return confirm(draft, command)
    case 'carry-over':
      return carryOver(draft)
    case 'wake':
      return undefined
    default:
      return people(draft, command)
  }
}

/** The place must still be the one offered, and this person must be the one to answer it. */
function answer(draft: Draft, command: CommandOf<'answer'>): void {
  const at = here(draft.edition, draft.state)
  const person = personOf(draft.state, draft.envelope.person, draft.envelope.device)
  if (at === undefined || person === undefined || at.key !== command.place) {
    return refuse(draft, {
      code: 'JOB_PLACE_GONE',
      message: 'The job has moved on. Look at the step that is offered now; what you typed is kept.',
      details: { offered: at?.key },
    })
  }
  const problem = refusal(draft.state, person, at)
  if (problem !== undefined && !(command.outcome === 'otherwise' && goesOtherwise(draft.state, person, at))) return refuse(draft, problem)
  if (command.outcome === 'otherwise' && at.step.outcomes.otherwise !== undefined) return otherwise(draft, at)
  settleNeeds(draft, at, person)
  if (draft.refused !== undefined) return
  const meaning = meaningOf(draft.edition, draft.state, at.step, person.id, command, draft.now, at.key)
  if (!meaning.ok) return refuse(draft, meaning.problem)
  write(draft, at, command, meaning.value)
}

function otherwise(draft: Draft, at: Here): void {
  writeAnswer(draft, { key: at.key, step: at.step.id, outcome: 'otherwise' }, at.step.outcomes.otherwise, [])
}

/** Doing it must break no safety rule now; leaving it out never does. */
function settleNeeds(draft: Draft, at: Here, person: Person): void {
  const { command } = draft.envelope
  if (command.type === 'answer' && command.not_done !== undefined) return
  const problem = safetyRefusal(draft.edition, draft.state, person.id, at.key)
  if (problem !== undefined) refuse(draft, problem)
}

function write(draft: Draft, at: Here, given: Answer, meaning: Meaning): void {
  const outcome = own(at.step.outcomes, meaning.outcome)
  if (outcome === undefined) return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'This step does not offer that answer.' })
  const places = placesMeasured(meaning.form)
  writeAnswer(draft, { key: at.key, step: at.step.id, ...bodyOf(meaning, given) }, withOwnPart(outcome, at, meaning.outcome), places)
  for (const fact of meaning.facts) pushFact(draft, fact, 'told', at.key)
  noteHotWater(draft, meaning)
}

/** A fit step fits its part by itself, before whatever else the outcome says. */
function withOwnPart(outcome: Outcome, at: Here, name: string): Outcome {
  const { fit } = at.step
  if (fit === undefined || name !== 'fitted') return outcome
  const others = (outcome.effects ?? []).filter((effect) => !(effect.do === 'part-in' && effect.part === fit.part))
  return { ...outcome, effects: [{ do: 'part-in', part: fit.part }, ...others] }
}

function confirm(draft: Draft, command: CommandOf<'confirm-outcome'>): void {
  if (draft.state.ended === undefined)
    return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'The outcome is confirmed after the job has ended.' })
  push(draft, 'outcome-confirmed', { held: command.held, ...(command.words === undefined ? {} : { words: command.words }) })
}
