// What the phone keeps of its jobs, and what every such store promises. The browser's own is browser-store.ts.
// Only shapes and a store in memory for when there is no other.
import type { Envelope, JobEvent } from '#graphs/contract'
import type { Problem } from '../job/source.ts'

export type KeptJob = {
  readonly token: string
  readonly job: string
  readonly edition: number
  /** The last line of the server's log that this phone has, as the server acknowledged it. */
  readonly seq: number
  readonly hash: string
  readonly short: string
  readonly title: string
  readonly practice: boolean
  readonly ended: boolean
  readonly at: number
}

/** A command that was decided here: kept until the server has it, or until the person has seen why it was refused. */
export type Outgoing = {
  readonly token: string
  /** Rising within a job: the order in which they were made. */
  readonly n: number
  readonly envelope: Envelope
  readonly events: readonly JobEvent[]
  readonly title: string
  readonly lines: readonly string[]
  readonly refused?: Problem
}

export type Kept = { readonly job: KeptJob | undefined; readonly events: readonly JobEvent[]; readonly outgoing: readonly Outgoing[] }

export type Settling = {
  readonly job: KeptJob
  readonly events: readonly JobEvent[]
  readonly put: readonly Outgoing[]
  readonly remove: readonly number[]
}

/** Every write is finished on disk when its promise is kept; a failed one throws. */
export type PhoneStore = {
  readonly load: (token: string) => Promise<Kept>
  readonly put: (outgoing: Outgoing) => Promise<void>
  /** All of it or none of it. */
  readonly settle: (settling: Settling) => Promise<void>
  readonly edition: (number: number) => Promise<unknown>
  readonly keepEdition: (number: number, edition: unknown) => Promise<void>
  readonly jobs: () => Promise<readonly KeptJob[]>
}

export function createMemoryStore(): PhoneStore {
  const jobs = new Map<string, KeptJob>()
  const events = new Map<string, Map<number, JobEvent>>()
  const outgoing = new Map<string, Map<number, Outgoing>>()
  const editions = new Map<number, unknown>()
  const of = <T>(map: Map<string, Map<number, T>>, token: string): Map<number, T> => {
    const found = map.get(token) ?? new Map<number, T>()
    map.set(token, found)
    return found
  }
  const inOrder = <T>(map: Map<number, T>): T[] => [...map].toSorted(([a], [b]) => a - b).map(([, value]) => value)
  return {
    load: async (token) => ({ job: jobs.get(token), events: inOrder(of(events, token)), outgoing: inOrder(of(outgoing, token)) }),
    put: async (one) => void of(outgoing, one.token).set(one.n, one),
    settle: async ({ job, events: lines, put, remove }) => {
      jobs.set(job.token, job)
      for (const event of lines) of(events, job.token).set(event.seq ?? 0, event)
      for (const one of put) of(outgoing, job.token).set(one.n, one)
      for (const n of remove) of(outgoing, job.token).delete(n)
    },
    edition: async (number) => editions.get(number),
    keepEdition: async (number, edition) => void editions.set(number, edition),
    jobs: async () => [...jobs.values()],
  }
}
