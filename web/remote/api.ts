// The server's addresses as functions: each answers with a value or a problem, never throws.
// When something is sent, and what is done with a refusal, is decided by whoever calls.
import type { Envelope, JobEvent, JobView, OpenJob } from '#graphs/contract'
import type { Past, Problem } from '../job/source.ts'

export type Reply<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly problem: Problem; readonly status: number }

export type Ack = { readonly seq: number; readonly hash: string }
export type Log = {
  readonly job: string
  readonly edition: number
  readonly events: readonly JobEvent[]
  readonly acks: readonly Ack[]
  readonly head: Ack
}
export type BatchItem = { readonly envelope: Envelope; readonly events: readonly JobEvent[] }
export type TakenItem = { readonly id: string; readonly taken: boolean; readonly code?: string; readonly detail?: string }
export type Opened = {
  readonly job: string
  readonly short: string
  readonly edition: number
  readonly staff_token: string
  readonly homeowner_token: string
}
export type JobRow = {
  readonly job: string
  readonly short: string
  readonly title: string
  readonly practice: boolean
  readonly state: 'open' | 'ended' | 'confirmed'
  readonly last: number
}

/** No answer at all: no network, or the server is not there. */
export const UNREACHED = 0
const ANSWER_WITHIN_MS = 20_000

export async function ask<T>(path: string, init: RequestInit = {}): Promise<Reply<T>> {
  let response: Response
  try {
    response = await fetch(path, { ...init, signal: AbortSignal.timeout(ANSWER_WITHIN_MS) })
  } catch {
    return {
      ok: false,
      status: UNREACHED,
      problem: { code: 'UNREACHED', message: 'The server cannot be reached. Try again when there is a signal.' },
    }
  }
  try {
    const body: unknown = await response.json()
    if (response.ok) return { ok: true, value: body as T }
    return { ok: false, status: response.status, problem: problemOf(body) }
  } catch {
    return { ok: false, status: response.ok ? UNREACHED : response.status, problem: problemOf(undefined) }
  }
}

function problemOf(body: unknown): Problem {
  const { code, detail, path, details } = (body ?? {}) as { [key: string]: unknown }
  return {
    code: typeof code === 'string' ? code : 'UNKNOWN',
    message: typeof detail === 'string' ? detail : 'The server gave no answer that can be read. Try again in a moment.',
    ...(typeof path === 'string' ? { path } : {}),
    ...(typeof details === 'object' && details !== null ? { details: details as { [key: string]: unknown } } : {}),
  }
}

async function post<T>(path: string, body: unknown): Promise<Reply<T>> {
  return await ask<T>(path, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) })
}

export type Api = {
  readonly log: (token: string, after: number) => Promise<Reply<Log>>
  readonly takeEvents: (
    token: string,
    after: number,
    items: readonly BatchItem[],
  ) => Promise<Reply<{ readonly items: readonly TakenItem[]; readonly head: Ack }>>
  readonly edition: (number: number) => Promise<Reply<unknown>>
  readonly view: (token: string, person: string | undefined, device: string) => Promise<Reply<JobView>>
  readonly past: (token: string, key: string, person: string | undefined) => Promise<Reply<Past>>
  readonly command: (token: string, envelope: Envelope) => Promise<Reply<{ readonly view?: JobView }>>
}

export const api: Api = {
  log: async (token, after) => await ask(`/api/jobs/${token}/events?after=${after}`),
  takeEvents: async (token, after, items) => await post(`/api/jobs/${token}/events`, { after, items }),
  edition: async (number) => await ask(`/api/editions/${number}`),
  view: async (token, person, device) =>
    await ask(`/api/jobs/${token}/view?${new URLSearchParams({ device, ...(person === undefined ? {} : { person }) })}`),
  past: async (token, key, person) =>
    await ask(`/api/jobs/${token}/past?${new URLSearchParams({ key, ...(person === undefined ? {} : { person }) })}`),
  command: async (token, envelope) => await post(`/api/jobs/${token}/commands`, envelope),
}

export type Opening = OpenJob & { readonly id: string; readonly device: string; readonly channel: 'page' | 'phone' | 'site' }

export async function openJob(opening: Opening): Promise<Reply<Opened>> {
  return await post('/api/jobs', opening)
}

export async function listJobs(): Promise<Reply<{ readonly jobs: readonly JobRow[] }>> {
  return await ask('/api/jobs')
}

export async function linkJob(job: string): Promise<Reply<{ readonly staff_token: string; readonly homeowner_token: string }>> {
  return await post(`/api/jobs/${job}/links`, {})
}

export async function currentEdition(): Promise<Reply<{ readonly current: number }>> {
  return await ask('/api/editions')
}
