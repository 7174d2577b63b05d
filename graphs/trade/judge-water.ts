// Judgements on water temperature: display against thermometer, the bathing limit, and the hold at the set point.
// Rates of rise live in judge-rise.ts.
import { ok } from '../result.ts'
import { expandedOf, limitOfError, quadrature, specFor, standardOf } from './instrument.ts'
import {
  defineEvaluator,
  doubtful,
  dtemp,
  otherUnit,
  pointsOf,
  scatterOf,
  sentences,
  shown,
  take,
  takeSeries,
  temp,
  waterDoubt,
} from './judging.ts'
import { isUnitTyped, toSi } from './quantity.ts'
import { BATHING_LIMIT, DISPLAY_ALLOWANCE, FAR_ABOVE } from './water.ts'
import type { Failed, Result } from '../result.ts'
import type { Judgement } from './judging.ts'
import type { Evaluator, Reading, Readings } from './verdict.ts'

/** 2 and 3 degF: equal, and not equal any more, for two instruments of 1.0 K. Source: C1 of the trade sheet, derived. */
const SAME = 10 / 9
const APART = 5 / 3
/** Two degrees typed in °F are not exactly two degrees in °C: a limit that is met counts as met. */
const HAIR = 1e-6
/** Readings this far apart are a mix-up of units, not a fault (60 degF). */
const MIX_UP = 100 / 3
const ABOVE_LIMIT = ' Water above {temp 40}: nobody goes in.'

/**
 * Thermometer against display and set point.
 *
 * Shape:  readings water, display, setpoint → both-high, disp-low, disp-high, both-normal, cannot-tell.
 * Units:  temperatures; the verdict holds display minus water, or water minus set point.
 * Errors: CALC_READING_DOUBTFUL for 38 in °F, 60 °F apart, or a set point that no tub has.
 * Source: equal within 2 degF, apart beyond 3 degF or beyond the error of both instruments, whichever is more.
 */
export const displayVsThermometer: Evaluator = defineEvaluator(
  {
    name: 'display-vs-thermometer',
    version: 1,
    needs: ['water', 'display', 'setpoint'],
    facts: [],
    outcomes: ['both-high', 'disp-low', 'disp-high', 'both-normal', 'cannot-tell'],
  },
  (readings) => {
    const water = takeWater(readings, 'water')
    if (!water.ok) return water
    const display = take(readings, 'display', 'temperature')
    if (!display.ok) return display
    const set = takeSetPoint(readings)
    if (!set.ok) return set
    const mixed = mixUp(water.value, display.value)
    return mixed ?? ok(compareDisplay(water.value, { ...display.value, instrument: 'display' }, set.value))
  },
)

function compareDisplay(water: Reading, display: Reading, set: Reading): Judgement {
  const difference = display.si - water.si
  const error = 2 * quadrature(standardOf(water), standardOf(display))
  const apart = Math.max(APART, error)
  const hot = water.si > BATHING_LIMIT ? ABOVE_LIMIT : ''
  const base = {
    quantity: 'temperature-difference',
    value: difference,
    error,
    basis: 'derived',
    bands: [{ low: -SAME, high: SAME, label: 'display right', good: true }],
  } as const
  if (Math.abs(difference) > apart + HAIR) {
    const low = difference < 0
    const reason = `The display is ${dtemp(Math.abs(difference))} ${low ? 'below' : 'above'} the thermometer. Up to ${dtemp(SAME)} counts as equal.${hot}`
    return { ...base, outcome: low ? 'disp-low' : 'disp-high', mark: 'out', direction: low ? 'low' : 'high', reason }
  }
  if (Math.abs(difference) > SAME + HAIR || error > APART + HAIR) {
    const coarse = error > APART + HAIR
    const reason = `Display and thermometer are ${dtemp(Math.abs(difference))} apart. Only more than ${dtemp(apart)} counts as apart.${hot}`
    const settle = coarse
      ? 'Use a digital thermometer: this one is not good enough.'
      : 'Wait {min 2}, hold the thermometer mid-depth, and read both again.'
    return { ...base, outcome: 'cannot-tell', mark: 'cannot-tell', reason, settle }
  }
  return againstSetPoint(water, display, set, hot)
}

function againstSetPoint(water: Reading, display: Reading, set: Reading, hot: string): Judgement {
  const above = water.si - set.si
  const error = expandedOf(water)
  const bands = [{ high: SAME, label: 'at the set point', good: true }]
  const base = { quantity: 'temperature-difference', value: above, error, basis: 'derived', bands } as const
  const agree = `Thermometer ${temp(water.si)} and display ${temp(display.si)} agree.`
  if (above > Math.max(SAME, error) + HAIR) {
    return {
      ...base,
      outcome: 'both-high',
      mark: 'out',
      direction: 'high',
      reason: `${agree} The water is ${dtemp(above)} above the set point; up to ${dtemp(SAME)} is normal.${hot}`,
    }
  }
  if (above > SAME + HAIR) {
    const reason = `${agree} The water is ${dtemp(above)} above the set point, within the error of the thermometer.${hot}`
    return {
      ...base,
      outcome: 'cannot-tell',
      mark: 'cannot-tell',
      reason,
      settle: 'Use a digital thermometer and read again after {min 2}.',
    }
  }
  const where =
    above < -APART - HAIR
      ? `The water is ${dtemp(-above)} below the set point.`
      : `The water is not more than ${dtemp(SAME)} above the set point.`
  return { ...base, outcome: 'both-normal', mark: 'in', reason: `${agree} ${where}${hot}` }
}

/**
 * Water against the bathing limit, by a separate thermometer.
 *
 * Shape:  reading water → safe, above-limit, far-above, cannot-tell. No benefit of the doubt: a reading above the limit is above it,
 *         and safe needs the limit of error of the thermometer below it. The tub's own display never makes it safe.
 * Units:  degC inside; limit 40 degC (104 degF), far above from 42.2 degC (108 degF).
 * Errors: CALC_READING_DOUBTFUL for a temperature that no tub has, or 38 in °F.
 * Source: product-safety agency 1979, CDC; 108 degF is the field's switch-off limit.
 */
export const waterLimit: Evaluator = defineEvaluator(
  { name: 'water-limit', version: 1, needs: ['water'], facts: [], outcomes: ['safe', 'above-limit', 'far-above', 'cannot-tell'] },
  (readings) => {
    const water = takeWater(readings, 'water')
    if (!water.ok) return water
    const { si, instrument } = water.value
    const isDisplay = instrument === 'display'
    const error = isDisplay ? DISPLAY_ALLOWANCE : limitOfError(specFor('temperature', instrument), si)
    const base = {
      quantity: 'temperature',
      value: si,
      error,
      basis: 'standard',
      bands: [{ high: BATHING_LIMIT, label: 'bathing', good: true }],
    } as const
    if (si >= FAR_ABOVE) {
      const reason = `The water is at ${temp(si)}. Bathing ends at {temp 40}; from {temp 42.2} on the tub is switched off. Nobody goes in.`
      return ok({ ...base, outcome: 'far-above', mark: 'out', direction: 'high', reason })
    }
    if (si > BATHING_LIMIT) {
      return ok({
        ...base,
        outcome: 'above-limit',
        mark: 'out',
        direction: 'high',
        reason: `The water is at ${temp(si)}, above the bathing limit of {temp 40}. Nobody goes in.`,
      })
    }
    if (isDisplay || si + error > BATHING_LIMIT + HAIR) {
      const reason = isDisplay
        ? `The display shows ${temp(si)}, and a display can be ${dtemp(error)} off. The bathing limit of {temp 40} needs a separate thermometer.`
        : `${temp(si)} is within ${dtemp(error)} of the bathing limit of {temp 40}: that is the error of the thermometer.`
      const settle = isDisplay
        ? 'Measure with a separate thermometer. Until then nobody goes in.'
        : 'Lower the set point, or use a better thermometer. Until then nobody goes in.'
      return ok({ ...base, outcome: 'cannot-tell', mark: 'cannot-tell', reason, settle })
    }
    return ok({
      ...base,
      outcome: 'safe',
      mark: 'in',
      reason: `The water is at ${temp(si)}. With ${dtemp(error)} of error it stays at or below the bathing limit of {temp 40}.`,
    })
  },
)

/**
 * The hold at the set point after a repair.
 *
 * Shape:  series water, reading setpoint → holds, drifts, cannot-tell. Three readings over 30 minutes or more.
 * Units:  temperatures; 2 degF either way. Only the scatter of the thermometer counts: the limit allows for its constant offset.
 * Errors: CALC_READING_MISSING, CALC_READING_DOUBTFUL for a series that is too short.
 * Source: field rule, common practice.
 */
export const hold: Evaluator = defineEvaluator(
  { name: 'hold', version: 1, needs: ['water', 'setpoint'], facts: [], outcomes: ['holds', 'drifts', 'cannot-tell'] },
  (readings) => {
    const series = takeSeries(readings, 'water', 'temperature', 3)
    if (!series.ok) return series
    const doubt = series.value.map((reading) => waterDoubt(reading, 'water')).find((one) => one !== undefined)
    if (doubt) return doubt
    const set = takeSetPoint(readings)
    if (!set.ok) return set
    const seconds = pointsOf(series.value).at(-1)?.seconds ?? 0
    if (seconds < 29.5 * 60) return doubtful('water', 'The hold needs 30 minutes. Go on reading.', { seconds })
    return ok(judgeHold(series.value, set.value))
  },
)

function judgeHold(series: readonly Reading[], set: Reading): Judgement {
  const error = 2 * scatterOf(series)
  const off = series.map((reading) => reading.si - set.si)
  const worst = off.reduce((most, one) => (Math.abs(one) > Math.abs(most) ? one : most), 0)
  const hottest = Math.max(...series.map((reading) => reading.si))
  const hot = hottest > BATHING_LIMIT ? ABOVE_LIMIT : ''
  const direction = worst < 0 ? 'low' : 'high'
  const base = {
    quantity: 'temperature-difference',
    value: worst,
    error,
    basis: 'common practice',
    bands: [{ low: -SAME, high: SAME, label: 'holds', good: true }],
  } as const
  const text = `The water went up to ${dtemp(Math.abs(worst))} ${direction === 'low' ? 'below' : 'above'} the set point of ${temp(set.si)}. Allowed is ${dtemp(SAME)}.`
  if (Math.abs(worst) - error > SAME + HAIR) return { ...base, outcome: 'drifts', mark: 'out', direction, reason: sentences(text) + hot }
  if (Math.abs(worst) + error <= SAME + HAIR && hot === '') return { ...base, outcome: 'holds', mark: 'in', reason: text }
  const longer = error >= SAME ? 'Use a digital thermometer: this one is not good enough.' : 'Go on for {min 30} and read every {min 10}.'
  const settle = hot === '' ? longer : 'Set {temp 38.9} or lower, let it cool, and start the hold again.'
  return { ...base, outcome: 'cannot-tell', mark: 'cannot-tell', direction, reason: text + hot, settle }
}

/** A water reading that passed its doubts. */
export function takeWater(readings: Readings, name: string): Result<Reading> {
  const water = take(readings, name, 'temperature')
  if (!water.ok) return water
  return waterDoubt(water.value, name) ?? water
}

function takeSetPoint(readings: Readings): Result<Reading> {
  const set = take(readings, 'setpoint', 'temperature')
  if (!set.ok) return set
  const least = isUnitTyped(set.value.typed) ? 4 : 10
  if (set.value.si >= least && set.value.si <= toSi(110, 'degF')) return set
  return doubtful('setpoint', `No tub has a set point of ${shown(set.value)}. Read it again.${otherUnit(set.value)}`)
}

function mixUp(water: Reading, display: Reading): Failed | undefined {
  if (Math.abs(water.si - display.si) < MIX_UP || isUnitTyped(display.typed)) return undefined
  const message = `Thermometer ${shown(water)} and display ${shown(display)} do not go together.${otherUnit(display)} Else read both again.`
  return doubtful('display', message, { water: water.typed, display: display.typed })
}
