// Where an outcome of a step leads, read from the compiled tables. The machines of machines.ts must say the same, always: a law compares them.
// How places and frames follow from it is walk.ts.
import type { Edition } from '../edition/compiled.ts'
import { invariant } from '../result.ts'

export type NextTarget = (block: string, step: string, outcome: string, spent: boolean) => string

/** Shape: block, step, outcome and whether its backward arrow is used up → a step of the block or `exit:<name>`. */
export function nextByTables(edition: Edition): NextTarget {
  return (block, step, name, spent) => {
    const outcome = edition.blocks[block]?.steps[step]?.outcomes[name]
    invariant(outcome, `outcome ${name} of ${block}.${step} is in edition ${edition.number}`)
    return spent && outcome.again !== undefined ? outcome.again.then : outcome.to
  }
}
