// What a command brings about: checked, computed, written as events. Phone and server run this same code and get the same events.
// Believing events is evolve.ts; coming to rest is settle.ts.
import type { Command, CommandOf, Envelope, JobEvent } from '../contract/index.ts'
import type { Edition, Effect, Outcome } from '../edition/compiled.ts'
import type { Problem, Result } from '../result.ts'
import { HOT_WATER_DEGC, hottestOf } from '../safety/tub.ts'
import { isSafer } from '../safety/undo.ts'
import { judgedAgain, meaningOf, placesMeasured, statedFact, stored } from './answer.ts'
import type { Answer, Meaning, StatedFact } from './answer.ts'
import { createDraft, finished, push, refuse } from './draft.ts'
import type { Draft } from './draft.ts'
import { applyEffects, mendEffects, power, writeAnswer } from './effects.ts'
import type { Evolve } from './evolve.ts'
import { here, isHeld, lastByHand, partNow, personOf, refusal, safetyRefusal } from './offer.ts'
import type { Here, Person } from './offer.ts'
import { endOfKey } from './place.ts'
import { settle } from './settle.ts'
import type { JobState } from './state.ts'

/** A pause longer than this ends the proof of dead, minutes: the shop's limit, common practice, no source. */
export const PAUSE_LIMIT_MINUTES = 60

export type Decide = (state: JobState, envelope: Envelope, now: number) => Result<JobEvent[]>

export function createDecide(edition: Edition, evolve: Evolve): Decide {
  return (state, envelope, now) => {
    const draft = createDraft(edition, evolve, state, envelope, now)
    const problem = mayCommand(state, envelope)
    if (problem !== undefined) return { ok: false, problem }
    timePasses(draft)
    carryOut(draft, envelope.command)
    if (draft.refused === undefined) settle(draft)
    return finished(draft)
  }
}

/** What time has brought about since the last event. */
export function isDue(state: JobState, now: number): boolean {
  return state.tub.proofs.length > 0 && now - state.lastAt > PAUSE_LIMIT_MINUTES * 60_000
}

function timePasses(draft: Draft): void {
  if (isDue(draft.state, draft.now)) push(draft, 'proof-lapsed', { reason: 'paused', limit_minutes: PAUSE_LIMIT_MINUTES })
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

function mayCommand(state: JobState, envelope: Envelope): Problem | undefined {
  const { command } = envelope
  if (command.type !== 'join' && personOf(state, envelope.person) === undefined) {
    return { code: 'JOB_NOT_JOINED', message: 'Join this job first: say who you are.', details: { person: envelope.person } }
  }
  if (command.type !== 'join' && state.people[envelope.person]?.role !== envelope.role) {
    return {
      code: 'JOB_NOT_FOR_ROLE',
      message: `You joined this job as ${state.people[envelope.person]?.role ?? 'nobody'}. Use that role.`,
    }
  }
  if (state.ended !== undefined && !AFTER_THE_END.has(command.type)) {
    return {
      code: 'JOB_ENDED',
      message: 'This job has ended. Take the last answer back, or arrive for a new visit.',
      details: { ending: state.ended.ending },
    }
  }
  return undefined
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
      return push(draft, 'hazard-cleared', { hazard: command.hazard, how: command.how })
    case 'note-photo':
      return push(draft, 'photo-taken', { name: command.name })
    case 'confirm-outcome':
      return confirm(draft, command)
    case 'wake':
      return undefined
    default:
      return people(draft, command)
  }
}

function people(draft: Draft, command: CommandOf<'join'> | CommandOf<'arrive'> | CommandOf<'leave'> | CommandOf<'take-tub'>): void {
  switch (command.type) {
    case 'join':
      return join(draft, command)
    case 'arrive':
      return arrive(draft)
    case 'leave':
      return leave(draft, command)
    default:
      return takeTub(draft)
  }
}

/** The place must still be the one offered, and this person must be the one to answer it. */
function answer(draft: Draft, command: CommandOf<'answer'>): void {
  const at = here(draft.edition, draft.state)
  const person = personOf(draft.state, draft.envelope.person)
  if (at === undefined || person === undefined || at.key !== command.place) {
    return refuse(draft, {
      code: 'JOB_PLACE_GONE',
      message: 'The job has moved on. Look at the step that is offered now; what you typed is kept.',
      details: { offered: at?.key },
    })
  }
  const problem = refusal(draft.edition, draft.state, person, at)
  if (problem !== undefined) {
    if (command.outcome === 'otherwise' && at.step.outcomes.otherwise !== undefined && person.onSite) return otherwise(draft, at)
    return refuse(draft, problem)
  }
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
  const outcome = at.step.outcomes[meaning.outcome]
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

function bodyOf(meaning: Meaning, given: Answer) {
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

function pushFact(draft: Draft, fact: StatedFact, source: CommandOf<'state-fact'>['source'], key?: string): void {
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
function noteHotWater(draft: Draft, meaning: Meaning): void {
  const hottest = hottestOf(meaning.readings)
  if (hottest !== undefined && hottest >= HOT_WATER_DEGC && draft.state.tub.hazards['hot-water'] === undefined) {
    push(draft, 'hazard-seen', { hazard: 'hot-water' })
  }
}

/** A past answer is corrected: the path is walked anew, the tub is not. */
function change(draft: Draft, command: CommandOf<'change'>): void {
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
function undo(draft: Draft): void {
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

function stop(draft: Draft): void {
  const at = here(draft.edition, draft.state)
  const { block } = draft.edition.interrupts.stop
  if (at === undefined) return refuse(draft, { code: 'JOB_PLACE_GONE', message: 'There is no step to stop at.' })
  if (at.frames.some((frame) => frame.block === block))
    return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'The job is being stopped already. Go on with the step shown.' })
  push(draft, 'procedure-put', { key: at.key, block, cause: 'stop' })
}

function redFlag(draft: Draft, command: CommandOf<'red-flag'>): void {
  const flag = draft.edition.red_flags.find((one) => one.slug === command.flag)
  if (flag === undefined)
    return refuse(draft, {
      code: 'JOB_ANSWER_NOT_OFFERED',
      message: 'Pick the red flag from the list.',
      details: { offered: draft.edition.red_flags.map((one) => one.slug) },
    })
  if (flag.hazard !== undefined && draft.state.tub.hazards[flag.hazard] === undefined) {
    push(draft, 'hazard-seen', { hazard: flag.hazard, ...(command.words === undefined ? {} : { words: command.words }) })
  }
  if (draft.state.ended !== undefined) push(draft, 'job-reopened', { why: flag.slug })
  const at = here(draft.edition, draft.state)
  if (at === undefined || at.frames.some((frame) => frame.block === flag.put)) return
  push(draft, 'procedure-put', { key: at.key, block: flag.put, cause: 'red-flag', flag: flag.slug })
}

/** A test out of turn, never before red flags, inside make dead, or while a repair is being proved. */
function takeTest(draft: Draft, command: CommandOf<'take-test'>): void {
  const block = draft.edition.blocks[command.test]
  const at = here(draft.edition, draft.state)
  if (block?.kind !== 'test')
    return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'There is no such test card.', details: { test: command.test } })
  if (at === undefined || partNow(draft.edition, draft.state) !== 'find' || at.frames.some((frame) => frame.put !== undefined)) {
    return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'A test out of turn waits until the present procedure is done.' })
  }
  push(draft, 'procedure-put', { key: at.key, block: block.id, cause: 'test' })
}

function stateFact(draft: Draft, command: CommandOf<'state-fact'>): void {
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
function mend(draft: Draft, command: CommandOf<'mend'>): void {
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

function join(draft: Draft, command: CommandOf<'join'>): void {
  const { person } = command
  if (person.id !== draft.envelope.person) return refuse(draft, { code: 'JOB_NOT_JOINED', message: 'A person joins with the own name.' })
  push(draft, 'person-joined', { person, on_site: command.on_site && draft.state.visit > 0 })
}

/** A visit begins: the technician's own entry of the flow, with all that is known. */
function arrive(draft: Draft): void {
  const { envelope, state, edition } = draft
  const flow = edition.blocks[state.flow]
  const person = state.people[envelope.person]
  if (person === undefined || (person.role !== 'technician' && person.role !== 'electrician')) {
    return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: 'Only a technician arrives on site.' })
  }
  if (state.tub.onSite.length > 0 && state.ended === undefined) {
    return push(draft, 'person-joined', {
      person: { id: person.id, name: person.name, role: person.role, signed: [...person.signed] },
      on_site: true,
    })
  }
  if (flow?.arrive === undefined) return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'This complaint has no visit.' })
  if (state.ended !== undefined) push(draft, 'job-reopened', { why: 'visit' })
  if (draft.state.tub.proofs.length > 0) push(draft, 'proof-lapsed', { reason: 'left' })
  push(draft, 'person-joined', {
    person: { id: person.id, name: person.name, role: person.role, signed: [...person.signed] },
    on_site: true,
  })
  push(draft, 'tub-handed', { to: person.id, device: envelope.device })
  push(draft, 'arrived', { visit: state.visit + 1, entry: `${state.flow}.${flow.arrive}` })
}

/** Whoever has a lock on or holds the tub leaves in order; everybody else just goes. */
function leave(draft: Draft, command: CommandOf<'leave'>): void {
  const { state, envelope, edition } = draft
  const bound =
    state.tub.locks.some((lock) => lock.owner === envelope.person) ||
    (state.tub.holder?.person === envelope.person && state.tub.onSite.includes(envelope.person))
  if (!bound) return push(draft, 'person-left', { person: envelope.person, reason: command.reason ?? 'left' })
  const at = here(edition, state)
  const { block } = edition.interrupts.leave
  if (at === undefined || at.frames.some((frame) => frame.block === block)) return
  push(draft, 'procedure-put', { key: at.key, block, cause: 'leave' })
}

function takeTub(draft: Draft): void {
  const { envelope, state } = draft
  if (!state.tub.onSite.includes(envelope.person))
    return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: 'Only somebody at the tub takes it over. Arrive on site first.' })
  if (state.tub.holder?.person === envelope.person && state.tub.holder.device === envelope.device) return
  if (state.tub.proofs.length > 0) push(draft, 'proof-lapsed', { reason: 'handed-over' })
  push(draft, 'tub-handed', { to: envelope.person, device: envelope.device })
}

function confirm(draft: Draft, command: CommandOf<'confirm-outcome'>): void {
  if (draft.state.ended === undefined)
    return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'The outcome is confirmed after the job has ended.' })
  push(draft, 'outcome-confirmed', { held: command.held, ...(command.words === undefined ? {} : { words: command.words }) })
}
