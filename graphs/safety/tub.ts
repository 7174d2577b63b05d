// The tub now: energy, covers, locks, proofs, hazards, folded from all events in log order. No change, undo or carry-over takes one back.
// Nothing about the path (which step comes next) belongs here.
import type { JobEvent } from '../contract/index.ts'
import type { HazardSlug } from '../edition/compiled.ts'

export type Lock = { readonly owner: string; readonly point: string }
export type Proof = { readonly prover: string; readonly places: readonly string[]; readonly witnesses: readonly string[]; readonly at: number }

export type Tub = {
  readonly energy: 'on' | 'off' | 'unknown'
  readonly covers: 'on' | 'off'
  readonly locks: readonly Lock[]
  readonly proofs: readonly Proof[]
  readonly leads: 'on' | 'capped'
  readonly hazards: { readonly [hazard: string]: { readonly at: number; readonly person: string } }
  /** Hazards once seen and since cleared, for the note. */
  readonly cleared: readonly { readonly hazard: string; readonly how: string; readonly at: number }[]
  readonly marks: { readonly [mark: string]: { readonly at: number; readonly visit: number } }
  readonly partsOut: readonly { readonly part: string; readonly where: string; readonly at: number }[]
  readonly partsIn: readonly { readonly part: string; readonly trial: boolean; readonly at: number }[]
  readonly resets: number
  /** Hottest water by a thermometer, degC, and the last. */
  readonly hottest?: number
  readonly water?: { readonly degC: number; readonly at: number }
  readonly gfci?: { readonly result: 'passed' | 'failed'; readonly visit: number; readonly at: number }
  /** A water-clear answer that no start has used up yet. */
  readonly clear?: { readonly at: number; readonly key: string }
  readonly powerUps: number
  readonly visit: number
  /** Who stands at the tub. */
  readonly onSite: readonly string[]
  /** The person whose phone holds the tub. */
  readonly holder?: { readonly person: string; readonly device: string }
}

export type TubFold = (tub: Tub, event: JobEvent) => Tub
export type StickyHazard = Extract<HazardSlug, 'shock' | 'voltage' | 'flood' | 'heat-without-demand' | 'hot-water'>
