// A random job: people join, answer, change their minds, stop, hand over, leave the site, lose time. Answers are weighed towards what was taken least.
// Laws are looked at after every command by whoever hands in `watch`.
import type { Edition, Engine, JobState, Step } from '#graphs'
import type { Envelope, Form, JobEvent, JobView, Person, StepView } from '#graphs/contract'
import { HAZARD_SLUGS } from '../../graphs/edition/compiled.ts'
import { createRandom } from './random.ts'
import type { Random } from './random.ts'
import { AN_END, createSteering } from './steer.ts'
import type { Aim, Steering } from './steer.ts'
import { minutesOf, SAMPLES, typedSample } from './sample-readings.ts'
import type { SampleReadings } from './sample-readings.ts'

/** How often each step-outcome was taken so far in this run, and the way to what was taken least. */
export type Taken = { readonly times: Map<string, number>; readonly steering: Steering }

export function nothingTaken(edition: Edition): Taken {
  const times = new Map<string, number>()
  return { times, steering: createSteering(edition, times) }
}

export type Moment = {
  readonly envelope: Envelope
  /** The events that opened the job. */
  readonly opening: readonly JobEvent[]
  readonly command: Envelope['command']
  readonly person: Person
  readonly before: JobState
  readonly viewBefore: JobView
  readonly events: readonly JobEvent[]
  readonly after: JobState
  readonly now: number
}

export type FinishedJob = {
  readonly events: readonly JobEvent[]
  readonly state: JobState
  readonly commands: number
  readonly now: number
}

const HOME: Person = { id: 'home-owner-1', name: 'Owner', role: 'homeowner', signed: [] }
const DESK: Person = { id: 'desk-person-1', name: 'Desk', role: 'dispatcher', signed: [] }
const JUNIOR: Person = { id: 'junior-tech-1', name: 'Junior', role: 'technician', signed: ['absence-of-voltage'] }
const LEARNER: Person = { id: 'learner-tech-1', name: 'Learner', role: 'technician', signed: [] }
const ELECTRICIAN: Person = { id: 'electrician-1', name: 'Electrician', role: 'electrician', signed: [] }
const QUALIFIED: Person = { id: 'qualified-1', name: 'Qualified', role: 'technician', signed: ['absence-of-voltage', 'energized-work'] }
/** Share of answers that are drawn evenly. */
const EVENLY = 0.01
/** How much an answer that was never given in this run draws, beside the others. */
const NEWNESS = 0.5
/** How much less likely an answer is for every step that it is a detour from the aim. */
const DETOUR = 0.6
/** How often a colleague comes along. */
const COMPANY = 0.004
/** After so many commands nobody changes their mind any more: the job has to run out by itself. */
const RESTLESS = 90
export const COMMAND_LIMIT = 400

export type Watchers = {
  /** Sees every command that was accepted. */
  readonly watch: (moment: Moment) => void
  /** Sees every ending on the way. */
  readonly ends?: (ended: NonNullable<JobState['ended']>) => void
  /** Only jobs of this flow. */
  readonly flow?: string
}

/** Runs one job to its last end. */
export function runRandomJob(engine: Engine, seed: number, taken: Taken, watchers: Watchers): FinishedJob {
  return new RandomJob(engine, createRandom(seed), seed, taken, watchers).run()
}

class RandomJob {
  readonly #engine: Engine
  readonly #random: Random
  readonly #taken: Taken
  readonly #watchers: Watchers
  readonly #opening: readonly JobEvent[]
  readonly #events: JobEvent[] = []
  #state: JobState
  #now: number
  #serial = 0
  /** What the job makes for, the next first. */
  #aims: Aim[] = []
  #seen: { readonly state: JobState; readonly person: string; readonly now: number; readonly view: JobView } | undefined
  #commands = 0
  readonly #seed: number
  /** Share of turns in which something else happens: most jobs are calm enough to get far. */
  readonly #unrest: number

  constructor(engine: Engine, random: Random, seed: number, taken: Taken, watchers: Watchers) {
    this.#engine = engine
    this.#random = random
    this.#seed = seed
    this.#unrest = random.pick([0, 0.01, 0.02, 0.1])
    this.#taken = taken
    this.#watchers = watchers
    this.#now = 1_760_000_000_000 + seed * 1000
    const complaint = random.pick(engine.edition.symptoms.filter(({ flow }) => watchers.flow === undefined || flow === watchers.flow))
    const opener = random.pick([HOME, DESK, JUNIOR, QUALIFIED])
    const opened = engine.open(
      { flow: complaint.flow, complaint: complaint.complaint, words: 'It is far too hot.', person: opener },
      {
        now: this.#now,
        job: `job-${seed}-random`,
        short: 'RND-1',
        device: `device-${opener.id}`,
        channel: 'api',
        commandId: `open-${seed}`,
      },
    )
    if (!opened.ok) throw new Error(opened.problem.message)
    this.#events.push(...opened.value)
    this.#opening = opened.value
    const state = engine.fold(opened.value)
    if (state === undefined) throw new Error('nothing was opened')
    this.#state = state
    this.#command(random.pick([JUNIOR, JUNIOR, QUALIFIED, LEARNER]), (person) => ({ type: 'join', person, on_site: false }))
    this.#label()
    if (random.next() < 0.6) this.#arrive()
  }

  /** What the rating label says, stated before anybody asks: most tubs are large, some hang on a cord, some stay unknown. */
  #label(): void {
    const kind = this.#random.next()
    if (kind < 0.25) return
    const kilowatts = kind < 0.4 ? '1' : kind < 0.6 ? '4' : '5.5'
    const facts: [string, Extract<Envelope['command'], { type: 'state-fact' }>['value']][] = [
      ['volume', { typed: kind < 0.4 ? '240' : '350', unit: 'gal' }],
      ['heater-power', { typed: kilowatts, unit: 'kW' }],
      ['supply-profile', kind < 0.4 ? 'cord-120' : this.#random.pick(['split-240-4wire', 'split-240-3wire', 'wye-208'])],
      ['relay-fixed-leg', this.#random.next() < 0.3],
      ['tub-age', { typed: this.#random.pick(['3', '14']), unit: '1' }],
      ['region', this.#random.next() < 0.03 ? 'elsewhere' : 'north-america'],
    ]
    const teller = this.#here()[0]
    for (const [slug, value] of facts) {
      if (teller !== undefined && this.#random.next() < 0.85)
        this.#command(teller, () => ({ type: 'state-fact', slug, value, source: 'label' }))
    }
  }

  run(): FinishedJob {
    let visits = this.#random.pick([0, 0, 0, 1, 1, 2])
    while (this.#commands < COMMAND_LIMIT) {
      if (this.#state.ended === undefined) this.#turn()
      else if (visits > 0 && this.#commands < COMMAND_LIMIT / 2) {
        visits -= 1
        this.#nextVisit()
      } else break
    }
    return { events: this.#events, state: this.#state, commands: this.#commands, now: this.#now }
  }

  #here(): Person[] {
    return Object.values(this.#state.people).filter((person) => person.here)
  }

  #arrive(): void {
    const technician = this.#here().find((person) => person.role === 'technician')
    if (technician !== undefined) this.#command(technician, () => ({ type: 'arrive' }))
  }

  /** The job goes on another day, by whoever comes then. */
  #nextVisit(): void {
    this.#now += (1 + this.#random.below(72)) * 3_600_000
    const comes = this.#random.pick([JUNIOR, QUALIFIED, LEARNER])
    this.#command(comes, (person) => ({ type: 'join', person, on_site: false }))
    this.#command(comes, () => ({ type: 'arrive' }))
  }

  /** One command by whoever can do something; now and then a disturbance. */
  #turn(): void {
    this.#now += this.#random.below(90) * 1000
    if (this.#commands < RESTLESS && this.#random.next() < this.#unrest && this.#disturb()) return
    this.#wakeWhenDue()
    if (this.#random.next() < COMPANY) this.#colleagueComes()
    for (const person of this.#shuffled(this.#here())) {
      const view = this.#look(person)
      if (view.step === undefined) continue
      if (view.part === 'find' && this.#random.next() < 0.012 && this.#outOfTurn(person)) return
      if (!this.#reportFor(person)) this.#answer(person, view, view.step)
      return
    }
    this.#wake()
  }

  /** Close to a branch that asks for a hazard somebody reports it. */
  #reportFor(person: Person): boolean {
    const [wanted] = this.#aims
    const hazard = wanted?.hazards?.find((one) => this.#state.tub.hazards[one] === undefined)
    if (wanted === undefined || hazard === undefined) return false
    const top = this.#state.path.frames.at(-1)
    const outcomes = Object.keys(this.#engine.edition.blocks[top?.block ?? '']?.steps[top?.step ?? '']?.outcomes ?? {})
    const nearest = Math.min(...outcomes.map((outcome) => this.#taken.steering.distance(this.#state, outcome, wanted)))
    return nearest <= 1 && this.#command(person, () => ({ type: 'mend', what: 'hazard', hazard }))
  }

  /** A second technician comes to the tub; the first one stays. */
  #colleagueComes(): void {
    const { onSite } = this.#state.tub
    if (onSite.length !== 1) return
    const comes = [JUNIOR, QUALIFIED, LEARNER].find(({ id }) => !onSite.includes(id))
    if (comes === undefined) return
    this.#command(comes, (person) => ({ type: 'join', person, on_site: false }))
    this.#command(comes, () => ({ type: 'arrive' }))
  }

  /** A screen asks what time has brought about before it shows a step. */
  #wakeWhenDue(): void {
    const awake = this.#here()[0]
    if (awake !== undefined && this.#engine.due(this.#state, this.#now)) this.#command(awake, () => ({ type: 'wake' }))
  }

  #shuffled(people: Person[]): Person[] {
    const rest = [...people]
    const list: Person[] = []
    while (rest.length > 0) list.push(...rest.splice(this.#random.below(rest.length), 1))
    return list
  }

  /** What a person sees now; made once for each moment. */
  #look(person: Person): JobView {
    const seen = this.#seen
    if (seen !== undefined && seen.state === this.#state && seen.person === person.id && seen.now === this.#now) return seen.view
    const view = this.#engine.view(this.#state, person.id, this.#now)
    this.#seen = { state: this.#state, person: person.id, now: this.#now, view }
    return view
  }

  #outOfTurn(person: Person): boolean {
    const tests = Object.values(this.#engine.edition.blocks).filter((block) => block.kind === 'test')
    return this.#command(person, () => ({ type: 'take-test', test: this.#random.pick(tests).id }))
  }

  /** Nobody can go on: somebody wakes the phone, a technician comes, takes the tub, or a person who may do it joins. */
  #wake(): void {
    const before = this.#state
    const roll = this.#random.next()
    if (this.#here().length === 0)
      this.#command(this.#random.pick([JUNIOR, QUALIFIED, DESK]), (person) => ({ type: 'join', person, on_site: false }))
    const onSite = this.#here().filter((person) => this.#state.tub.onSite.includes(person.id))
    const waitsFor = this.#here().flatMap((person) => this.#look(person).waiting?.roles ?? [])
    if (waitsFor.includes('electrician') && this.#random.next() < 0.8) {
      this.#command(ELECTRICIAN, (person) => ({ type: 'join', person, on_site: false }))
      return
    }
    if (waitsFor.includes('electrician') && onSite.length > 0) {
      this.#command(this.#random.pick(onSite), () => ({ type: 'stop' }))
      return
    }
    if (onSite.length === 0 && roll < 0.9) {
      if (!this.#here().some((person) => person.role === 'technician'))
        this.#command(JUNIOR, (person) => ({ type: 'join', person, on_site: false }))
      this.#arrive()
    } else if (roll < 0.5) this.#command(this.#random.pick([QUALIFIED, DESK, HOME]), (person) => ({ type: 'join', person, on_site: false }))
    else if (onSite.length > 0) this.#command(this.#random.pick(onSite), () => ({ type: 'take-tub' }))
    if (this.#state === before) {
      const qualified = this.#here().find((person) => person.id === QUALIFIED.id)
      if (qualified === undefined) this.#command(QUALIFIED, (person) => ({ type: 'join', person, on_site: false }))
      else this.#command(qualified, () => ({ type: 'arrive' }))
    }
    const holder = this.#state.people[this.#state.tub.holder?.person ?? '']
    if (holder !== undefined) this.#command(holder, () => ({ type: 'wake' }))
  }

  #disturb(): boolean {
    const people = this.#here()
    if (people.length === 0) return false
    const person = this.#random.pick(people)
    const roll = this.#random.next()
    const { path, tub } = this.#state
    if (roll < 0.3) {
      const key = path.trail.length === 0 ? undefined : this.#random.pick(path.trail)
      return key === undefined ? false : this.#change(person, key)
    }
    if (roll < 0.33) return this.#command(person, () => ({ type: 'mend', what: 'hazard', hazard: this.#random.pick(HAZARD_SLUGS) }))
    if (roll < 0.55) return this.#command(person, () => ({ type: 'undo' }))
    if (roll < 0.6) return this.#command(person, () => ({ type: 'stop' }))
    if (roll < 0.62)
      return this.#command(person, () => ({ type: 'red-flag', flag: this.#random.pick(this.#engine.edition.red_flags).slug }))
    if (roll < 0.68)
      return this.#command(this.#random.pick([QUALIFIED, LEARNER, DESK, HOME]), (one) => ({ type: 'join', person: one, on_site: false }))
    if (roll < 0.74) return this.#command(person, () => ({ type: 'arrive' }))
    if (roll < 0.8 && tub.onSite.length > 1) return this.#command(person, () => ({ type: 'take-tub' }))
    if (roll < 0.83) return this.#command(person, () => ({ type: 'leave' }))
    if (roll < 0.87) return this.#pause(person)
    if (roll < 0.9)
      return this.#command(person, () => ({
        type: 'mend',
        what: this.#random.pick(['power-is-on', 'cover-is-off', 'lock-is-off', 'proof-is-gone'] as const),
      }))
    if (roll < 0.95)
      return this.#command(person, () => ({
        type: 'state-fact',
        slug: 'volume',
        value: { typed: String(250 + this.#random.below(250)), unit: 'gal' },
        source: 'label',
      }))
    return this.#outOfTurn(person)
  }

  #pause(person: Person): boolean {
    this.#now += (20 + this.#random.below(120)) * 60_000
    return this.#command(person, () => ({ type: 'wake' }))
  }

  #change(person: Person, key: string): boolean {
    const [block = '', step = ''] = lastOf(key)
    const spec = this.#engine.edition.blocks[block]?.steps[step]
    if (spec === undefined || spec.kind === 'record') return false
    const outcomes = Object.keys(spec.outcomes).filter((name) => name !== 'not-done' && name !== 'otherwise')
    if (spec.kind === 'read') return this.#changeReadings(person, key, spec, this.#random.pick(outcomes))
    return this.#command(person, () => ({ type: 'change', key, outcome: this.#random.pick(outcomes) }))
  }

  #changeReadings(person: Person, key: string, step: Step, way: string): boolean {
    const samples = SAMPLES[step.evaluator ?? '']?.[way] ?? []
    if (samples.length === 0) return false
    const readings = typedSample(step.readings ?? [], this.#random.pick(samples), this.#now)
    return this.#command(person, () => ({ type: 'change', key, readings, sure: true }))
  }

  /** Steers towards something that was seldom taken; now and then, and where the way does not matter, evenly. */
  #choose(step: StepView, ways: readonly string[]): string {
    if (this.#random.next() < EVENLY) return this.#random.pick(ways)
    const { aims, distance } = this.#taken.steering
    if (this.#aims.length === 0) this.#aims = aims(this.#state, this.#random)
    const [wanted] = this.#aims
    if (wanted === undefined) return this.#random.pick(ways)
    const far = ways.map((way) => distance(this.#state, way, wanted))
    const nearest = Math.min(...far)
    if (nearest === 0 || nearest >= 1e6) this.#aims.shift()
    const spec = this.#engine.edition.blocks[step.block]?.steps[step.step]
    const weights = far.map((one, index) => {
      const way = ways[index] ?? ''
      const isNew = this.#taken.times.has(`${step.block}.${step.step}=${way}`) ? 0 : NEWNESS
      return isNew + (one === 0 ? 50 : DETOUR ** (one - nearest) * likely(spec, way))
    })
    let roll = this.#random.next() * weights.reduce((sum, weight) => sum + weight, 0)
    for (const [index, weight] of weights.entries()) {
      roll -= weight
      if (roll <= 0) return ways[index] ?? ways[0] ?? ''
    }
    return ways[0] ?? ''
  }

  #answer(person: Person, view: JobView, step: StepView): void {
    const spec = this.#engine.edition.blocks[step.block]?.steps[step.step]
    const computed = spec === undefined ? [] : Object.keys(spec.outcomes).filter((name) => name !== 'not-done' && name !== 'otherwise')
    const ways = [
      ...new Set([
        ...(step.readings.length > 0 || step.form !== undefined ? computed : []),
        ...step.outcomes.map((one) => one.outcome),
        ...(step.kind === 'wait' ? ['done'] : []),
        ...(step.can_not_do ? ['not-done'] : []),
      ]),
    ]
    const way = this.#choose(step, ways)
    if (step.until !== undefined) this.#now = Math.max(this.#now, step.until)
    const given = this.#readings(step, way, spec?.evaluator) ?? this.#given(view, step, way)
    if (this.#command(person, () => ({ type: 'answer', place: step.place, ...given }))) return
    // What could not be answered so is left out, as a person would.
    if (step.can_not_do)
      this.#command(person, () => ({ type: 'answer', place: step.place, not_done: this.#random.pick(view.not_done).slug }))
  }

  /** The first sample that gives the wanted outcome with what is known of this tub; any sample when none does. */
  #readings(step: StepView, way: string, evaluator: string | undefined) {
    if (step.readings.length === 0) return undefined
    const samples = SAMPLES[evaluator ?? '']?.[way] ?? []
    const first = this.#random.below(Math.max(1, samples.length))
    const begun = this.#now
    for (const sample of [...samples.slice(first), ...samples.slice(0, first)]) {
      // A series is watched from now on: its time passes before it is sent.
      this.#now = begun + minutesOf(sample) * 60_000
      const given = { readings: typedSample(step.readings, sample, this.#now), sure: true }
      if (this.#outcomeOf(step, given) === way) return given
    }
    const sample = samples[first]
    return sample === undefined ? undefined : { readings: typedSample(step.readings, sample, this.#now), sure: true }
  }

  #outcomeOf(step: StepView, given: { readings: SampleReadings; sure: boolean }): string | undefined {
    for (const person of this.#here()) {
      const command = { type: 'answer', place: step.place, ...given } as const
      const result = this.#engine.decide(this.#state, this.#envelope(person, command), { now: this.#now })
      const answer = result.ok ? result.value.find((event) => event.type === 'answer-given') : undefined
      if (answer?.type === 'answer-given') return answer.body.outcome
    }
    return undefined
  }

  #given(view: JobView, step: StepView, way: string) {
    if (way === 'not-done') return { not_done: this.#random.pick(view.not_done).slug }
    if (step.outcomes.some((one) => one.outcome === way)) return { outcome: way }
    if (step.kind === 'wait') return { outcome: 'done' }
    if (step.form !== undefined) return { form: this.#form(step.form, way) }
    return { not_done: this.#random.pick(view.not_done).slug }
  }

  #form(form: NonNullable<StepView['form']>, way: string): Form {
    switch (form.form) {
      case 'facts':
        return {
          form: 'facts',
          facts: Object.fromEntries(
            form.facts.map((fact) => [
              fact.slug,
              fact.choices === undefined || this.#random.next() < 0.3 ? null : this.#random.pick(fact.choices).value,
            ]),
          ),
        }
      case 'pairs': {
        const all = this.#random.next() < 0.6
        const volts = Object.fromEntries(
          form.places
            .filter(({ needed }) => all || needed)
            .flatMap(({ place, pairs }) => pairs.map((pair) => [`${place}:${pair}`, { typed: '0.0', unit: 'V' }])),
        )
        const first = Object.keys(volts)[0]
        if (way === 'voltage' && first !== undefined) volts[first] = { typed: '118', unit: 'V' }
        return { form: 'pairs', tester_before: true, tester_after: way !== 'not-proved', volts }
      }
      case 'switches':
        return {
          form: 'switches',
          positions: way === 'mismatch' ? '001011' : (form.old?.positions ?? '110100'),
          jumpers: form.old?.jumpers ?? '',
        }
      case 'conductors':
        return { form: 'conductors', conductors: [{ from: 'block 1', to: 'board L1', colour: 'black', meter: 'hot' }] }
      case 'loads':
        return { form: 'loads', loads: [{ load: 'pump', outlet: 'A', volts: '240' }] }
      case 'settings':
        return { form: 'settings', settings: { 'set-point': '100 F' } }
      case 'checklist':
        return { form: 'checklist', ticked: form.items }
      case 'text':
        return { form: 'text', fields: Object.fromEntries(form.fields.map((field) => [field.name, 'as seen'])) }
    }
  }

  #envelope(person: Person, command: Envelope['command']): Envelope {
    return {
      id: `cmd-${this.#seed}-${this.#serial}`,
      person: person.id,
      role: person.role,
      device: `device-${person.id}`,
      channel: 'api',
      command,
    }
  }

  #ended(ended: NonNullable<JobState['ended']>): void {
    const name = `${lastOf(ended.step).join('.')}=${AN_END}`
    this.#taken.times.set(name, (this.#taken.times.get(name) ?? 0) + 1)
    this.#watchers.ends?.(ended)
  }

  #command(person: Person, make: (person: Person) => Envelope['command']): boolean {
    this.#commands += 1
    const command = make(person)
    const envelope = this.#envelope(person, command)
    this.#serial += 1
    const before = this.#state
    const viewBefore = this.#look(person)
    const result = this.#engine.decide(before, envelope, { now: this.#now })
    if (!result.ok || result.value.length === 0) return false
    for (const event of result.value) {
      this.#events.push(event)
      this.#state = this.#engine.evolve(this.#state, event)
      if (event.type === 'answer-given') {
        const [block, step] = lastOf(event.body.key)
        const name = `${block}.${step}=${event.body.outcome}`
        this.#taken.times.set(name, (this.#taken.times.get(name) ?? 0) + 1)
      }
    }
    if (this.#state.ended !== undefined && before.ended === undefined) this.#ended(this.#state.ended)
    this.#watchers.watch({
      envelope,
      opening: this.#opening,
      command,
      person,
      before,
      viewBefore,
      events: result.value,
      after: this.#state,
      now: this.#now,
    })
    return true
  }
}

/** How people mostly answer, by the odds of the library; even where it names none. */
function likely(step: Step | undefined, way: string): number {
  if (way === 'not-done') return 0.05
  return Math.max(0.04, step?.outcomes[way]?.odds ?? 0.5)
}

/** Block and step that a key ends in, read by the test's own eyes. */
export function lastOf(key: string): [block: string, step: string] {
  const match = /(?:^|[|>])(?:\+\d+)?([a-z0-9~=-]+)\.([a-z0-9-]+)#\d+$/.exec(key)
  return [match?.[1] ?? '', match?.[2] ?? '']
}
