// The judgement whether weather and pump hours alone can carry the water above its set point.
// Heat balance lives in heat.ts.
import { failed, ok } from '../result.ts'
import { creepBound } from './heat.ts'
import { defineEvaluator, doubtful, otherUnit, shown, takeOptional, temp } from './judging.ts'
import { factOf, numberFact, wideFact } from './knowledge.ts'
import { toSi } from './quantity.ts'
import type { Judgement } from './judging.ts'
import type { Evaluator, Facts } from './verdict.ts'

const WARM_NIGHT = toSi(70, 'degF')
/** Below this several-day mean no tub creeps, degC (60 degF). Source: C2 of the trade sheet. */
const COLD_MEAN = toSi(60, 'degF')
/** With pump hours not known: 24 hours of a usual low speed carry the water about 27 K above the air; 3 K more is out of reach. */
const OUT_OF_REACH = 30
const LONG_FILTERING = 8

/**
 * Heat creep by weather and hours.
 *
 * Shape:  facts air-mean, water-target, filter-hours, full-sun, night-lows → explains, does-not, cannot-tell.
 *         A reading `air` outranks the fact air-mean: it is the mean of the last several days, asked now.
 * Units:  degC; hours a day.
 * Errors: CALC_INPUT_OUT_OF_RANGE for more than 24 hours a day.
 * Source: creep bound T - 37 °F, derived from the standby rule; 60 °F, 70 °F at night and 8 hours from C2 of the trade sheet.
 */
export const heatCreep: Evaluator = defineEvaluator(
  {
    name: 'heat-creep',
    version: 1,
    needs: [],
    facts: ['air-mean', 'water-target', 'filter-hours', 'full-sun', 'night-lows'],
    outcomes: ['explains', 'does-not', 'cannot-tell'],
  },
  (readings, stated) => {
    const air = takeOptional(readings, 'air', 'temperature')
    if (!air.ok) return air
    const facts = air.value ? { ...stated, 'air-mean': { slug: 'air-mean', value: air.value.si, source: 'told' } as const } : stated
    if (air.value && (air.value.si < -40 || air.value.si > 50)) {
      return doubtful('air', `No mean air is at ${shown(air.value)}. Look at the number.${otherUnit(air.value)}`)
    }
    const hours = factOf(facts, 'filter-hours')
    if (typeof hours === 'number' && !(hours >= 0 && hours <= 24)) {
      return failed('CALC_INPUT_OUT_OF_RANGE', 'A day has 24 hours. Type the hours of filtering a day.', {
        path: 'filter-hours',
        details: { low: 0, high: 24 },
      })
    }
    return ok(judgeCreep(facts))
  },
)

function judgeCreep(facts: Facts): Judgement {
  const air = numberFact(facts, 'air-mean')
  const target = wideFact(facts, 'water-target')
  const bound = creepBound(target.value)
  const hours = numberFact(facts, 'filter-hours')
  const lows = numberFact(facts, 'night-lows')
  const sunny = factOf(facts, 'full-sun') === true
  const long = (hours?.value ?? 0) >= LONG_FILTERING
  const helped = (lows?.value ?? -Infinity) > WARM_NIGHT || long || sunny
  const bands = [{ low: bound, label: 'pump heat can do it', good: true }]
  const base = { quantity: 'temperature', value: air?.value ?? 0, error: 2 * (air?.u ?? 0), bands, basis: 'derived' } as const
  const assumed = target.known ? '' : ' The set point is not known, so {temp 40} is taken.'
  if (!air) {
    const reason = `The mean air of the last days is not known. Pump heat alone needs ${temp(bound)} or more for water of ${temp(target.value)}.${assumed}`
    return {
      ...base,
      outcome: 'cannot-tell',
      mark: 'cannot-tell',
      reason,
      settle: 'Ask for the mean air, day and night, of the last several days.',
    }
  }
  const measured = `The mean air was ${temp(air.value)}. Pump heat alone needs ${temp(bound)} or more for water of ${temp(target.value)}.${assumed}`
  if (air.value >= bound && helped) {
    const helper = lows && lows.value > WARM_NIGHT ? 'Warm nights' : long ? 'Long filtering' : 'Full sun'
    return { ...base, outcome: 'explains', mark: 'in', reason: `${measured} ${helper} on top: weather and pump explain it.` }
  }
  const cold = air.value < Math.min(COLD_MEAN, bound)
  const ruledOut = hours?.known === true ? !long : air.value < target.value - OUT_OF_REACH
  if (cold && ruledOut && !sunny) {
    return {
      ...base,
      outcome: 'does-not',
      mark: 'out',
      direction: 'low',
      reason: `${measured} So weather and pump do not explain it, if no jet pump ran for hours.`,
    }
  }
  const settle = cold
    ? 'Ask for hours of filtering and jets a day, and for sun.'
    : 'Ask for night lows, hours of filtering a day, and sun. Then measure the rise.'
  return { ...base, outcome: 'cannot-tell', mark: 'cannot-tell', reason: `${measured} That does not decide.`, settle }
}
