// The shape of a job note: one record for four readers, plain JSON, times as milliseconds since 1970.
// What fills it stands in the files beside this one; how it looks on paper is the shells'.
import type { Ending, SignalWord, TubState } from '../edition/compiled.ts'

/** What the shell hands in: the log knows neither hashes nor links. */
export type NoteExtra = {
  /** Name of the shop, as printed at the top. */
  readonly shop?: string
  readonly editionHash?: string
  /** Hash of the last line of the job's chain. */
  readonly head?: string
  /** Where the job can be opened again. */
  readonly link?: string
}

export type NoteLine = { readonly label: string; readonly value: string }
export type TimedLine = { readonly at: number; readonly what: string; readonly by: string }
/** Withdrawn: the answer that gave it was changed or taken back. It stays listed. */
export type NoteApproval = TimedLine & { readonly withdrawn?: true }
export type Mark = 'in' | 'out' | 'cannot-tell'

export type NoteReading = {
  readonly at: number
  /** Power state as the rail draws it. */
  readonly rail: string
  readonly title: string
  readonly typed: readonly NoteLine[]
  readonly range: string
  readonly mark?: Mark
  readonly direction?: 'high' | 'low'
  /** The verdict in words: the label of the outcome. */
  readonly verdict: string
  readonly reason: string
  readonly instrument: string
  readonly power: string
}

export type CauseState = 'found' | 'points-to' | 'not-found'
export type EvidenceWeight = {
  readonly at: number
  readonly title: string
  readonly answer: string
  /** How many times as likely this answer is under the cause as under the others; an estimate of the tables. */
  readonly times?: number
}
export type NoteCause = {
  readonly state: CauseState
  readonly fault?: string
  readonly label: string
  readonly plain: string
  readonly shownBy: readonly EvidenceWeight[]
  readonly for: readonly EvidenceWeight[]
  readonly against: readonly EvidenceWeight[]
  readonly others: readonly string[]
}

export type NoteRuledOut = { readonly fault: string; readonly label: string; readonly by: readonly string[] }
export type NotePartIn = {
  readonly part: string
  readonly label: string
  readonly at: number
  readonly trial: boolean
  readonly consumable: boolean
  readonly evidence: readonly string[]
  readonly rivals: readonly string[]
}
export type NotePartOut = { readonly part: string; readonly label: string; readonly at: number; readonly where: string }

export type NoteCompared = {
  readonly found: readonly NoteLine[]
  readonly left: readonly NoteLine[]
  readonly differences: readonly string[]
}
export type NoteProof = {
  readonly at: number
  readonly by: string
  readonly result: string
  readonly testerBefore: boolean
  readonly testerAfter: boolean
  readonly places: readonly { readonly place: string; readonly pairs: readonly NoteLine[] }[]
  readonly struck: boolean
}
export type NoteLockout = {
  readonly steps: readonly TimedLine[]
  readonly proofs: readonly NoteProof[]
  readonly locksNow: readonly string[]
}
export type NoteCheck = {
  readonly what: string
  readonly state: 'done' | 'failed' | 'not-done'
  readonly detail: string
  readonly at?: number
}
export type NoteCaution = { readonly word: SignalWord; readonly text: string }
export type StruckWhy = 'changed' | 'taken back' | 'no longer on the path' | 'judged anew'
export type NotePathRow = {
  readonly at: number
  readonly step: string
  readonly title: string
  readonly answer: string
  readonly typed: readonly NoteLine[]
  readonly by: string
  readonly power: string
  readonly mark?: Mark
  readonly direction?: 'high' | 'low'
  readonly words?: string
  readonly auto?: string
  readonly struck?: StruckWhy
}
export type NotePerson = { readonly name: string; readonly role: string; readonly signed: readonly string[] }
export type NoteRailPoint = { readonly at: number; readonly power: string; readonly words: string }

export type NoteData = {
  readonly version: 1
  readonly job: {
    readonly id: string
    readonly short: string
    readonly shop: string
    readonly practice: boolean
    readonly flow: string
    readonly opened: number
    readonly last: number
    readonly visits: readonly { readonly visit: number; readonly at: number; readonly by: string }[]
    readonly edition: number
    readonly editionHash: string
    /** Left out where the job stayed on the edition it began with. */
    readonly carried?: readonly { readonly from: number; readonly to: number; readonly at: number; readonly by: string }[]
    readonly head: string
    readonly link: string
  }
  readonly ending?: {
    readonly ending: Ending
    readonly words: string
    readonly tub: TubState
    readonly tubWords: string
    readonly at: number
    readonly reason: string
    readonly guard: string
    readonly next: readonly string[]
    readonly confirmed?: boolean
  }
  readonly complaint: { readonly label: string; readonly words: string }
  readonly tub: readonly (NoteLine & { readonly source: string })[]
  readonly history: readonly string[]
  /** What was seen of bridged safety devices. */
  readonly bypass: string
  readonly cause: NoteCause
  readonly readings: readonly NoteReading[]
  readonly ruledOut: readonly NoteRuledOut[]
  readonly notTested: readonly { readonly what: string; readonly why: string }[]
  readonly partsIn: readonly NotePartIn[]
  readonly partsOut: readonly NotePartOut[]
  readonly switches: NoteCompared
  readonly conductors: NoteCompared
  readonly loads: NoteCompared
  readonly settings: NoteCompared
  readonly lockout: NoteLockout
  /** Whether the repair was proved as a whole. */
  readonly proved: boolean
  readonly proof: readonly NoteCheck[]
  readonly risks: readonly string[]
  /** Pairs that showed voltage where the tub was to be dead, as typed; empty once the hazard was cleared. */
  readonly voltage: readonly NoteLine[]
  readonly cautions: readonly NoteCaution[]
  readonly path: readonly NotePathRow[]
  readonly people: readonly NotePerson[]
  readonly handovers: readonly TimedLine[]
  readonly approvals: readonly NoteApproval[]
  readonly photos: readonly string[]
  readonly rail: readonly NoteRailPoint[]
  readonly customer: CustomerNote
}

/** All that the customer's voice may say: no probabilities, no jargon, no blame, no ohms. */
export type CustomerNote = {
  readonly short: string
  readonly shop: string
  readonly practice: boolean
  readonly opened: number
  readonly visits: readonly number[]
  readonly ended?: number
  readonly title: string
  readonly words: string
  readonly cause: string
  readonly done: readonly string[]
  readonly safe: { readonly says: string; readonly use: 'yes' | 'limits' | 'no' | 'not-checked' }
  readonly open: readonly string[]
  readonly settings: readonly NoteLine[]
  readonly settingsSay: string
  readonly watch: readonly string[]
  readonly cautions: readonly NoteCaution[]
  readonly call: readonly string[]
  readonly who: readonly string[]
  readonly link: string
}
