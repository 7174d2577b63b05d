// The laws that every moment of every job keeps, each as a function that answers what is wrong, or nothing.
// Which jobs they look at is jobs-worker.ts.
import { isDeepStrictEqual } from 'node:util'
import type { Edition, Engine, JobState, Step } from '#graphs'
import { eventSchema, jobViewSchema } from '#graphs/contract'
import type { JobView } from '#graphs/contract'
import { createNext } from '../../graphs/engine/machines.ts'
import { endOfKey } from '../../graphs/engine/place.ts'
import { createWalker } from '../../graphs/engine/walk.ts'
import { libraryEdition } from './library.ts'
import { Monitor } from './monitor.ts'
import { framesByTables } from './plain-walker.ts'
import type { FinishedJob, Moment } from './random-job.ts'

export type Law = (moment: Moment) => string | undefined
type Tub = JobState['tub']
type Outcome = Step['outcomes'][string]

/** Commands that are a change of mind: they never make a tub safer. */
const CHANGES = new Set(['change', 'undo', 'state-fact', 'mend'])

export function framesText(state: JobState): string {
  return state.path.frames.map((one) => `${one.put === undefined ? '' : `+${one.put}`}${one.block}.${one.step}#${one.visit}`).join('>')
}

/** What is safer in the second tub than in the first. */
export function saferIn(before: Tub, after: Tub): string[] {
  const safer: string[] = []
  if (before.energy !== 'off' && after.energy === 'off') safer.push('energy')
  if (before.covers === 'off' && after.covers === 'on') safer.push('covers')
  if (before.leads === 'on' && after.leads === 'capped') safer.push('leads')
  for (const { owner } of after.locks) if (!before.locks.some((lock) => lock.owner === owner)) safer.push(`lock of ${owner}`)
  if (after.proofs.length > before.proofs.length) safer.push('proof')
  for (const hazard of Object.keys(before.hazards)) if (after.hazards[hazard] === undefined) safer.push(`hazard ${hazard}`)
  if (after.gfci?.result === 'passed' && before.gfci?.result !== 'passed') safer.push('gfci')
  if (after.clear !== undefined && (before.clear === undefined || after.clear.at > before.clear.at)) safer.push('water-clear')
  for (const mark of Object.keys(after.marks)) if (before.marks[mark] === undefined && !UNSAFE_MARKS.has(mark)) safer.push(`mark ${mark}`)
  return safer
}
/** Marks that keep a tub off, or say that something was opened: they make it no safer. */
const UNSAFE_MARKS = new Set(['leave-off', 'frost-open', 'no-lock-eye', 'water-path-opened', 'box-opened', 'burnt-feed'])

/** Marks written by what the program decided anew after a change: by its own answers, and by the call arrows they led over. */
function decidedMarks({ before, after, events }: Moment): Set<string> {
  const had = new Set(before.path.passed.map((one) => JSON.stringify(one)))
  const decided = events.flatMap((event) => (event.type === 'answer-given' && event.body.auto !== undefined ? [event.body] : []))
  if (decided.length === 0) return new Set()
  const arrows = after.path.passed.flatMap((one) => ('put' in one || had.has(JSON.stringify(one)) ? [] : [one]))
  const outcomes = [...decided, ...arrows].map(({ key, outcome }) => stepAt(key)?.outcomes[outcome])
  return new Set(outcomes.flatMap((one) => one?.effects ?? []).flatMap((effect) => (effect.do === 'mark' ? [`mark ${effect.mark}`] : [])))
}

function stepAt(key: string): Step | undefined {
  const { block, step } = endOfKey(key)
  return libraryEdition().blocks[block]?.steps[step]
}

/** No change of mind makes the tub safer. */
export const neverSafer: Law = (moment) => {
  const { command, before, after } = moment
  if (!CHANGES.has(command.type)) return undefined
  // What the program decides anew after a change writes its own marks again: they rest on the corrected path, not on the change.
  const decided = decidedMarks(moment)
  const safer = saferIn(before.tub, after.tub).filter((one) => !decided.has(one))
  return safer.length === 0 ? undefined : `${command.type} made the tub safer: ${safer.join(', ')}`
}

/** Undo gives back the answers of before the last one. */
export const undoGivesBack: Law = ({ command, before, after, events }) => {
  if (command.type !== 'undo') return undefined
  const withdrawn = events.find((event) => event.type === 'answer-withdrawn')
  const byHand = (state: JobState) => state.path.trail.filter((key) => state.path.entries[key]?.auto === undefined)
  const wanted = byHand(before).filter((key) => key !== withdrawn?.body.key)
  const found = byHand(after)
  return JSON.stringify(found) === JSON.stringify(wanted)
    ? undefined
    : `undo of ${withdrawn?.body.key} left ${found.at(-1)}, not ${wanted.at(-1)}`
}

/** The phone's and the server's engine write the same events for the same command. */
export function sameEvents(engine: Engine, { before, envelope, events, now }: Moment): string | undefined {
  const again = engine.decide(before, envelope, { now })
  const same = again.ok && JSON.stringify(again.value) === JSON.stringify(events)
  return same ? undefined : `decided twice, ${envelope.command.type} gave other events`
}

/** The path as it grew answer by answer is the one that a walk over all its answers gives; only what the last step came back from differs. */
export function createSamePath(edition: Edition): Law {
  const walker = createWalker(edition, createNext(edition))
  return ({ after, command }) => {
    const { passed: _last, ...grown } = after.path
    const { passed: _all, ...walked } = walker.again(after.path)
    return isDeepStrictEqual(walked, grown) ? undefined : `after ${command.type} the path walked anew is another one`
  }
}

/** Why the bound of a part may rise after this moment. */
function mayRise(edition: Edition, { command, events, before, after }: Moment): boolean {
  if (!['answer', 'wake'].includes(command.type)) return true
  if (putsOf(after) !== putsOf(before) && putsOf(after) !== '') return true
  if (takesUpOldAnswers(before, after, events)) return true
  return events.some((event) => {
    if (event.type === 'procedure-put' || event.type === 'arrived' || event.type === 'job-reopened') return true
    if (event.type !== 'answer-given') return false
    return isBackward(edition, event.body.key, event.body.outcome)
  })
}

/** After a correction, answers that were given earlier stand again as soon as the path comes by: it leaps on. */
function takesUpOldAnswers(before: JobState, after: JobState, events: Moment['events']): boolean {
  const fresh = new Set(events.map((event) => event.id))
  return after.path.trail.slice(before.path.trail.length).some((key) => !fresh.has(after.path.entries[key]?.event ?? ''))
}

/** Procedures that lie on top of the present place; one may lie there from before an answer was taken back. */
function putsOf({ path }: JobState): string {
  return path.frames
    .flatMap((frame, level) => {
      const below = path.frames[level - 1]
      return frame.put === undefined ? [] : [`${below?.block}.${below?.step}#${below?.visit}+${frame.put}${frame.block}`]
    })
    .join(' ')
}

/** The answer itself, or an arrow it led out through, goes backward. */
function isBackward(edition: Edition, key: string, outcome: string): boolean {
  const frames = key.slice(key.indexOf('|') + 1).split('>')
  let name: string = outcome
  for (const text of frames.toReversed()) {
    const [, block = '', step = ''] = /^(?:\+\d+)?([a-z0-9~=-]+)\.([a-z0-9-]+)#/.exec(text) ?? []
    const arrow: Outcome | undefined = edition.blocks[block]?.steps[step]?.outcomes[name]
    if (arrow?.again !== undefined) return true
    if (arrow === undefined || !arrow.to.startsWith('exit:')) return false
    // A procedure that was put on top returns to its step, or leaves it undone.
    name = text.startsWith('+') ? 'not-done' : arrow.to.slice(5)
  }
  return false
}

/** "At most N more steps" never rises within a part without a reason. */
export class Bound {
  readonly #edition: Edition
  #last: { part: string; atMost: number; moment: Moment } | undefined

  constructor(edition: Edition) {
    this.#edition = edition
  }

  look(moment: Moment): string | undefined {
    const { part, at_most: atMost } = moment.viewBefore
    const last = this.#last
    this.#last = { part, atMost, moment }
    if (last === undefined || last.part !== part || atMost <= last.atMost || mayRise(this.#edition, last.moment)) return undefined
    const answered = last.moment.events.flatMap((event) =>
      event.type === 'answer-given' ? [`${event.body.key}=${event.body.outcome}`] : [],
    )
    return `at most ${last.atMost} of ${part} became ${atMost} after ${answered.join(', ') || last.moment.command.type}`
  }
}

/**
 * The library ends a job only as the rules allow. A refused ending puts the stop on top, in order; answers alone never come to that.
 * After a correction, or a hazard that somebody reports in between, they may: then the stop is what is wanted.
 */
export class Endings {
  #corrected = false

  look({ command, events }: Moment): string | undefined {
    if (['change', 'undo', 'mend', 'red-flag'].includes(command.type)) this.#corrected = true
    if (this.#corrected || command.type === 'stop') return undefined
    const refused = events.find((event) => event.type === 'procedure-put' && event.body.cause === 'stop')
    return refused?.type === 'procedure-put' ? `the ending at ${refused.body.key} breaks a rule` : undefined
  }
}

/** No unsafe step is offered to anybody present. */
export class Watch {
  readonly #engine: Engine
  readonly #monitor: Monitor
  #seen = 0

  constructor(engine: Engine) {
    this.#engine = engine
    this.#monitor = new Monitor(engine.edition)
  }

  open(events: Moment['events']): void {
    for (const event of events) this.#monitor.see(event)
  }

  /** The acting person is looked at always, everybody present at every third moment. */
  look(moment: Moment): string | undefined {
    this.#seen += 1
    const offered = this.#unsafe(moment.before, moment.viewBefore, moment.person.id, moment.now, false)
    for (const event of moment.events) this.#monitor.see(event)
    if (offered !== undefined || this.#seen % 3 !== 0) return offered
    const isNew = framesText(moment.before) !== framesText(moment.after)
    for (const person of Object.values(moment.after.people)) {
      if (!person.here) continue
      const danger = this.#unsafe(moment.after, this.#engine.view(moment.after, person.id, moment.now), person.id, moment.now, isNew)
      if (danger !== undefined) return danger
    }
    return undefined
  }

  /** What time has brought about is recorded before a step is shown; a screen that is due shows nothing yet. */
  #unsafe(state: JobState, view: JobView, person: string, now: number, isNew: boolean): string | undefined {
    if (this.#engine.due(state, now)) return undefined
    const danger = view.step === undefined ? undefined : this.#monitor.danger(view.step, person, isNew ? now : undefined)
    return danger === undefined ? undefined : `${view.step?.key} is offered to ${person}: ${danger}`
  }
}

/** What must hold of a whole job: it ended, replay and yardstick agree, every event and view keeps its shape. */
export function wholeJob(engine: Engine, job: FinishedJob, middle: number, withShapes: boolean): string | undefined {
  if (job.state.ended === undefined) return `not ended after ${job.commands} commands, at ${framesText(job.state)}`
  const replayed = engine.fold(job.events)
  if (replayed === undefined || JSON.stringify(replayed) !== JSON.stringify(job.state)) return 'the log replayed gives another state'
  const half = job.events.slice(0, middle)
  for (const [events, state] of [[job.events, job.state] as const, [half, engine.fold(half)] as const]) {
    if (state === undefined) continue
    const tables = framesByTables(engine.edition, events)
    if (tables !== framesText(state))
      return `after ${events.length} events the tables lead to ${tables}, the engine to ${framesText(state)}`
  }
  return withShapes ? shapesOf(engine, job) : undefined
}

function shapesOf(engine: Engine, job: FinishedJob): string | undefined {
  for (const event of job.events) {
    const parsed = eventSchema.safeParse(event)
    if (!parsed.success) return `event ${event.type} ${event.id}: ${parsed.error.message}`
  }
  for (const person of Object.keys(job.state.people)) {
    const parsed = jobViewSchema.safeParse(engine.view(job.state, person, job.now))
    if (!parsed.success) return `view of ${person}: ${parsed.error.message}`
  }
  return undefined
}
