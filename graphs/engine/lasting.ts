// How long a result stands, and what conditions of a decide step hold now.
// Nothing is written here; decide.ts asks.
import type { Case, Condition, Edition, LockOf } from '../edition/compiled.ts'
import { isLocked, SHOP } from '../safety/power.ts'
import type { JobState, TestResult } from './state.ts'

/** The result of a card if it still lasts. */
export function standingResult(edition: Edition, state: JobState, test: string, now: number): TestResult | undefined {
  const result = state.path.results[test]
  const lasts = edition.blocks[test]?.lasts
  if (result === undefined || lasts === undefined) return undefined
  switch (lasts) {
    case 'job':
      return result
    case 'visit':
      return result.visit === state.visit ? result : undefined
    case 'until-power-up':
      // A visit is another day: what was pressed or measured before it says nothing of the tub as it stands now.
      return result.powerUps === state.tub.powerUps && result.visit === state.visit ? result : undefined
    case 'until-part-fitted':
      return result.fitted === state.tub.partsIn.length ? result : undefined
    default:
      return now - result.at <= lasts.minutes * 60_000 ? result : undefined
  }
}

/** The first case that holds; the last one always does. */
export function caseThatHolds(state: JobState, cases: readonly Case[]): string {
  const found = cases.find((one) => one.when.every((condition) => holds(state, condition)))
  return found?.outcome ?? cases.at(-1)?.outcome ?? ''
}

function holds(state: JobState, condition: Condition): boolean {
  const { tub, path } = state
  if ('result' in condition) {
    const outcome = path.results[condition.result]?.outcome
    return 'is' in condition
      ? outcome !== undefined && condition.is.includes(outcome)
      : outcome === undefined || !condition.not.includes(outcome)
  }
  if ('flag' in condition) return path.flags[condition.flag] !== undefined
  if ('no_flag' in condition) return path.flags[condition.no_flag] === undefined
  if ('hazard' in condition) return tub.hazards[condition.hazard] !== undefined
  if ('no_hazard' in condition) return tub.hazards[condition.no_hazard] === undefined
  if ('mark' in condition) return tub.marks[condition.mark] !== undefined
  if ('no_mark' in condition) return tub.marks[condition.no_mark] === undefined
  if ('fact' in condition) return factHolds(state, condition)
  if ('energy' in condition) return condition.energy.includes(tub.energy)
  if ('covers' in condition) return tub.covers === condition.covers
  if ('locked' in condition) return isLocked(tub) === condition.locked
  if ('lock' in condition) return isLockOn(state, condition.lock)
  if ('no_lock' in condition) return !isLockOn(state, condition.no_lock)
  if ('on_site' in condition) return tub.onSite.length > 0 === condition.on_site
  if ('signed' in condition) return tub.onSite.some((person) => state.people[person]?.signed.includes(condition.signed))
  if ('resets_used' in condition) return tub.resets > 0 === condition.resets_used
  return tub.water !== undefined && tub.water.degC > condition.water_above
}

function isLockOn(state: JobState, whose: LockOf): boolean {
  const holder = state.tub.holder?.person
  return state.tub.locks.some(({ owner }) => (owner === SHOP ? 'shop' : owner === holder ? 'own' : 'others') === whose)
}

function factHolds(state: JobState, condition: Extract<Condition, { fact: string }>): boolean {
  const value = state.facts[condition.fact]?.value ?? state.path.constants[condition.fact]
  if ('is' in condition) return value !== undefined && condition.is.includes(value)
  if (typeof value !== 'number') return false
  return 'at_least' in condition ? value >= condition.at_least : value < condition.below
}
