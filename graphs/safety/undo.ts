// Which effects make a tub safer: a change of mind never brings those about, and always takes them back.
// What taking back writes is engine/effects.ts.
import type { Effect } from '../edition/compiled.ts'

export function isSafer(effect: Effect): boolean {
  switch (effect.do) {
    case 'energy':
      return effect.to === 'off'
    case 'covers':
      return effect.to === 'on'
    case 'leads':
      return effect.to === 'capped'
    case 'gfci':
      return effect.result === 'passed'
    case 'lock':
    case 'proof':
    case 'water-clear':
    case 'mark':
    case 'clear-hazard':
    case 'part-in':
    case 'approve':
      return true
    default:
      return false
  }
}
