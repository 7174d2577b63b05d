// Drives one invented job through an engine by a script of answers, and fails aloud when the engine asks for something else.
// What the scripts answer stands in the files beside this one.
import type { Engine, JobState } from '#graphs'
import type { Envelope, Form, JobEvent, JobView, Person, StepView, TypedReading } from '#graphs/contract'

type Answer = Omit<Extract<Envelope['command'], { type: 'answer' }>, 'type' | 'place'>
type Typed = string | readonly string[]

/** An outcome, readings as typed with their unit ("102.2 degF"; a list is a series), a form, a reason not to, or worked out from the step. */
export type Given =
  | string
  | { readonly readings: { readonly [name: string]: Typed }; readonly sure?: boolean }
  | { readonly form: Form; readonly outcome?: string }
  | { readonly not_done: string; readonly words?: string }
  | ((step: StepView) => Form | { readonly readings: { readonly [name: string]: Typed } })

export type Disturbance = { readonly by: Person; readonly command: Envelope['command'] } | { readonly minutes: number }
/** A disturbance that is worked out from the job as it stands, e.g. a change of an earlier answer. */
export type Happening = readonly Disturbance[] | ((job: DrivenJob) => readonly Disturbance[])

export type Script = {
  readonly complaint: string
  readonly words: string
  readonly short: string
  /** Milliseconds since 1970. */
  readonly start: number
  /** Who opens the job; the others join by `before`. */
  readonly opener: Person
  /** By "block.step"; a list is used up one by one, its last answer stands for all later times. */
  readonly answers: { readonly [step: string]: Given | readonly Given[] }
  /** What happens when a step is asked, ahead of its answer: the first time by "block.step", the second time by "block.step#2". */
  readonly before?: { readonly [step: string]: Happening }
  /** What happens when nobody can go on: the first time, the second time, and so on. */
  readonly waits?: readonly Happening[]
}

export type DrivenJob = { readonly events: readonly JobEvent[]; readonly state: JobState; readonly now: number }

const MOST_STEPS = 400

export function driveJob(engine: Engine, script: Script): DrivenJob {
  return new Drive(engine, script).run()
}

class Drive {
  readonly #engine: Engine
  readonly #script: Script
  readonly #asked = new Map<string, number>()
  readonly #answered = new Map<string, number>()
  readonly #happened = new Set<string>()
  #waits = 0
  readonly #events: JobEvent[]
  #state: JobState
  #now: number
  #serial = 0

  constructor(engine: Engine, script: Script) {
    this.#engine = engine
    this.#script = script
    this.#now = script.start
    const opened = engine.open(
      { flow: 'overheating', complaint: script.complaint, words: script.words, practice: true, person: script.opener },
      {
        now: this.#now,
        job: `job-${script.short}`,
        short: script.short,
        device: `device-${script.opener.id}`,
        channel: 'phone',
        commandId: `open-${script.short}`,
      },
    )
    if (!opened.ok) throw new Error(opened.problem.message)
    const state = engine.fold(opened.value)
    if (state === undefined) throw new Error('nothing was opened')
    this.#events = [...opened.value]
    this.#state = state
  }

  run(): DrivenJob {
    for (let count = 0; this.#state.ended === undefined; count += 1) {
      if (count > MOST_STEPS) throw new Error('the script runs in a circle')
      const offer = this.#offer()
      const name = offer === undefined ? `wait ${this.#waits}` : `${offer.step.block}.${offer.step.step}`
      if (offer === undefined) this.#pass(name)
      else if (!this.#disturb(name)) this.#answer(offer.person, offer.step, name)
    }
    return this.#job()
  }

  #job(): DrivenJob {
    return { events: this.#events, state: this.#state, now: this.#now }
  }

  #views(): { person: Person; view: JobView }[] {
    return Object.values(this.#state.people)
      .filter((person) => person.here)
      .map((person) => ({ person, view: this.#engine.view(this.#state, person.id, this.#now) }))
  }

  /** Whoever may do the step; a person on site before a person on the phone. */
  #offer(): { person: Person; step: StepView } | undefined {
    const offers = this.#views().flatMap(({ person, view }) =>
      view.step === undefined || view.waiting !== undefined ? [] : [{ person, step: view.step }],
    )
    return offers.findLast(({ person }) => this.#state.tub.onSite.includes(person.id)) ?? offers[0]
  }

  #whyNot(): string {
    return this.#views()
      .map(({ person, view }) => `${person.name}: ${view.waiting?.says ?? ''} (${view.waiting?.step ?? ''})`)
      .join('; ')
  }

  #disturb(step: string): boolean {
    const time = (this.#answered.get(step) ?? 0) + 1
    const name = time === 1 ? step : `${step}#${time}`
    const happening = this.#script.before?.[name]
    if (happening === undefined || this.#happened.has(name)) return false
    this.#happened.add(name)
    this.#happen(happening, name)
    return true
  }

  #pass(name: string): void {
    const happening = this.#script.waits?.[this.#waits]
    if (happening === undefined) throw new Error(`nobody can go on: ${this.#whyNot()}`)
    this.#waits += 1
    this.#happen(happening, name)
  }

  #happen(happening: Happening, name: string): void {
    for (const one of typeof happening === 'function' ? happening(this.#job()) : happening) {
      if ('minutes' in one) this.#now += one.minutes * 60_000
      else this.#command(one.by, one.command, name)
    }
  }

  #answer(person: Person, step: StepView, name: string): void {
    const given = this.#given(name)
    this.#answered.set(name, (this.#answered.get(name) ?? 0) + 1)
    this.#now = step.until === undefined ? this.#now + step.minutes * 60_000 : Math.max(this.#now, step.until)
    this.#command(person, { type: 'answer', place: step.place, ...this.#body(step, given) }, name)
  }

  #given(name: string): Given {
    const given = this.#script.answers[name]
    if (given === undefined) throw new Error(`the engine asks ${name}, and the script has no answer for it`)
    if (!Array.isArray(given)) return given as Given
    const time = this.#asked.get(name) ?? 0
    this.#asked.set(name, time + 1)
    return (given as readonly Given[])[Math.min(time, given.length - 1)] as Given
  }

  #body(step: StepView, given: Given): Answer {
    if (typeof given === 'string') return { outcome: given }
    if (typeof given === 'function') {
      const worked = given(step)
      return 'readings' in worked ? this.#body(step, worked) : { form: worked }
    }
    if ('form' in given) return given.outcome === undefined ? { form: given.form } : { form: given.form, outcome: given.outcome }
    if ('not_done' in given) return { ...given }
    const readings = Object.fromEntries(Object.entries(given.readings).map(([name, typed]) => [name, this.#typed(step, name, typed)]))
    return { readings, ...(given.sure === undefined ? {} : { sure: given.sure }) }
  }

  /** A series is taken at the pace the step asks for, and the clock moves on with it. */
  #typed(step: StepView, name: string, typed: Typed): TypedReading | TypedReading[] {
    const field = step.readings.find((one) => one.name === name)
    if (field === undefined) throw new Error(`${step.block}.${step.step} has no reading called ${name}`)
    const instrument = field.instrument === undefined ? {} : { instrument: field.instrument }
    if (typeof typed === 'string') return { ...split(typed), ...instrument }
    const every = (field.series?.every_minutes ?? 10) * 60_000
    const from = this.#now
    this.#now += every * (typed.length - 1)
    return typed.map((each, index) => ({ ...split(each), ...instrument, at: from + every * index }))
  }

  #command(person: Person, command: Envelope['command'], name: string): void {
    this.#serial += 1
    const id = `${this.#script.short}-${String(this.#serial).padStart(4, '0')}`
    const channel = this.#state.tub.onSite.includes(person.id) ? 'site' : 'phone'
    const envelope: Envelope = { id, person: person.id, role: person.role, device: `device-${person.id}`, channel, command }
    const result = this.#engine.decide(this.#state, envelope, { now: this.#now })
    if (!result.ok) throw new Error(`${name}: ${JSON.stringify(command)} was refused: ${JSON.stringify(result.problem)}`)
    for (const event of result.value) {
      this.#events.push(event)
      this.#state = this.#engine.evolve(this.#state, event)
    }
  }
}

function split(typed: string): { typed: string; unit: string } {
  const [number = '', unit = ''] = typed.split(' ')
  return { typed: number, unit }
}

/** Every pair of the form at 0.0 V, save those named ("terminals:L1–L2" → volts); the tester proved before and after unless said otherwise. */
export function pairsForm(
  other: { readonly [pair: string]: string } = {},
  tester: { readonly after: boolean } = { after: true },
): (step: StepView) => Form {
  return (step) => {
    if (step.form?.form !== 'pairs') throw new Error(`${step.block}.${step.step} asks for no pairs`)
    const names = step.form.places.flatMap(({ place, pairs }) => pairs.map((pair) => `${place}:${pair}`))
    for (const name of Object.keys(other)) if (!names.includes(name)) throw new Error(`${name} is not among ${names.join(', ')}`)
    const volts = Object.fromEntries(
      names.map((name) => [name, { typed: other[name] ?? '0.0', unit: 'V', instrument: 'low-impedance-tester' }]),
    )
    return { form: 'pairs', tester_before: true, tester_after: tester.after, volts }
  }
}

/** Every line of the list ticked. */
export function allTicked(step: StepView): Form {
  if (step.form?.form !== 'checklist') throw new Error(`${step.block}.${step.step} asks for no list`)
  return { form: 'checklist', ticked: step.form.items }
}
