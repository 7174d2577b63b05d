// The audit of one edition: every searched rule, what was looked at, how long it took, and each breach with the way to it.
// Whether a library compiles at all is edition/compile.ts; a release waits for both.
import type { Edition } from '../edition/compiled.ts'
import { auditRule } from './refine.ts'
import type { AuditBreach } from './refine.ts'
import { searchesOf } from './rules.ts'

export type RuleAudit = {
  readonly rule: number
  readonly name: string
  readonly places: number
  readonly milliseconds: number
  readonly breaches: readonly AuditBreach[]
  /** Found in the search, but the shortest way could not be walked: nothing was proved, and that way is shown. */
  readonly open: readonly AuditBreach[]
}
export type Audit = {
  readonly rules: readonly RuleAudit[]
  /** What forbids a release: every way that can be walked, and of the rules that are to be proved every place left open. */
  readonly breaches: readonly AuditBreach[]
}

/** Rules that the search settles for a library as large as ours: here what is not proved forbids a release like a breach. */
export const TO_BE_PROVED: readonly number[] = [1, 2, 3, 4, 5, 7, 9, 10, 14]

/** `rules`: only these; `placesMost`: a search beyond it gives up and leaves what it found open. */
export type AuditOrder = { readonly rules?: readonly number[]; readonly placesMost?: number }

/** Enough to prove the rules that are to be proved of a library as large as ours; the others are looked at for less long. */
const PLACES_MOST = { toBeProved: 100_000, other: 30_000 } as const

/**
 * Searches the authors' arrows of an edition for a breach of each safety rule.
 *
 * Shape:  a compiled edition in, one row for each rule out; the same for the same edition, times apart.
 * Units:  milliseconds of the clock that is handed in; places = step and state.
 * Errors: none; a breach is a row's own.
 */
export function auditEdition(edition: Edition, clock: () => number, order: AuditOrder = {}): Audit {
  const byRule = new Map<number, RuleAudit>()
  for (const search of searchesOf(edition)) {
    const { rule, name } = search.observer
    if (order.rules !== undefined && !order.rules.includes(rule)) continue
    const begun = clock()
    const most = TO_BE_PROVED.includes(rule) ? PLACES_MOST.toBeProved : PLACES_MOST.other
    const report = auditRule(edition, search, { gateOn: false, placesMost: order.placesMost ?? most })
    const before = byRule.get(rule) ?? { rule, name, places: 0, milliseconds: 0, breaches: [], open: [] }
    byRule.set(rule, {
      ...before,
      places: before.places + report.places,
      milliseconds: before.milliseconds + clock() - begun,
      breaches: [...before.breaches, ...report.breaches],
      open: [...before.open, ...report.open],
    })
  }
  const rules = [...byRule.values()].toSorted((a, b) => a.rule - b.rule)
  return { rules, breaches: rules.flatMap((one) => (TO_BE_PROVED.includes(one.rule) ? [...one.breaches, ...one.open] : one.breaches)) }
}

/** A breach as a person reads it: the rule, the place, and what was answered on the way there. */
export function breachInWords({ rule, name, block, step, says, way }: AuditBreach): readonly string[] {
  return [`Rule ${rule}, ${name}: ${block}.${step}. ${says}`, ...way.map((line) => `  ${line}`)]
}
