// All safety observers together: run over each act before it is written, and remembered after.
// One rule is one observer in rules/; nothing here knows what a rule is about.
import type { Act, Observer } from './act.ts'
import { isBreach } from './act.ts'
import { repairedIsProved, nothingStaysBehind, safeToUse } from './rules/endings.ts'
import { electricianClears, heatIsSticky, oneReset } from './rules/hazards.ts'
import { liveWork, outsidersStayOutside } from './rules/live-work.ts'
import { handsInside, proofEnds, proofOfDead } from './rules/making-dead.ts'
import { boardRecorded, evidenceFirst } from './rules/parts.ts'
import { poweringUp, waterClearFirst } from './rules/starting.ts'

export const OBSERVERS: readonly Observer<unknown>[] = [
  handsInside,
  proofOfDead,
  proofEnds,
  liveWork,
  outsidersStayOutside,
  electricianClears,
  oneReset,
  waterClearFirst,
  evidenceFirst,
  boardRecorded,
  heatIsSticky,
  repairedIsProved,
  poweringUp,
  safeToUse,
  nothingStaysBehind,
] as readonly Observer<unknown>[]

export type Watch = { readonly [rule: string]: unknown }
export type RuleBreach = { readonly rule: number; readonly name: string; readonly says: string }

/** The first rule that this act would break, if any. */
export function breachOf(watch: Watch, act: Act): RuleBreach | undefined {
  for (const observer of OBSERVERS) {
    const next = observer.next(watch[observer.rule] ?? observer.start, act)
    if (isBreach(next)) return { rule: observer.rule, name: observer.name, says: next.breach }
  }
  return undefined
}

/** Memories after an act that has happened. A breach that lies in the log already changes no memory. */
export function remember(watch: Watch, act: Act): Watch {
  let after: { [rule: string]: unknown } | undefined
  for (const observer of OBSERVERS) {
    const memory = watch[observer.rule] ?? observer.start
    const next = observer.next(memory, act)
    if (next === memory || isBreach(next)) continue
    after ??= { ...watch }
    after[observer.rule] = next
  }
  return after ?? watch
}
