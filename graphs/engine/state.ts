// What a job is at one moment: two folds of one log. Plain JSON, no methods, no machine snapshots.
// How it changes is evolve.ts; the tub's fold is safety/tub.ts.
import type { Form, Person, Role, StoredVerdict, TypedReading } from '../contract/index.ts'
import type { Ending, TubState } from '../edition/compiled.ts'
import type { Tub } from '../safety/tub.ts'
import type { Fact } from '../trade/verdict.ts'

/** One level of a place: a step of a block, reached for the nth time in this call. */
export type Frame = {
  readonly block: string
  readonly step: string
  readonly visit: number
  /** The engine put this block on top, for the nth time here. */
  readonly put?: number
  /** The place as text, down to this level (place.ts). */
  readonly key: string
  /** What this call of the block has come by, in order: each step reached, `step=answer` for each use of a backward arrow. Visits are counted in it. */
  readonly by: readonly string[]
}

/** An answer as it stands in the log, by its key. */
export type Entry = {
  readonly key: string
  readonly event: string
  readonly at: number
  readonly person: string
  readonly outcome: string
  readonly reason?: string
  readonly readings?: { [name: string]: TypedReading | TypedReading[] }
  readonly form?: Form
  readonly verdict?: StoredVerdict
  readonly auto?: string
  readonly words?: string
  readonly toldBy?: string
  /** The tub when it was given: what lasting is judged by. */
  readonly visit: number
  readonly powerUps: number
  readonly fitted: number
  readonly power: PowerStateName
}

/** A procedure that was put on top of a place. */
export type Put = {
  readonly block: string
  readonly cause: string
  readonly flag?: string
  readonly at: number
  readonly person: string
}

/** A call or a put block that was come back from; `from`: the answer that led out of it. */
export type Passed =
  | { readonly key: string; readonly outcome: string; readonly from: string }
  | { readonly put: Put; readonly exit: string; readonly from: string }

/** Result of a test card on the path, with what its lasting depends on. */
export type TestResult = {
  readonly test: string
  readonly outcome: string
  /** Key of the answer that gave it. */
  readonly key: string
  readonly at: number
  readonly visit: number
  readonly powerUps: number
  readonly fitted: number
  readonly person: string
}

/** The path: folded from the answers that stand. */
export type Path = {
  /** Where each segment of the job began: the flow's start, then each arrival on site. */
  readonly segments: readonly { readonly block: string; readonly step: string }[]
  /** Standing answers by key; those off the path stay here and are shown struck through. */
  readonly entries: { readonly [key: string]: Entry }
  readonly puts: { readonly [key: string]: readonly Put[] }
  /** How many of the puts of a key are done with. */
  readonly putsDone: { readonly [key: string]: number }
  /** Where the job stands now; empty when the job has run out of its flow. */
  readonly frames: readonly Frame[]
  /** Keys of answers on the path, in order. */
  readonly trail: readonly string[]
  /** The same with calls that a result which still stands has answered. */
  readonly taken: readonly string[]
  readonly results: { readonly [test: string]: TestResult }
  readonly flags: { readonly [flag: string]: string }
  /** What the last step onward left behind it: calls that were come back from, and blocks put on top that are done. */
  readonly passed: readonly Passed[]
  /** Facts that answers on the path carry as constants. */
  readonly constants: { readonly [slug: string]: string | number | boolean }
}

export type JobFact = Fact & { readonly event: string; readonly typed?: string; readonly at: number; readonly role: Role }

export type JobState = {
  readonly job: string
  readonly short: string
  readonly edition: number
  readonly flow: string
  readonly complaint: string
  readonly words: string
  readonly practice: boolean
  readonly openedAt: number
  readonly lastAt: number
  /** Last clock reading of each device: it never runs back within one. */
  readonly clocks: { readonly [device: string]: number }
  /** When each person wrote last. */
  readonly seen: { readonly [person: string]: number }
  /** Number of events folded. */
  readonly count: number
  readonly visit: number
  readonly people: { readonly [id: string]: Person & { readonly here: boolean; readonly onSite: boolean } }
  readonly path: Path
  readonly tub: Tub
  readonly facts: { readonly [slug: string]: JobFact }
  readonly waits: { readonly [key: string]: number }
  readonly approvals: readonly { readonly what: string; readonly at: number; readonly person: string; readonly words?: string }[]
  readonly photos: readonly { readonly name: string; readonly at: number; readonly key?: string }[]
  readonly ended?: {
    readonly ending: Ending
    readonly tub: TubState
    readonly step: string
    readonly at: number
    readonly reason?: string
    readonly guard?: string
  }
  readonly confirmed?: { readonly held: boolean; readonly at: number }
  /** Power state from each moment on: the rail. */
  readonly rail: readonly { readonly at: number; readonly power: PowerStateName }[]
  /** Memories of the safety observers. */
  readonly watch: { readonly [rule: string]: unknown }
}

export type PowerStateName = 'closed' | 'live-shut' | 'proving' | 'locked' | 'live-open'
