// A job on the phone: tap, decide, write down, paint, then send. The engine runs here; the server decides again before it accepts.
// How lines are exchanged is exchange.ts, what is kept on disk is store.ts.
import { pastStep } from '#graphs'
import type { Engine } from '#graphs'
import type { Command, Envelope, Person } from '#graphs/contract'
import type { JobSource, Parked, Problem, Sent, Snapshot } from '../job/source.ts'
import type { Api } from '../remote/api.ts'
import { UNREACHED } from '../remote/api.ts'
import { exchange } from './exchange.ts'
import type { Exchanged } from './exchange.ts'
import { describeCommand, engineFor, foldHeld, newsOf, pendingOf, rebase } from './phone-state.ts'
import type { Held } from './phone-state.ts'
import type { KeptJob, Outgoing, PhoneStore, Settling } from './store.ts'

export type PhoneDeps = {
  readonly store: PhoneStore
  readonly api: Api
  readonly createEngine: (edition: unknown) => Engine
  readonly now: () => number
  readonly newId: () => string
  readonly device: string
  readonly recallPerson: (job: string) => Person | undefined
  readonly rememberPerson: (job: string, person: Person, isPractice: boolean) => void
  /** Calls later; gives what takes it back. */
  readonly later: (ms: number, work: () => void) => () => void
  /** One exchange at a time on this device; false when another page is at it. */
  readonly exclusive: (name: string, work: () => Promise<void>) => Promise<boolean>
}

export type PhoneJob = JobSource & {
  /** `no-engine`: this program cannot run the edition; the server's views are used in its place. */
  readonly open: () => Promise<'ready' | 'no-engine' | 'trouble'>
  /** Writes down what time has brought about. */
  readonly tick: () => void
}

type Inner = {
  readonly token: string
  readonly deps: PhoneDeps
  readonly listeners: Set<() => void>
  readonly unsaved: Set<number>
  /** What the disk refused: written with the next attempt, so that no line is missing in the middle. */
  backlog: Omit<Settling, 'job'>
  held: Held | undefined
  me: Person | undefined
  kept: 'phone' | 'memory'
  offline: boolean
  news: string | undefined
  trouble: Problem | undefined
  snapshot: Snapshot
  turn: Promise<unknown>
  syncing: boolean
  syncAgain: boolean
  failures: number
  cancelRetry: () => void
}

const EMPTY: Snapshot = {
  view: undefined,
  me: undefined,
  kept: 'phone',
  unsent: 0,
  offline: false,
  news: undefined,
  parked: [],
  trouble: undefined,
}
const NOTHING: Omit<Settling, 'job'> = { events: [], put: [], remove: [] }
const RETRY_MOST_MS = 60_000
const UNKNOWN_EDITION = { code: 'GRAPH_EDITION_UNKNOWN', message: 'That edition cannot be had now. Try again with signal.' }

export function createPhoneJob(token: string, deps: PhoneDeps): PhoneJob {
  const inner: Inner = {
    token,
    deps,
    listeners: new Set(),
    unsaved: new Set(),
    backlog: NOTHING,
    held: undefined,
    me: undefined,
    kept: 'phone',
    offline: false,
    news: undefined,
    trouble: undefined,
    snapshot: EMPTY,
    turn: Promise.resolve(),
    syncing: false,
    syncAgain: false,
    failures: 0,
    cancelRetry: () => undefined,
  }
  return {
    open: async () => await openJob(inner),
    read: () => inner.snapshot,
    subscribe: (listener) => {
      inner.listeners.add(listener)
      return () => inner.listeners.delete(listener)
    },
    send: async (command) => await inTurn(inner, async () => await decideHere(inner, command)),
    past: async (key) => (inner.held === undefined ? undefined : pastStep(inner.held.engine.edition, inner.held.state, key)),
    seenNews: () => {
      inner.news = undefined
      paint(inner)
    },
    setAside: (id) => void inTurn(inner, async () => await setAside(inner, id)),
    wake: () => {
      tick(inner)
      void sync(inner)
    },
    tick: () => tick(inner),
  }
}

/** Two quick taps are decided one after the other, the second on what the first brought about. */
async function inTurn<T>(inner: Inner, work: () => Promise<T>): Promise<T> {
  const mine = inner.turn.then(work, work)
  inner.turn = mine.catch(() => undefined)
  return await mine
}

async function openJob(inner: Inner): Promise<'ready' | 'no-engine' | 'trouble'> {
  const { token, deps } = inner
  const kept = await deps.store.load(token).catch(() => {
    inner.kept = 'memory'
    return { job: undefined, events: [], outgoing: [] }
  })
  // A copy with a line missing is no copy: it is fetched anew, and what waits to be sent stays.
  const isWhole = kept.job !== undefined && kept.events.length === kept.job.seq
  const start = kept.job !== undefined && isWhole ? { job: kept.job, events: kept.events } : await fetchJob(inner)
  if (start === undefined) return 'trouble'
  const engines = await findEngines(inner, [...start.events, ...kept.outgoing.flatMap((one) => one.events)], new Map())
  if (engines === undefined) return inner.trouble?.code === 'UNREACHED' ? 'trouble' : 'no-engine'
  const held = foldHeld({ engines, job: start.job, events: start.events, outgoing: kept.outgoing })
  if (held === undefined) {
    inner.trouble = { code: 'LOG_EVENT_UNREADABLE', message: 'The log of this job cannot be read here. Tell the office.' }
    paint(inner)
    return 'trouble'
  }
  const person = deps.recallPerson(held.job.job)
  inner.me = person !== undefined && held.state.people[person.id] !== undefined ? held.state.people[person.id] : undefined
  inner.held = held
  inner.trouble = undefined
  if (!isWhole) await settle(inner, { held, fresh: start.events, put: [], remove: [] })
  tick(inner)
  paint(inner)
  void sync(inner)
  return 'ready'
}

async function fetchJob(inner: Inner): Promise<{ readonly job: KeptJob; readonly events: Held['events'] } | undefined> {
  const log = await inner.deps.api.log(inner.token, 0)
  if (!log.ok) {
    inner.trouble = log.problem
    inner.offline = log.status === UNREACHED
    paint(inner)
    return undefined
  }
  const { job, edition, events, head } = log.value
  const kept = {
    token: inner.token,
    job,
    edition,
    seq: head.seq,
    hash: head.hash,
    short: '',
    title: '',
    practice: false,
    ended: false,
    at: inner.deps.now(),
  }
  return { job: kept, events }
}

/** An engine for every edition that these lines were written on; undefined where one cannot be had. */
async function findEngines(inner: Inner, events: Held['events'], known: Held['engines']): Promise<Held['engines'] | undefined> {
  const engines = new Map(known)
  for (const { edition } of events) {
    if (engines.has(edition)) continue
    const engine = await findEngine(inner, edition)
    if (engine === undefined) return undefined
    engines.set(edition, engine)
  }
  return engines
}

async function findEngine(inner: Inner, number: number): Promise<Engine | undefined> {
  const { store, api, createEngine } = inner.deps
  try {
    const known = await store.edition(number).catch(() => undefined)
    if (known !== undefined) return createEngine(known)
    const reply = await api.edition(number)
    if (!reply.ok) {
      inner.trouble = reply.problem
      paint(inner)
      return undefined
    }
    const engine = createEngine(reply.value)
    await store.keepEdition(number, reply.value).catch(() => (inner.kept = 'memory'))
    return engine
  } catch {
    inner.trouble = { code: 'GRAPH_SEMANTICS_UNKNOWN', message: 'This page is too old for the job. Load it again.' }
    return undefined
  }
}

async function decideHere(inner: Inner, command: Command): Promise<Sent> {
  const { held, deps } = inner
  if (held === undefined) return refuse('JOB_UNKNOWN', 'The job is not loaded yet. Try again in a moment.')
  const person = command.type === 'join' ? command.person : inner.me
  if (person === undefined) return refuse('JOB_NOT_JOINED', 'Say who you are first.')
  const envelope: Envelope = {
    id: deps.newId(),
    person: person.id,
    role: person.role,
    device: deps.device,
    channel: held.state.people[person.id]?.onSite === true ? 'site' : 'page',
    command,
  }
  const now = Math.max(deps.now(), held.state.clocks[deps.device] ?? 0)
  if (command.type === 'carry-over') {
    const other = await findEngine(inner, command.to)
    if (other === undefined) return { ok: false, problem: inner.trouble ?? UNKNOWN_EDITION }
    inner.held = { ...held, engines: new Map([...held.engines, [command.to, other]]) }
  }
  const engine = engineFor(inner.held ?? held, command)
  const decided = engine.decide(held.state, envelope, { now })
  if (!decided.ok) return { ok: false, problem: decided.problem }
  if (command.type === 'join') {
    inner.me = person
    deps.rememberPerson(held.job.job, person, held.state.practice)
  }
  if (decided.value.length === 0) {
    paint(inner)
    return { ok: true }
  }
  const n = Math.max(0, ...held.outgoing.map((one) => one.n), held.job.seq) + 1
  const outgoing: Outgoing = { token: inner.token, n, envelope, events: decided.value, ...describeCommand(command, inner.snapshot.view) }
  inner.unsaved.add(n)
  const next = [...held.outgoing, outgoing]
  await writeDown(inner, next)
  inner.held = { ...(inner.held ?? held), engine, outgoing: next, state: decided.value.reduce(engine.evolve, held.state) }
  paint(inner)
  void sync(inner)
  return { ok: true }
}

/** Written before it is sent. Where the disk refuses, it is kept in memory and the page says so. */
async function writeDown(inner: Inner, outgoing: readonly Outgoing[]): Promise<void> {
  try {
    for (const one of outgoing) {
      if (!inner.unsaved.has(one.n)) continue
      await inner.deps.store.put(one)
      inner.unsaved.delete(one.n)
    }
    inner.kept = inner.backlog === NOTHING ? 'phone' : 'memory'
  } catch {
    inner.kept = 'memory'
  }
}

async function setAside(inner: Inner, id: string): Promise<void> {
  const { held } = inner
  const one = held?.outgoing.find((each) => each.envelope.id === id)
  if (held === undefined || one?.refused === undefined) return
  const next = { ...held, outgoing: held.outgoing.filter((each) => each !== one) }
  await settle(inner, { held: next, fresh: [], put: [], remove: [one.n] })
  inner.held = next
  paint(inner)
}

function tick(inner: Inner): void {
  const { held, deps, me } = inner
  if (held === undefined) return
  if (me !== undefined && held.engine.due(held.state, deps.now())) void inTurn(inner, async () => await decideHere(inner, { type: 'wake' }))
  else paint(inner)
}

async function sync(inner: Inner): Promise<void> {
  if (inner.syncing) {
    inner.syncAgain = true
    return
  }
  inner.syncing = true
  inner.cancelRetry()
  const ran = await inner.deps.exclusive(`backwrench:${inner.token}`, async () => await exchangeOnce(inner)).catch(() => false)
  inner.syncing = false
  const isAsked = inner.syncAgain
  inner.syncAgain = false
  if (isAsked) return await sync(inner)
  if (inner.failures > 0 || !ran) {
    inner.cancelRetry = inner.deps.later(Math.min(RETRY_MOST_MS, 1000 * 2 ** Math.min(inner.failures, 6)), () => void sync(inner))
  } else if (inner.trouble === undefined && inner.held !== undefined && pendingOf(inner.held).length > 0) void sync(inner)
}

async function exchangeOnce(inner: Inner): Promise<void> {
  if (inner.held === undefined) return
  const result = await exchange(inner.held, inner.deps.api)
  await inTurn(inner, async () => {
    if (!result.ok) {
      inner.failures = result.again ? inner.failures + 1 : 0
      inner.offline = result.again
      inner.trouble = result.again ? inner.trouble : result.problem
      paint(inner)
      return
    }
    inner.failures = 0
    inner.offline = false
    inner.trouble = undefined
    await takeIn(inner, result.value)
  })
}

/** What came in meanwhile, and what was answered here while it was under way. */
async function takeIn(inner: Inner, exchanged: Exchanged): Promise<void> {
  const { held, deps, me } = inner
  if (held === undefined) return
  const known = new Set(exchanged.remove)
  const answeredSince = held.outgoing.filter((one) => !known.has(one.n) && !exchanged.held.outgoing.some((each) => each.n === one.n))
  const own = new Set(held.outgoing.flatMap((one) => one.events.map((event) => event.id)))
  const foreign = exchanged.fresh.filter((event) => !own.has(event.id))
  const engines = await findEngines(inner, exchanged.fresh, held.engines)
  if (engines === undefined) {
    paint(inner)
    return
  }
  const merged = { ...exchanged.held, engines, outgoing: [...exchanged.held.outgoing, ...answeredSince] }
  const next = foreign.length > 0 || exchanged.put.length > 0 ? rebase(merged) : foldHeld(merged)
  if (next === undefined) return
  const changed = next.outgoing.filter((one) => one !== merged.outgoing.find((each) => each.n === one.n))
  await settle(inner, { ...exchanged, held: next, put: [...exchanged.put, ...changed] })
  inner.held = next
  if (foreign.length > 0)
    inner.news = newsOf(foreign, next.engine.view(next.state, me?.id ?? '', deps.now(), deps.device), me?.id) ?? inner.news
  paint(inner)
}

async function settle(inner: Inner, { held, fresh, put, remove }: Omit<Exchanged, 'held'> & { readonly held: Held }): Promise<void> {
  const { state } = held
  const title = held.engine.edition.blocks[state.flow]?.title ?? state.flow
  const job = {
    ...held.job,
    edition: state.edition,
    short: state.short,
    title,
    practice: state.practice,
    ended: state.ended !== undefined,
    at: inner.deps.now(),
  }
  const { backlog } = inner
  const all = { events: [...backlog.events, ...fresh], put: [...backlog.put, ...put], remove: [...backlog.remove, ...remove] }
  try {
    await inner.deps.store.settle({ job, ...all })
    inner.backlog = NOTHING
    await writeDown(inner, held.outgoing)
  } catch {
    inner.backlog = all
    inner.kept = 'memory'
  }
}

function paint(inner: Inner): void {
  const { held, me, deps } = inner
  const parked = held === undefined ? [] : held.outgoing.flatMap(parkedOf)
  inner.snapshot = {
    view: held?.engine.view(held.state, me?.id ?? '', deps.now(), deps.device),
    me,
    kept: inner.kept,
    unsent: held === undefined ? 0 : pendingOf(held).length,
    offline: inner.offline,
    news: inner.news,
    parked,
    trouble: inner.trouble,
  }
  for (const listener of inner.listeners) listener()
}

function parkedOf(one: Outgoing): Parked[] {
  if (one.refused === undefined) return []
  const { id, command } = one.envelope
  const parked = { id, title: one.title, lines: one.lines, problem: one.refused, at: one.events[0]?.at ?? 0 }
  if (command.type !== 'answer') return [parked]
  const { type: _type, place, ...answer } = command
  return [{ ...parked, given: { place, answer } }]
}

function refuse(code: string, message: string): Sent {
  return { ok: false, problem: { code, message } }
}
