// A small client of the API for tests: opens invented jobs, sends commands, answers whatever step is offered.
// It speaks HTTP through inject and knows nothing of the parts behind it.
import type { Engine, JobState } from '#graphs'
import type { Command, Envelope, JobEvent, JobView, Role, SignOff, StepView } from '#graphs/contract'
import type { App } from '../../server/app-type.ts'
import type { Ack } from '../../server/storage/event-log.ts'
import { newId } from './sample-events.ts'

export type Someone = { id: string; name: string; role: Role; signed: SignOff[] }
export const DESK: Someone = { id: 'dana-desk', name: 'Dana Desk', role: 'dispatcher', signed: [] }
export const HOME: Someone = { id: 'ann-home', name: 'Ann Example', role: 'homeowner', signed: [] }
export const TECH: Someone = { id: 'theo-tech', name: 'Theo Tech', role: 'technician', signed: ['absence-of-voltage'] }

export type Reply = { status: number; type: string; body: Body; text: string; headers: { readonly [name: string]: unknown } }
/** The union of all replies, loosely: tests look at the fields they expect. */
export type Body = {
  job: string
  short: string
  staff_token: string
  homeowner_token: string
  repeat: boolean
  events: JobEvent[]
  acks: Ack[]
  head: Ack
  view: JobView
  code: string
  detail: string
  path: string
  status: number
  details: { events?: JobEvent[]; acks?: Ack[]; view?: JobView; items?: Item[] }
  items: Item[]
  jobs: { job: string; short: string; title: string; state: string }[]
  erased: number
}
export type Item = { id: string; taken: boolean; repeat?: boolean; agreed?: boolean; acks?: Ack[]; events?: JobEvent[]; code?: string }

export type Method = 'GET' | 'POST' | 'DELETE' | 'PUT' | 'HEAD'

export async function ask(app: App, method: Method, url: string, payload?: object, headers: Record<string, string> = {}): Promise<Reply> {
  const response = await app.inject({ method, url, headers, ...(payload === undefined ? {} : { payload }) })
  const type = String(response.headers['content-type'] ?? '')
  const body = (type.includes('json') ? response.json() : {}) as Body
  return { status: response.statusCode, type, body, text: response.body, headers: response.headers }
}

export const OPENING = { flow: 'overheating', complaint: 'hotter-than-set', words: 'far too hot since Monday', practice: true }

export async function openJob(app: App, person: Someone = DESK): Promise<Body> {
  const reply = await ask(app, 'POST', '/api/jobs', { ...OPENING, person })
  if (reply.status !== 201) throw new Error(reply.text)
  return reply.body
}

export function envelopeOf(command: Command, person: Someone = DESK, more: Partial<Envelope> = {}): Envelope {
  return { id: newId('command'), person: person.id, role: person.role, device: `phone-${person.id}`, channel: 'page', command, ...more }
}

export async function send(
  app: App,
  token: string,
  command: Command,
  person: Someone = DESK,
  more: Partial<Envelope> = {},
): Promise<Reply> {
  return await ask(app, 'POST', `/api/jobs/${token}/commands`, envelopeOf(command, person, more))
}

/** The first answer on offer for a step to be picked from. */
export function firstAnswer(view: JobView, pick = 0): Extract<Command, { type: 'answer' }> {
  const step = stepOf(view)
  const outcome = step.outcomes[pick]?.outcome
  if (outcome === undefined) throw new Error(`Step ${step.step} offers no outcome ${pick}: it wants readings or a form.`)
  return { type: 'answer', place: step.place, outcome }
}

export function stepOf(view: JobView): StepView {
  if (view.step === undefined) throw new Error(`No step is offered: ${JSON.stringify(view.waiting ?? view.ended)}`)
  return view.step
}

/** The commands that lead from the opened job to the nearest wanted step, found by trying every picked answer of each step once. */
export function commandsTo(engine: Engine, job: Body, person: Someone, wanted: (step: StepView) => boolean): Command[] {
  const start = engine.fold(job.events)
  if (start === undefined) throw new Error('no events')
  let now = start.lastAt
  const seen = new Set<string>()
  const queue: { state: JobState; commands: Command[] }[] = [{ state: start, commands: [] }]
  for (let tries = 0; tries < 3000; tries += 1) {
    const at = queue.shift()
    if (at === undefined) break
    const view = engine.view(at.state, person.id, (now += 1000))
    if (view.step === undefined || seen.has(`${view.step.block}.${view.step.step}`)) continue
    if (wanted(view.step)) return at.commands
    seen.add(`${view.step.block}.${view.step.step}`)
    for (const command of answersOf(view, view.step)) {
      const decided = engine.decide(at.state, envelopeOf(command, person), { now })
      if (decided.ok) queue.push({ state: decided.value.reduce<JobState>(engine.evolve, at.state), commands: [...at.commands, command] })
    }
  }
  throw new Error('No such step was found.')
}

/** Sends them all, and gives the last view. */
export async function sendAll(app: App, job: Body, commands: readonly Command[], person: Someone = DESK): Promise<JobView> {
  let { view } = job
  for (const command of commands) {
    const reply = await send(app, job.staff_token, command, person)
    if (reply.status !== 200) throw new Error(reply.text)
    view = reply.body.view
  }
  return view
}

/** Every outcome that can be picked; a form of facts with nothing known. */
function answersOf(view: JobView, step: StepView): Command[] {
  const picked = step.outcomes.map((_, pick) => firstAnswer(view, pick))
  if (step.form?.form !== 'facts') return picked
  const facts = Object.fromEntries(step.form.facts.map((fact) => [fact.slug, null]))
  return [...picked, { type: 'answer', place: step.place, form: { form: 'facts', facts } }]
}
