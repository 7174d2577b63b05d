// The judgement which way a wrong reading went when the two sensor plugs were changed over: with the sensor, or it stayed with the input.
// What the sensors read by themselves is judge-sensor.ts.
import { ok } from '../result.ts'
import { quadrature, specFor } from './instrument.ts'
import { defineEvaluator, dtemp, take, waterDoubt } from './judging.ts'
import type { Result } from '../result.ts'
import type { Judgement } from './judging.ts'
import type { Evaluator, Readings } from './verdict.ts'

/** Nothing is condemned on less: 5 degF. Source: sensor table note of the trade sheet. */
const NEVER_UNDER = 25 / 9
/** Five degrees typed in °F are not exactly five degrees in °C. */
const HAIR = 1e-6
/** Up to this share of the error left: it went with the sensor. From this share on: it stayed. Common practice, no source. */
const GONE = 0.35
const LEFT = 0.65

/**
 * Display minus thermometer before and while the plugs are changed over.
 *
 * Shape:  readings water-before, display-before, water-swapped, display-swapped → follows, stays, no-diff. The same thermometer both
 *         times, so that its constant error cancels in the change. no-diff: less than 5 °F wrong before, or a change in between.
 * Units:  degC; the verdict holds what is left of the error, K.
 * Errors: CALC_READING_MISSING, CALC_READING_DOUBTFUL for water that no tub has.
 * Source: T05 of the trade sheet; 5 °F floor as for sensors without a curve; shares are common practice, no source.
 */
export const swapDifference: Evaluator = defineEvaluator(
  {
    name: 'swap-difference',
    version: 1,
    needs: ['water-before', 'display-before', 'water-swapped', 'display-swapped'],
    facts: [],
    outcomes: ['follows', 'stays', 'no-diff'],
  },
  (readings) => {
    const before = errorOf(readings, 'before')
    if (!before.ok) return before
    const swapped = errorOf(readings, 'swapped')
    if (!swapped.ok) return swapped
    return ok(judgeSwap(before.value, swapped.value))
  },
)

function errorOf(readings: Readings, when: 'before' | 'swapped'): Result<number> {
  const water = take(readings, `water-${when}`, 'temperature')
  if (!water.ok) return water
  const display = take(readings, `display-${when}`, 'temperature')
  if (!display.ok) return display
  return waterDoubt(water.value, `water-${when}`) ?? ok(display.value.si - water.value.si)
}

function judgeSwap(before: number, swapped: number): Judgement {
  const scatter = quadrature(specFor('temperature', 'thermometer-digital').scatter, specFor('temperature', 'display').scatter)
  const error = 2 * Math.SQRT2 * scatter
  const base = {
    quantity: 'temperature-difference',
    value: swapped,
    error,
    basis: 'common practice',
    bands: [{ low: -Math.abs(before) * GONE, high: Math.abs(before) * GONE, label: 'went with the sensor', good: true }],
  } as const
  const side = before < 0 ? 'below' : 'above'
  const measured = `The display was ${dtemp(Math.abs(before))} ${side} the thermometer before. Changed over, ${dtemp(Math.abs(swapped))} are left.`
  if (Math.abs(before) <= NEVER_UNDER + HAIR) {
    const reason = `${measured} Nothing is named on ${dtemp(NEVER_UNDER)} or less.`
    return { ...base, outcome: 'no-diff', mark: 'cannot-tell', reason, settle: 'Measure both sensors in one cup instead.' }
  }
  const left = swapped / before
  if (Math.abs(left) <= GONE) return { ...base, outcome: 'follows', mark: 'out', reason: `${measured} It went with the sensor.` }
  if (left >= LEFT) return { ...base, outcome: 'stays', mark: 'in', reason: `${measured} It stayed with the input.` }
  const settle = 'Measure both sensors in one cup, and look at the plugs once more.'
  return { ...base, outcome: 'no-diff', mark: 'cannot-tell', reason: `${measured} That is neither the one nor the other.`, settle }
}
