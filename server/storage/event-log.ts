// What every store of jobs promises. SQLite keeps it today; PostgreSQL can join by passing the same contract tests.
// Only types: how a line is hashed is chain.ts, what is kept out of the log is content.ts.
import type { JobEvent } from '#graphs/contract'
import type { Outcome } from '../errors.ts'

/** Where a line stands in the chained log of its job. */
export type Ack = { readonly seq: number; readonly hash: string }
/** `command` is the id of the first event that was appended together with this one. */
export type Stored = { readonly event: JobEvent; readonly ack: Ack; readonly command: string }

/** Events of one command: all of them are written, or none. */
export type Append = {
  readonly job: string
  /** The last seq the writer knows; 0 for a job that does not exist yet. */
  readonly expectedSeq: number
  readonly events: readonly JobEvent[]
  /** Links that come to life with these events. */
  readonly links?: readonly NewLink[]
}

export type Appended = {
  /** As stored, with seq and receivedAt. */
  readonly stored: readonly Stored[]
  /** These ids stood in the log before: nothing was written. */
  readonly repeat: boolean
}

export type LinkKind = 'staff' | 'homeowner'
export type NewLink = { readonly hash: string; readonly kind: LinkKind }
export type Link = { readonly job: string; readonly kind: LinkKind }

/** A row of the job list: a projection, dropped and rebuilt at will. No personal data. */
export type JobRow = {
  readonly job: string
  readonly short: string
  readonly flow: string
  readonly complaint: string
  readonly practice: boolean
  readonly edition: number
  readonly state: 'open' | 'ended' | 'confirmed'
  readonly ending?: string
  readonly openedAt: number
  readonly lastAt: number
  readonly events: number
}

export type Verified = { readonly lines: number; readonly head: Ack | undefined }

export type EventLog = {
  /**
   * One result per item, in order. Nothing is acknowledged before it is durable; a bad item does not sink its neighbours.
   * LOG_SEQUENCE_STALE: the log went on; nothing was written. STORE_FULL, STORE_FAILED: nothing was written, or it is written and a repeat finds it.
   */
  readonly append: (batch: readonly Append[]) => Promise<Outcome<Appended>[]>
  /** Lines after `afterSeq`, in order, names and words put back. JOB_UNKNOWN when there is no such job. */
  readonly read: (job: string, afterSeq?: number) => Promise<Outcome<Stored[]>>
  /** Most recent first. */
  readonly jobs: (most: number) => Promise<JobRow[]>
  readonly rebuildJobs: () => Promise<void>
  /** LOG_CHAIN_BROKEN when a line is lost, altered or cut; `known` is an acknowledgement that somebody kept. */
  readonly verify: (job: string, known?: Ack) => Promise<Outcome<Verified>>
  readonly content: ContentStore
  readonly addLinks: (job: string, links: readonly NewLink[]) => Promise<Outcome<void>>
  readonly findLink: (hash: string) => Promise<Link | undefined>
  /** Writes something harmless and waits until it is durable. */
  readonly probe: () => Promise<Outcome<void>>
  readonly counts: () => { readonly commits: number; readonly writes: number }
  readonly close: () => Promise<void>
}

/** Names, phone, address and free words, beside the log. */
export type ContentStore = {
  readonly put: (job: string, id: string, text: string) => Promise<Outcome<void>>
  readonly get: (job: string, id: string) => Promise<string | undefined>
  /** Without an id: everything of the job. Says how many texts were erased. */
  readonly erase: (job: string, id?: string) => Promise<Outcome<number>>
}
