// Plays a job of the library by hand: one person after another, refusals kept to look at. For unit tests of the engine.
// No expectations live here.
import { libraryEngine } from '../../laws/library.ts'
import type { Engine, JobState } from '#graphs'
import type { Command, JobEvent, JobView, Person, StepView } from '#graphs/contract'

export const OWNER: Person = { id: 'owner-1', name: 'Owner', role: 'homeowner', signed: [] }
export const DESK: Person = { id: 'desk-01', name: 'Desk', role: 'dispatcher', signed: [] }
export const TECHNICIAN: Person = { id: 'tech-01', name: 'Technician', role: 'technician', signed: ['absence-of-voltage'] }
export const LEARNER: Person = { id: 'learner', name: 'Learner', role: 'technician', signed: [] }
export const QUALIFIED: Person = { id: 'qualif', name: 'Qualified', role: 'technician', signed: ['absence-of-voltage', 'energized-work'] }

type Reply = { readonly ok: boolean; readonly code: string; readonly message: string; readonly events: readonly JobEvent[] }

export class Play {
  engine: Engine
  readonly events: JobEvent[] = []
  state: JobState
  now = 1_760_000_000_000
  #serial = 0

  constructor(opener: Person = TECHNICIAN, engine: Engine = libraryEngine(), complaint = 'hotter-than-set', practice = false) {
    this.engine = engine
    const opened = engine.open(
      { flow: 'overheating', complaint, words: 'Far too hot.', practice, person: opener },
      { now: this.now, job: 'job-played', short: 'PLAY-1', device: `device-${opener.id}`, channel: 'api', commandId: 'opening-1' },
    )
    if (!opened.ok) throw new Error(opened.problem.message)
    this.events.push(...opened.value)
    const state = engine.fold(opened.value)
    if (state === undefined) throw new Error('nothing opened')
    this.state = state
  }

  /** Sends a command a minute later; keeps its events when it was accepted. */
  send(command: Command, person: Person = TECHNICIAN, device = `device-${person.id}`): Reply {
    this.now += 60_000
    this.#serial += 1
    const result = this.engine.decide(
      this.state,
      { id: `command-${this.#serial}`, person: person.id, role: person.role, device, channel: 'api', command },
      { now: this.now },
    )
    if (!result.ok) return { ok: false, code: result.problem.code, message: result.problem.message, events: [] }
    for (const event of result.value) {
      this.events.push(event)
      this.state = this.engine.evolve(this.state, event)
    }
    return { ok: true, code: '', message: '', events: result.value }
  }

  /** Moves the job to the edition of that engine, which plays it from here on. */
  carryOver(engine: Engine, person: Person = TECHNICIAN): Reply {
    const before = this.engine
    this.engine = engine
    const reply = this.send({ type: 'carry-over', to: engine.edition.number }, person)
    if (!reply.ok) this.engine = before
    return reply
  }

  join(person: Person): Reply {
    return this.send({ type: 'join', person, on_site: false }, person)
  }

  view(person: Person = TECHNICIAN): JobView {
    return this.engine.view(this.state, person.id, this.now)
  }

  /** The step offered to this person; throws when there is none. */
  step(person: Person = TECHNICIAN): StepView {
    const { step, waiting } = this.view(person)
    if (step === undefined) throw new Error(`no step for ${person.name}: ${JSON.stringify(waiting)}`)
    return step
  }

  pick(outcome: string, person: Person = TECHNICIAN): Reply {
    return this.send({ type: 'answer', place: this.step(person).place, outcome }, person)
  }

  /** Answers steps from a table of `block.step` to outcome until the wanted step is offered. */
  to(wanted: string, outcomes: { readonly [step: string]: string } = {}, person: Person = TECHNICIAN): StepView {
    for (let turn = 0; turn < 200; turn += 1) {
      const step = this.step(person)
      const name = `${step.block}.${step.step}`
      if (name === wanted) return step
      const reply = this.#plain(step, name, outcomes[name] ?? PLAIN[name], person)
      if (!reply.ok) throw new Error(`${name}: ${reply.code} ${reply.message}`)
    }
    throw new Error(`${wanted} was not reached`)
  }

  #plain(step: StepView, name: string, outcome: string | undefined, person: Person): Reply {
    const place = step.place
    const { form } = step
    if (outcome !== undefined)
      return this.send(
        outcome === 'not-done'
          ? { type: 'answer', place, not_done: this.view(person).not_done[0]?.slug ?? '' }
          : { type: 'answer', place, outcome },
        person,
      )
    if (step.kind === 'wait') {
      this.now = Math.max(this.now, step.until ?? 0)
      return this.send({ type: 'answer', place, outcome: 'done' }, person)
    }
    if (form?.form === 'pairs') return this.send({ type: 'answer', place, form: allZero(form) }, person)
    if (form?.form === 'checklist') return this.send({ type: 'answer', place, form: { form: 'checklist', ticked: form.items } }, person)
    if (form?.form === 'switches')
      return this.send(
        { type: 'answer', place, form: { form: 'switches', positions: form.old?.positions ?? '101100', jumpers: form.old?.jumpers ?? '' } },
        person,
      )
    if (form?.form === 'conductors')
      return this.send(
        { type: 'answer', place, form: { form: 'conductors', conductors: [{ from: 'feed L1', to: 'block L1', colour: 'black' }] } },
        person,
      )
    if (form?.form === 'loads')
      return this.send(
        { type: 'answer', place, form: { form: 'loads', loads: [{ load: 'jet pump', outlet: 'pump', volts: '240' }] } },
        person,
      )
    if (form?.form === 'settings')
      return this.send({ type: 'answer', place, form: { form: 'settings', settings: { 'set-point': '100 F' } } }, person)
    if (form?.form === 'facts')
      return this.send(
        { type: 'answer', place, form: { form: 'facts', facts: Object.fromEntries(form.facts.map((fact) => [fact.slug, null])) } },
        person,
      )
    if (form?.form === 'text')
      return this.send(
        { type: 'answer', place, form: { form: 'text', fields: Object.fromEntries(form.fields.map((field) => [field.name, 'as seen'])) } },
        person,
      )
    const only = step.outcomes.length === 1 ? step.outcomes[0]?.outcome : undefined
    if (only !== undefined) return this.send({ type: 'answer', place, outcome: only }, person)
    if (step.can_not_do) return this.send({ type: 'answer', place, not_done: this.view(person).not_done[0]?.slug ?? '' }, person)
    throw new Error(`no plain answer for ${name}: ${step.outcomes.map((one) => one.outcome).join(', ')}`)
  }
}

export function allZero(form: Extract<NonNullable<StepView['form']>, { form: 'pairs' }>, volts = '0.0') {
  return {
    form: 'pairs' as const,
    tester_before: true,
    tester_after: true,
    volts: Object.fromEntries(
      form.places.flatMap(({ place, pairs }) => pairs.map((pair) => [`${place}:${pair}`, { typed: volts, unit: 'V' }])),
    ),
  }
}

/** What an ordinary, safe tub answers: nobody in, dry, switch found, everything in order. */
const PLAIN: { readonly [step: string]: string } = {
  'red-flags.people': 'nobody',
  'red-flags.shock': 'none',
  'red-flags.burning': 'none',
  'red-flags.water-at-wiring': 'none',
  'red-flags.temperature': 'thermometer-below',
  'red-flags.suction': 'whole',
  'red-flags.fumes': 'none',
  'red-flags.standing-words': 'agreed',
  'water-clear.clear': 'yes',
  'gfci-button.test': 'trips-and-resets',
  'make-dead.find-disconnect': 'found',
  'make-dead.gfci-seen': 'seen',
  'make-dead.other-loads': 'agreed',
  'make-dead.switch-off': 'dead',
  'make-dead.lock': 'locked',
  'make-dead.try-buttons': 'nothing',
  'make-dead.covers-off': 'off',
  'history-questions.work-done': 'nothing',
  'history-questions.place': 'none',
  'history-questions.events': 'none',
  'history-questions.weather-lately': 'between',
  'history-questions.filter-age': 'recent',
  'overheating.site-history': 'read',
  'overheating.ground': 'dry',
  'overheating.as-found': 'running',
  'overheating.suction': 'whole',
  'overheating.site-water-side': 'good',
  'overheating.pump-sound': 'low',
  'settings-sheet.compare': 'ok',
  'heating-symbol.test': 'off',
  'pump-behaviour.test': 'as-expected',
  'return-flow.test': 'strong',
}
