// Plays one job from its opening to its end, through HTTP or through the engine itself: who answers what is handed in.
// Nothing of the tub, and no judgement of what came of it, lives here.
import type { Engine, JobState } from '#graphs'
import type { Command, Envelope, JobEvent, JobView, Person, StepView } from '#graphs/contract'
import type { App } from '../../server/app-type.ts'
import { ask } from '../server/client.ts'

export type Clock = { now: number }
export type Opening = { readonly complaint: string; readonly words: string; readonly person: Person }
export type Refusal = { readonly code: string; readonly message: string; readonly details?: unknown }
export type Sent =
  | { readonly ok: true; readonly view: JobView; readonly events: readonly JobEvent[] }
  | { readonly ok: false; readonly problem: Refusal }

/** The two ways to a job. Both answer with what the person sees next. */
export type Transport = {
  readonly open: (opening: Opening) => Promise<{ readonly view: JobView; readonly events: readonly JobEvent[] }>
  readonly send: (person: Person, command: Command) => Promise<Sent>
  readonly view: (person: Person) => Promise<JobView>
}

const FLOW = 'overheating'

/** Through the routes of the server, without a socket. */
export function createHttpTransport(app: App): Transport {
  let token = ''
  let serial = 0
  return {
    open: async ({ complaint, words, person }) => {
      const body = { flow: FLOW, complaint, words, practice: true, person, device: `device-${person.id}`, channel: 'phone' }
      const reply = await ask(app, 'POST', '/api/jobs', body)
      if (reply.status !== 201) throw new Error(reply.text)
      token = reply.body.staff_token
      return { view: reply.body.view, events: reply.body.events }
    },
    send: async (person, command) => {
      serial += 1
      const reply = await ask(app, 'POST', `/api/jobs/${token}/commands`, envelopeOf(`${token.slice(0, 12)}-${serial}`, person, command))
      if (reply.status === 200) return { ok: true, view: reply.body.view, events: reply.body.events }
      if (reply.status >= 500) throw new Error(reply.text)
      return { ok: false, problem: { code: reply.body.code, message: reply.body.detail, details: reply.body.details } }
    },
    view: async (person) => {
      const reply = await ask(app, 'GET', `/api/jobs/${token}/view?person=${person.id}`)
      if (reply.status !== 200) throw new Error(reply.text)
      return reply.body as unknown as JobView
    },
  }
}

/** The same interface on the engine alone. */
export function createEngineTransport(engine: Engine, clock: Clock): Transport {
  let state: JobState | undefined
  let serial = 0
  const held = (): JobState => {
    if (state === undefined) throw new Error('the job is not open')
    return state
  }
  return {
    open: async ({ complaint, words, person }) => {
      const opened = engine.open(
        { flow: FLOW, complaint, words, practice: true, person },
        { now: clock.now, job: 'job-000001', short: 'AAA-22', device: `device-${person.id}`, channel: 'phone', commandId: 'open-000001' },
      )
      if (!opened.ok) throw new Error(opened.problem.message)
      state = engine.fold(opened.value)
      return { view: engine.view(held(), person.id, clock.now), events: opened.value }
    },
    send: async (person, command) => {
      serial += 1
      const decided = engine.decide(held(), envelopeOf(`command-${serial}`, person, command), { now: clock.now })
      if (!decided.ok) return { ok: false, problem: decided.problem }
      for (const event of decided.value) state = engine.evolve(state, event)
      return { ok: true, view: engine.view(held(), person.id, clock.now), events: decided.value }
    },
    view: async (person) => engine.view(held(), person.id, clock.now),
  }
}

function envelopeOf(id: string, person: Person, command: Command): Envelope {
  return { id, person: person.id, role: person.role, device: `device-${person.id}`, channel: 'site', command }
}

export type Given = Omit<Extract<Command, { type: 'answer' }>, 'type' | 'place'>

/** Whoever plays the job: answers each step that is offered, and says who comes when nobody here can go on. */
export type Player = {
  /** Who looks and answers now. */
  readonly person: () => Person
  readonly opening: () => Opening
  /** Commands before the first step is answered. */
  readonly begin: () => readonly Command[]
  readonly answer: (step: StepView, view: JobView) => Given
  /** The answer counts: what it says was done is done now. */
  readonly accepted: (step: StepView, given: Given) => void
  /** The answer was refused: another one, or undefined when there is none. */
  readonly again: (step: StepView, problem: Refusal, given: Given) => Given | undefined
  /** Nobody could go on: commands that help, by the person they belong to. */
  readonly stuck: (view: JobView) => readonly { readonly person: Person; readonly command: Command }[]
}

export type Line = { readonly step: string; readonly answer: string; readonly power: string; readonly clock: number }
export type Played = {
  readonly events: readonly JobEvent[]
  readonly ended: JobView['ended']
  readonly lines: readonly Line[]
  readonly refusals: readonly { readonly step: string; readonly code: string; readonly message: string }[]
}

const MOST_COMMANDS = 400
const MOST_TRIES = 4

export async function playJob(transport: Transport, player: Player, clock: Clock): Promise<Played> {
  const game = new Game(transport, player, clock)
  return await game.run()
}

class Game {
  readonly #transport: Transport
  readonly #player: Player
  readonly #clock: Clock
  readonly #events: JobEvent[] = []
  readonly #lines: Line[] = []
  readonly #refusals: { step: string; code: string; message: string }[] = []

  constructor(transport: Transport, player: Player, clock: Clock) {
    this.#transport = transport
    this.#player = player
    this.#clock = clock
  }

  async run(): Promise<Played> {
    const opened = await this.#transport.open(this.#player.opening())
    this.#take(opened.events)
    let { view } = opened
    for (const command of this.#player.begin()) view = await this.#must(this.#player.person(), command)
    for (let turn = 0; view.ended === undefined; turn += 1) {
      if (turn > MOST_COMMANDS) throw this.#fail('the job does not end')
      view = view.step === undefined ? await this.#helpOut(view) : await this.#answer(view.step, view)
    }
    return { events: this.#events, ended: view.ended, lines: this.#lines, refusals: this.#refusals }
  }

  async #answer(step: StepView, view: JobView): Promise<JobView> {
    const name = nameOf(step)
    let given = this.#player.answer(step, view)
    for (let tries = 0; tries < MOST_TRIES; tries += 1) {
      const sent = await this.#transport.send(this.#player.person(), { type: 'answer', place: step.place, ...given })
      if (sent.ok) {
        this.#lines.push({ step: name, answer: describe(given, sent.events), power: view.power, clock: this.#clock.now })
        this.#take(sent.events)
        this.#player.accepted(step, given)
        return sent.view
      }
      this.#refusals.push({ step: name, code: sent.problem.code, message: sent.problem.message })
      if (sent.problem.code === 'JOB_PLACE_GONE' || sent.problem.code === 'JOB_SAFETY') {
        const now = await this.#transport.view(this.#player.person())
        if (now.ended !== undefined || now.step?.place !== step.place) return now
      }
      const other = this.#player.again(step, sent.problem, given)
      if (other === undefined) throw this.#fail(`${name} was refused: ${JSON.stringify(given)} ${JSON.stringify(sent.problem)}`)
      given = other
    }
    throw this.#fail(`${name} is refused whatever is answered`)
  }

  async #helpOut(view: JobView): Promise<JobView> {
    for (const { person, command } of this.#player.stuck(view)) await this.#must(person, command)
    return await this.#transport.view(this.#player.person())
  }

  async #must(person: Person, command: Command): Promise<JobView> {
    const sent = await this.#transport.send(person, command)
    if (!sent.ok) throw this.#fail(`${command.type} was refused: ${JSON.stringify(sent.problem)}`)
    this.#take(sent.events)
    return sent.view
  }

  #take(events: readonly JobEvent[]): void {
    this.#events.push(...events)
  }

  #fail(words: string): Error {
    const last = this.#lines.slice(-12).map((line) => `${line.step}: ${line.answer}`)
    return new Error(`${words}\n${last.join('\n')}`)
  }
}

/** "block.step", whatever the block was called with. */
export function nameOf(step: { readonly block: string; readonly step: string }): string {
  return `${step.block.replace(/~.*$/, '')}.${step.step}`
}

function describe(given: Given, events: readonly JobEvent[]): string {
  const answers = events.filter((event) => event.type === 'answer-given')
  const computed = answers[0]?.body.outcome ?? '?'
  if (given.not_done !== undefined) return `not-done (${given.not_done})`
  if (given.readings !== undefined) return `${computed} ${shortReadings(given.readings)}`
  return computed
}

function shortReadings(readings: NonNullable<Given['readings']>): string {
  return Object.entries(readings)
    .map(([name, typed]) => `${name} ${(Array.isArray(typed) ? typed : [typed]).map((one) => one.typed).join(' ')}`)
    .join(', ')
}
