// The engine of one edition: everything a shell needs to run a job. Pure: time and ids are handed in.
// The parts stand in decide.ts, evolve.ts, view.ts; this file only puts them together.
import type { Envelope, JobEvent, JobView, OpenJob } from '../contract/index.ts'
import type { Edition } from '../edition/compiled.ts'
import type { Result } from '../result.ts'
import type { JobState } from './state.ts'

export type Context = {
  /** Milliseconds since 1970, of this device. */
  readonly now: number
  /** A fresh id at each call: 128 random bits or more, URL-safe. */
  readonly newId: () => string
}

export type Opening = Context & { readonly job: string; readonly short: string; readonly device: string; readonly channel: 'page' | 'phone' | 'site' | 'api'; readonly commandId: string }

export type Engine = {
  readonly edition: Edition
  /** First events of a job: opened, and the person joined. */
  readonly open: (order: OpenJob, opening: Opening) => Result<JobEvent[]>
  /** Events that a command brings about; the first carries the command's id. Time's effects (proof lapsed, wait over) come first among them. */
  readonly decide: (state: JobState, envelope: Envelope, context: Context) => Result<JobEvent[]>
  /** Believes the event: total, calls no formula, reads no clock. */
  readonly evolve: (state: JobState | undefined, event: JobEvent) => JobState
  readonly fold: (events: Iterable<JobEvent>) => JobState | undefined
  /** Whether time has brought something about that the shell must record by a `wake` command. */
  readonly due: (state: JobState, now: number) => boolean
  /** What this person sees and may do now. An unknown person sees what a homeowner sees. */
  readonly view: (state: JobState, person: string, now: number) => JobView
}
