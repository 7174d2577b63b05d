// What can be asked of jobs: open, decide a command, take in what a phone decided, show. The engine decides; the store remembers.
// Nothing here knows HTTP, links or who may ask.
import { createHash } from 'node:crypto'
import { foldLog } from '#graphs'
import type { Engine, JobState } from '#graphs'
import type { Envelope, JobEvent, JobView, OpenJob } from '#graphs/contract'
import { eventSchema } from '#graphs/contract'
import { isSameDecision } from './decision.ts'
import { failed, ok } from './errors.ts'
import type { Outcome } from './errors.ts'
import { createFolded, createRecent, createTurns, withStored } from './job-memory.ts'
import type { FoldedJob } from './job-memory.ts'
import type { EventLog, NewLink, Stored } from './storage/event-log.ts'

export type Engines = { readonly current: Engine; readonly get: (edition: number) => Engine | undefined }

export type JobsDeps = {
  readonly log: EventLog
  readonly engines: Engines
  readonly now: () => number
  readonly newId: () => string
  /** Jobs kept folded in memory. */
  readonly most?: number
}

export type OpenOrder = {
  readonly order: OpenJob
  /** Made by the sender, long and random: opening again with it finds the job that was opened. */
  readonly id?: string
  readonly device: string
  readonly channel: 'page' | 'phone' | 'site' | 'api'
  readonly links: readonly NewLink[]
}

export type Decided = {
  readonly stored: readonly Stored[]
  /** The command was known: this is what was stored then. */
  readonly repeat: boolean
  /** False when the phone's own events were replaced by those of the server. */
  readonly agreed: boolean
  readonly folded: FoldedJob
}

export type PhoneItem = { readonly envelope: Envelope; readonly events: readonly JobEvent[] }

export type Jobs = {
  readonly open: (order: OpenOrder) => Promise<Outcome<Decided>>
  readonly command: (job: string, envelope: Envelope) => Promise<Outcome<Decided>>
  /** One result per item, in order; an item that is refused does not sink the ones after it. */
  readonly takePhone: (job: string, items: readonly PhoneItem[], after: number) => Promise<Outcome<Decided>[]>
  readonly find: (job: string) => Promise<Outcome<FoldedJob>>
  readonly view: (job: string, person: string, device?: string) => Promise<Outcome<JobView>>
  /** The next request reads the log again. */
  readonly forget: (job: string) => void
  readonly counts: { stale: number; repeats: number; refused: number; answers: number; replays: number }
}

type Inner = Required<JobsDeps> & { readonly recent: ReturnType<typeof createRecent<FoldedJob>>; readonly counts: Jobs['counts'] }

/** Ids of further events are the command's with a number behind it. */
const COMMAND_ID_MOST = 48
/** More in a row than this is not bad luck but a fault. */
const STALE_RETRIES_MOST = 8
/** About 60 kB each. Phones ask after every open job again and again: reading them anew costs more than keeping them. */
const RECENT_MOST = 1000
/** A device's time never runs back in the log: one wrong year would stand still for ever, and no proof would lapse. */
const CLOCK_AHEAD_MOST = 24 * 60 * 60 * 1000

export function createJobs(deps: JobsDeps): Jobs {
  const most = deps.most ?? RECENT_MOST
  const counts = { stale: 0, repeats: 0, refused: 0, answers: 0, replays: 0 }
  const inner: Inner = { ...deps, most, recent: createRecent<FoldedJob>(most), counts }
  const turns = createTurns()
  return {
    counts,
    open: async (order) => {
      const job = order.id === undefined ? deps.newId() : jobOfOpening(order.id)
      return await turns(job, async () => await openJob(inner, job, order))
    },
    command: async (job, envelope) => await turns(job, async () => await decideAndStore(inner, job, envelope)),
    takePhone: async (job, items, after) => await turns(job, async () => await takeItems(inner, job, items, after)),
    find: async (job) => await turns(job, async () => await load(inner, job)),
    view: async (job, person, device) => await turns(job, async () => await showJob(inner, job, person, device)),
    forget: (job) => inner.recent.delete(job),
  }
}

/** The same opening leads to the same job, and the job's id does not tell the opening's. */
function jobOfOpening(id: string): string {
  return createHash('sha256').update(`job\n${id}`).digest('base64url').slice(0, 22)
}

async function openJob(inner: Inner, job: string, { order, id, device, channel, links }: OpenOrder): Promise<Outcome<Decided>> {
  if (id !== undefined && id.length > COMMAND_ID_MOST) return idTooLong()
  const known = id === undefined ? undefined : await load(inner, job)
  if (known?.ok === true) {
    inner.counts.repeats += 1
    const again = await repeatCommand(inner, known.value, id ?? '')
    const linked = again.ok ? await inner.log.addLinks(job, links) : again
    return linked.ok ? again : linked
  }
  if (known !== undefined && known.problem.code !== 'JOB_UNKNOWN') return known
  const engine = inner.engines.current
  const opened = engine.open(order, {
    now: inner.now(),
    job,
    short: createShortId(inner.newId()),
    device,
    channel,
    commandId: id ?? inner.newId(),
  })
  if (!opened.ok) return opened
  const [appended] = await inner.log.append([{ job, expectedSeq: 0, events: checkEvents(opened.value), links }])
  if (appended === undefined) throw new Error('The store gave no result for an append.')
  if (!appended.ok) return appended
  const state = engine.fold(appended.value.stored.map((line) => line.event))
  if (state === undefined) throw new Error('The first events of a job fold to nothing.')
  const folded = createFolded(job, engine, state, appended.value.stored)
  inner.recent.set(job, folded)
  return ok({ stored: appended.value.stored, repeat: false, agreed: true, folded })
}

async function takeItems(inner: Inner, job: string, items: readonly PhoneItem[], after: number): Promise<Outcome<Decided>[]> {
  const before = await load(inner, job)
  if (!before.ok) return items.map(() => before)
  const isBehind = before.value.seq > after
  const results: Outcome<Decided>[] = []
  for (const item of items) results.push(await decideAndStore(inner, job, item.envelope, { events: item.events, isBehind }))
  return results
}

type FromPhone = { readonly events: readonly JobEvent[]; readonly isBehind: boolean }

async function decideAndStore(inner: Inner, job: string, envelope: Envelope, phone?: FromPhone): Promise<Outcome<Decided>> {
  if (envelope.id.length > COMMAND_ID_MOST) return idTooLong()
  for (let attempt = 0; attempt < STALE_RETRIES_MOST; attempt += 1) {
    const loaded = await load(inner, job)
    if (!loaded.ok) return loaded
    const folded = loaded.value
    if (folded.commands.has(envelope.id)) {
      inner.counts.repeats += 1
      return await repeatCommand(inner, folded, envelope.id)
    }
    const decided = decide(inner, folded, envelope, phone)
    if (!decided.ok) {
      inner.counts.refused += 1
      return decided
    }
    const { events, agreed, engine, state } = decided.value
    if (events.some((event) => folded.eventIds.has(event.id))) return idUsed()
    if (events.length === 0) return ok({ stored: [], repeat: false, agreed, folded })
    const [appended] = await inner.log.append([{ job, expectedSeq: folded.seq, events }])
    if (appended === undefined) throw new Error('The store gave no result for an append.')
    if (appended.ok && !appended.value.repeat) {
      const next = withStored({ ...folded, engine }, appended.value.stored, state)
      inner.recent.set(job, next)
      inner.counts.answers += 1
      return ok({ stored: appended.value.stored, repeat: false, agreed, folded: next })
    }
    // Another writer was first, or it cannot be told whether the lines are in: the log knows.
    inner.recent.delete(job)
    if (!appended.ok && appended.problem.code !== 'LOG_SEQUENCE_STALE') return appended
    inner.counts.stale += 1
  }
  return failed('LOG_SEQUENCE_STALE', 'Many phones write to this job at once. Send it again in a moment.')
}

type Events = { readonly events: readonly JobEvent[]; readonly agreed: boolean; readonly engine: Engine; readonly state: JobState }

function decide(inner: Inner, folded: FoldedJob, envelope: Envelope, phone: FromPhone | undefined): Outcome<Events> {
  const { state } = folded
  const said = phone?.events[0]?.at
  const clock = said ?? inner.now()
  if (clock > inner.now() + CLOCK_AHEAD_MOST) {
    return failed('SYNC_CLOCK_AHEAD', "This phone's clock is more than a day ahead. Set it to the right time, then answer again.")
  }
  const { command } = envelope
  // Every object of the language carries a few names of its own: none of them is an outcome of a step.
  if ('outcome' in command && command.outcome !== undefined && command.outcome in {}) {
    return failed('JOB_ANSWER_NOT_OFFERED', 'This step does not offer that answer. Look at the step that is shown.', {
      path: 'body.command.outcome',
    })
  }
  const engine = command.type === 'carry-over' ? inner.engines.get(command.to) : folded.engine
  if (engine === undefined) return failed('JOB_NOT_CARRIED', 'That edition is not held here. Ask /api/editions for those there are.')
  const decided = engine.run(state, envelope, { now: clock })
  if (!decided.ok) return decided
  const mine = checkEvents(decided.value.events)
  const after = decided.value.state
  if (mine.length > 0 && mine[0]?.id !== envelope.id) throw new Error('The first event does not carry the id of its command.')
  if (phone === undefined || isSameDecision(mine, phone.events)) return ok({ events: mine, agreed: true, engine, state: after })
  // The phone did not know of lines that came in meanwhile. The step is still offered, so the answer counts; the phone folds again.
  if (phone.isBehind) return ok({ events: mine, agreed: false, engine, state: after })
  return failed('SYNC_DECISION_DIFFERS', 'The phone and the server see this job differently. Load the page again, then answer again.', {
    details: { decided: mine.map((event) => event.type), sent: phone.events.map((event) => event.type) },
  })
}

async function showJob(inner: Inner, job: string, person: string, device: string | undefined): Promise<Outcome<JobView>> {
  const loaded = await load(inner, job)
  if (!loaded.ok) return loaded
  const { engine, state } = loaded.value
  const now = inner.now()
  if (!engine.due(state, now)) return ok(engine.view(state, person, now, device))
  // Time has brought something about: it is written down before anything is shown.
  const here = Object.values(state.people).filter((one) => one.here)
  const someone = here.find((one) => one.id === person) ?? here[0]
  if (someone === undefined) return ok(engine.view(state, person, now, device))
  const wake: Envelope = {
    id: inner.newId(),
    person: someone.id,
    role: someone.role,
    device: 'server',
    channel: 'api',
    command: { type: 'wake' },
  }
  const woken = await decideAndStore(inner, job, wake)
  if (woken.ok) return ok(engine.view(woken.value.folded.state, person, now, device))
  // Not written (a full disk, say): shown as it will be all the same, never as if no time had passed.
  const decided = engine.run(state, wake, { now })
  return ok(engine.view(decided.ok ? decided.value.state : state, person, now, device))
}

async function repeatCommand(inner: Inner, folded: FoldedJob, command: string): Promise<Outcome<Decided>> {
  const lines = folded.commands.get(command)
  if (lines === undefined) return idUsed()
  const read = await inner.log.read(folded.job, lines.from - 1)
  if (!read.ok) return read
  const stored = read.value.filter((line) => line.ack.seq <= lines.to)
  return ok({ stored, repeat: true, agreed: true, folded })
}

async function load(inner: Inner, job: string): Promise<Outcome<FoldedJob>> {
  const kept = inner.recent.get(job)
  if (kept !== undefined) return ok(kept)
  const read = await inner.log.read(job)
  if (!read.ok) return read
  inner.counts.replays += 1
  const state = foldLog(
    read.value.map((line) => line.event),
    inner.engines.get,
  )
  if (!state.ok) return state
  const folded = createFolded(job, state.value.engine, state.value.state, read.value)
  inner.recent.set(job, folded)
  return ok(folded)
}

/** Checked before it is written, as it is when it is read: what the log would not give back is never put in. */
function checkEvents(events: readonly JobEvent[]): JobEvent[] {
  return events.map((event) => {
    const checked = eventSchema.safeParse(event)
    if (!checked.success) throw new Error(`The engine made an event that breaks the contract: ${event.type}.`, { cause: checked.error })
    return checked.data
  })
}

function idUsed(): Outcome<never> {
  return failed('REQUEST_UNREADABLE', 'The id belongs to another event of this job. Make a new id, then send it again.', {
    path: 'body.id',
  })
}

function idTooLong(): Outcome<never> {
  return failed('JOB_COMMAND_UNREADABLE', `The id of a command has ${COMMAND_ID_MOST} signs at most. Make a shorter one.`, {
    path: 'body.id',
  })
}

/** For people to say: two groups of three, without signs that look or sound alike. */
function createShortId(random: string): string {
  const signs = '23456789CFHJKMPRTWXY'
  const bytes = createHash('sha256').update(random).digest()
  const picked = [...bytes.subarray(0, 6)].map((byte) => signs[byte % signs.length] ?? '2').join('')
  return `${picked.slice(0, 3)}-${picked.slice(3)}`
}
