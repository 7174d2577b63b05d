// What the safety observers see: one act after another, in trade terms. Made from events at run time, and from compiled steps by the audit.
// Observers know nothing of commands, frames or screens.
import type { Ending, HandPlace, Hands, Need, Role, SignOff, StepKind, TubState } from '../edition/compiled.ts'

export type StepAct = {
  readonly act: 'step'
  readonly block: string
  readonly step: string
  readonly kind: StepKind
  readonly needs: Need
  readonly at: readonly HandPlace[]
  readonly hands: Hands
  readonly starts: boolean
  /** The step is the GFCI test itself. */
  readonly testsGfci: boolean
  readonly tools: readonly string[]
  readonly person: string
  readonly role: Role
  readonly signed: readonly SignOff[]
  /** False when it was left undone, or another way was taken: no hand moved. */
  readonly done: boolean
}

export type Act =
  | StepAct
  | { readonly act: 'power'; readonly to: 'on' | 'off' | 'unknown' }
  | { readonly act: 'covers'; readonly to: 'on' | 'off' }
  | { readonly act: 'lock'; readonly owner: string }
  | { readonly act: 'unlock'; readonly owner: string; readonly by: string; readonly ordered: boolean }
  | {
      readonly act: 'proof'
      readonly prover: string
      readonly places: readonly string[]
      readonly witnesses: readonly string[]
      readonly signed: boolean
    }
  | { readonly act: 'lapse' }
  | { readonly act: 'joined'; readonly person: string; readonly onSite: boolean }
  | { readonly act: 'left'; readonly person: string }
  | { readonly act: 'handed'; readonly to: string }
  | { readonly act: 'arrived'; readonly person?: string }
  | { readonly act: 'hazard'; readonly hazard: string }
  | { readonly act: 'cleared'; readonly hazard: string; readonly by: Role; readonly how: string }
  | { readonly act: 'reset'; readonly by: Role }
  | { readonly act: 'gfci'; readonly result: 'passed' | 'failed' }
  | { readonly act: 'water-clear' }
  | { readonly act: 'mark'; readonly mark: string }
  | { readonly act: 'unmark'; readonly mark: string }
  | { readonly act: 'part-out'; readonly part: string }
  | { readonly act: 'part-in'; readonly part: string; readonly evidence: boolean; readonly trial: boolean }
  | { readonly act: 'water'; readonly degC: number }
  | { readonly act: 'end'; readonly ending: Ending; readonly tub: TubState; readonly guard: boolean; readonly onSite: boolean }

/** A rule was broken: what was about to happen, in words for the person. */
export type Breach = { readonly breach: string }

/**
 * One safety rule as an observer: pure, small, plain memory.
 * `next` gets the memory and one act and answers the new memory, or the breach that the act would be.
 */
export type Observer<M> = {
  readonly rule: number
  readonly name: string
  readonly start: M
  readonly next: (memory: M, act: Act) => M | Breach
}

export function isBreach(value: unknown): value is Breach {
  return typeof value === 'object' && value !== null && 'breach' in value
}
