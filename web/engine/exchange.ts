// One exchange with the server: own commands go up, the lines of the log come down. Nothing refused is dropped.
// When it is done and what is painted is phone-job.ts.
import type { JobEvent } from '#graphs/contract'
import type { Problem } from '../job/source.ts'
import { UNREACHED } from '../remote/api.ts'
import type { Api, TakenItem } from '../remote/api.ts'
import { pendingOf } from './phone-state.ts'
import type { Held } from './phone-state.ts'
import type { Outgoing } from './store.ts'

export type Exchanged = {
  readonly held: Omit<Held, 'engine' | 'state'>
  /** Lines that came in. */
  readonly fresh: readonly JobEvent[]
  readonly put: readonly Outgoing[]
  readonly remove: readonly number[]
}
export type Exchange =
  | { readonly ok: true; readonly value: Exchanged }
  | { readonly ok: false; readonly again: boolean; readonly problem: Problem }

/** The server takes at most 50, and 256 kB. */
const AT_ONCE_MOST = 20
const WORTH_TRYING_AGAIN = new Set([UNREACHED, 401, 408, 425, 429, 500, 502, 503, 504, 507])

export async function exchange(held: Held, api: Pick<Api, 'log' | 'takeEvents'>): Promise<Exchange> {
  const pending = pendingOf(held).slice(0, AT_ONCE_MOST)
  const sent = await sendUp(held, pending, api)
  if (!sent.ok) return sent
  const log = await api.log(held.job.token, held.job.seq)
  if (!log.ok) return { ok: false, again: WORTH_TRYING_AGAIN.has(log.status), problem: log.problem }
  const { events, head } = log.value
  const broken = findBreak(held, events, head)
  if (broken !== undefined) return { ok: false, again: false, problem: broken }
  const taken = new Set(sent.value.filter((item) => item.taken).map((item) => item.id))
  const stored = new Set(events.map((event) => event.id))
  const put: Outgoing[] = []
  const remove: number[] = []
  const outgoing: Outgoing[] = []
  for (const one of held.outgoing) {
    const answer = sent.value.find((item) => item.id === one.envelope.id)
    if (taken.has(one.envelope.id) || stored.has(one.envelope.id)) remove.push(one.n)
    else if (answer === undefined) outgoing.push(one)
    else {
      const refused = {
        ...one,
        refused: {
          code: answer.code ?? 'REFUSED',
          message: answer.detail ?? 'The server did not take it. Look at the step, then answer again.',
        },
      }
      put.push(refused)
      outgoing.push(refused)
    }
  }
  const job = { ...held.job, seq: head.seq, hash: head.hash }
  return {
    ok: true,
    value: { held: { engines: held.engines, job, events: [...held.events, ...events], outgoing }, fresh: events, put, remove },
  }
}

type SentUp =
  | { readonly ok: true; readonly value: readonly TakenItem[] }
  | { readonly ok: false; readonly again: boolean; readonly problem: Problem }

async function sendUp(held: Held, pending: readonly Outgoing[], api: Pick<Api, 'takeEvents'>): Promise<SentUp> {
  if (pending.length === 0) return { ok: true, value: [] }
  const items = pending.map(({ envelope, events }) => ({ envelope, events }))
  const reply = await api.takeEvents(held.job.token, held.job.seq, items)
  if (reply.ok) return { ok: true, value: reply.value.items }
  const judged = reply.problem.details?.['items']
  // A refusal for want of room or strength is no verdict on the answer: it stays in line.
  if (WORTH_TRYING_AGAIN.has(reply.status)) return { ok: false, again: true, problem: reply.problem }
  if (Array.isArray(judged)) return { ok: true, value: judged as TakenItem[] }
  if (pending.length > 1) return await sendUp(held, pending.slice(0, 1), api)
  const [only] = pending
  return {
    ok: true,
    value: only === undefined ? [] : [{ id: only.envelope.id, taken: false, code: reply.problem.code, detail: reply.problem.message }],
  }
}

/** The phone keeps the last acknowledgement, so that a log that was cut or altered is seen. */
function findBreak(held: Held, events: readonly JobEvent[], head: { readonly seq: number; readonly hash: string }): Problem | undefined {
  const { seq, hash } = held.job
  const isCut = head.seq < seq || (head.seq === seq && head.hash !== hash && hash !== '')
  const hasGap = events.some((event, index) => event.seq !== seq + index + 1)
  if (!isCut && !hasGap) return undefined
  return {
    code: 'LOG_CHAIN_BROKEN',
    message: 'The log on the server is not the one this phone was told. Nothing is lost here. Tell the office before going on.',
  }
}
