// What the server's thread and the thread of the store say to each other: calls of the event log and their answers, many to a message.
// Who sends them is log-thread.ts, who carries them out is log-thread-main.ts.
import type { Outcome } from '../errors.ts'
import type { Ack, Append, Appended, EventLog } from './event-log.ts'

/** What the caller does not know yet of what it wrote; a repeat brings the lines as they were stored then. */
export type Written = { readonly receivedAt: number; readonly acks: readonly Ack[] } | Appended

/** The calls of a log by name, each with one result. */
export type Calls = {
  readonly append: (batch: readonly Append[]) => Promise<Outcome<Written>[]>
  readonly read: EventLog['read']
  readonly jobs: EventLog['jobs']
  readonly rebuildJobs: EventLog['rebuildJobs']
  readonly verify: EventLog['verify']
  readonly putContent: EventLog['content']['put']
  readonly getContent: EventLog['content']['get']
  readonly eraseContent: EventLog['content']['erase']
  readonly addLinks: EventLog['addLinks']
  readonly findLink: EventLog['findLink']
  readonly probe: EventLog['probe']
  readonly close: EventLog['close']
}
export type CallName = keyof Calls

export type Asked = { readonly no: number; readonly name: CallName; readonly args: readonly unknown[] }
export type Answered = { readonly no: number; readonly value?: unknown; readonly thrown?: Thrown }
/** An error as plain JSON; the codes of SQLite tell a full disk from a broken one. */
export type Thrown = { readonly message: string; readonly stack?: string; readonly code?: string; readonly errcode?: number }
export type Counts = ReturnType<EventLog['counts']>
/** From the thread of the store: first whether it opened, then answers. */
export type Told = { readonly opened: Outcome<null> } | { readonly answers: readonly Answered[]; readonly counts: Counts }

export function callsOf(log: EventLog): Calls {
  return {
    append: async (batch) => (await log.append(batch)).map(withoutEvents),
    read: log.read,
    jobs: log.jobs,
    rebuildJobs: log.rebuildJobs,
    verify: log.verify,
    putContent: log.content.put,
    getContent: log.content.get,
    eraseContent: log.content.erase,
    addLinks: log.addLinks,
    findLink: log.findLink,
    probe: log.probe,
    close: log.close,
  }
}

/** The caller has the events: they are not sent back to it. */
function withoutEvents(outcome: Outcome<Appended>): Outcome<Written> {
  if (!outcome.ok || outcome.value.repeat) return outcome
  const { stored } = outcome.value
  return { ok: true, value: { receivedAt: stored[0]?.event.receivedAt ?? 0, acks: stored.map((line) => line.ack) } }
}

export function withEvents({ events }: Append, outcome: Outcome<Written>): Outcome<Appended> {
  if (!outcome.ok) return outcome
  const { value } = outcome
  if ('repeat' in value) return { ok: true, value }
  const { acks, receivedAt } = value
  const command = events[0]?.id ?? ''
  const stored = acks.map((ack, index) => {
    const event = events[index]
    if (event === undefined) throw new Error('The store acknowledged more lines than it was sent.')
    return { event: { ...event, seq: ack.seq, receivedAt }, ack, command }
  })
  return { ok: true, value: { stored, repeat: false } }
}
