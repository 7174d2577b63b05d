// A job seen through the server: every answer goes there, and its view comes back. Homeowner pages use this, and phones without an engine.
// Nothing of the trade is known here; nothing is kept but what is being typed.
import type { Command, Envelope, JobView, Person } from '#graphs/contract'
import type { JobSource, Problem, Sent, Snapshot } from '../job/source.ts'
import type { Api } from './api.ts'
import { UNREACHED } from './api.ts'

export type RemoteDeps = {
  readonly api: Pick<Api, 'view' | 'command' | 'past'>
  readonly newId: () => string
  readonly device: string
  readonly recallPerson: (job: string) => Person | undefined
  readonly rememberPerson: (job: string, person: Person, isPractice: boolean) => void
}

type Inner = {
  readonly token: string
  readonly deps: RemoteDeps
  readonly listeners: Set<() => void>
  me: Person | undefined
  snapshot: Snapshot
  retry: Envelope | undefined
}

export function createRemoteJob(token: string, deps: RemoteDeps): JobSource & { readonly open: () => Promise<void> } {
  const snapshot: Snapshot = {
    view: undefined,
    me: undefined,
    kept: 'server',
    unsent: 0,
    offline: false,
    news: undefined,
    parked: [],
    trouble: undefined,
  }
  const inner: Inner = { token, deps, listeners: new Set(), me: deps.recallPerson(token), snapshot, retry: undefined }
  return {
    open: async () => await look(inner),
    read: () => inner.snapshot,
    subscribe: (listener) => {
      inner.listeners.add(listener)
      return () => inner.listeners.delete(listener)
    },
    send: async (command) => await send(inner, command),
    past: async (key) => {
      const reply = await deps.api.past(token, key, inner.me?.id)
      return reply.ok ? reply.value : undefined
    },
    seenNews: () => paint(inner, { news: undefined }),
    setAside: () => undefined,
    wake: () => void look(inner),
  }
}

async function look(inner: Inner): Promise<void> {
  const reply = await inner.deps.api.view(inner.token, inner.me?.id, inner.deps.device)
  if (reply.ok) return show(inner, reply.value, true)
  paint(inner, { offline: reply.status === UNREACHED, ...(inner.snapshot.view === undefined ? { trouble: reply.problem } : {}) })
}

async function send(inner: Inner, command: Command): Promise<Sent> {
  const person = command.type === 'join' ? command.person : inner.me
  if (person === undefined) return { ok: false, problem: { code: 'JOB_NOT_JOINED', message: 'Say who you are first.' } }
  const envelope = envelopeOf(inner, person, command)
  const reply = await inner.deps.api.command(inner.token, envelope)
  // The same bytes go out again after a lost answer: the server knows the id and writes nothing twice.
  inner.retry = !reply.ok && reply.status === UNREACHED ? envelope : undefined
  if (!reply.ok) {
    const shown = reply.problem.details?.['view']
    if (typeof shown === 'object' && shown !== null) show(inner, shown as JobView, true)
    else paint(inner, { offline: reply.status === UNREACHED })
    return { ok: false, problem: reply.status === UNREACHED ? UNSENT : reply.problem }
  }
  if (command.type === 'join') {
    inner.me = person
    inner.deps.rememberPerson(inner.token, person, true)
  }
  if (reply.value.view === undefined) await look(inner)
  else show(inner, reply.value.view, false)
  return { ok: true }
}

const UNSENT: Problem = { code: 'UNREACHED', message: 'Not sent yet: no signal. It stays here. Press it again when the signal is back.' }

function envelopeOf(inner: Inner, person: Person, command: Command): Envelope {
  if (inner.retry !== undefined && JSON.stringify(inner.retry.command) === JSON.stringify(command)) return inner.retry
  return { id: inner.deps.newId(), person: person.id, role: person.role, device: inner.deps.device, channel: 'page', command }
}

function show(inner: Inner, view: JobView, byOthers: boolean): void {
  const { me, deps } = inner
  if (me === undefined || !view.people.some((person) => person.id === me.id)) {
    const known = deps.recallPerson(inner.token)
    inner.me = known !== undefined && view.people.some((person) => person.id === known.id) ? known : undefined
  }
  const before = inner.snapshot.view
  const moved = byOthers && before !== undefined && before.step?.place !== view.step?.place
  const last = view.trail.at(-1)
  const news = moved && last !== undefined ? `Meanwhile: ${last.title}, ${last.answer}.` : inner.snapshot.news
  paint(inner, { view, offline: false, trouble: undefined, news })
}

function paint(inner: Inner, change: Partial<Snapshot>): void {
  inner.snapshot = { ...inner.snapshot, ...change, me: inner.me }
  for (const listener of inner.listeners) listener()
}
