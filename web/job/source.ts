// What a page needs of a job, wherever it runs: on the phone's own engine or on the server's.
// Only shapes live here; the phone is engine/phone.ts, the server's views are remote/remote-source.ts.
import type { Command, CommandOf, JobView, Person, StepView } from '#graphs/contract'

export type Problem = {
  readonly code: string
  readonly message: string
  readonly path?: string
  readonly details?: { readonly [key: string]: unknown }
}

export type Sent = { readonly ok: true } | { readonly ok: false; readonly problem: Problem }

/** What the controls of a step give. */
export type Answer = Omit<CommandOf<'answer'>, 'type' | 'place'>

/** An answer that was not taken: kept until the person has seen it and answered again. */
export type Parked = {
  readonly id: string
  readonly title: string
  readonly lines: readonly string[]
  readonly problem: Problem
  readonly at: number
  /** The step it answered, and what was given there, so that it can be sent again. */
  readonly given?: { readonly place: string; readonly answer: Answer }
}

export type Snapshot = {
  readonly view: JobView | undefined
  /** Who speaks on this device; undefined until somebody said so. */
  readonly me: Person | undefined
  /** Whether what is recorded is safe on this phone; `server` = nothing is kept here, the server keeps it. */
  readonly kept: 'phone' | 'memory' | 'server'
  readonly unsent: number
  readonly offline: boolean
  /** What others changed meanwhile. */
  readonly news: string | undefined
  readonly parked: readonly Parked[]
  /** The job cannot be shown, and why. */
  readonly trouble: Problem | undefined
}

export type Past = { readonly step: StepView; readonly answer: Answer }

export type JobSource = {
  readonly read: () => Snapshot
  readonly subscribe: (listener: () => void) => () => void
  readonly send: (command: Command) => Promise<Sent>
  /** The controls of an answer that stands in the log, filled in; undefined when this device cannot show them. */
  readonly past: (key: string) => Promise<Past | undefined>
  readonly seenNews: () => void
  readonly setAside: (id: string) => void
  /** Asks again now: the network is back, the page is looked at again. */
  readonly wake: () => void
}
