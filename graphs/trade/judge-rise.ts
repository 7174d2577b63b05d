// Judgements on how fast the water warms: demand off, demand on, heat off after a repair, and two runs without and with the heater.
// Each holds the measured rate against the rise table of this tub, with the whole error budget.
import { ok } from '../result.ts'
import { decidingTime, lossAtLimit, predictRise, runDifference, separation, slopeThrough } from './heat.ts'
import { quadrature } from './instrument.ts'
import { defineEvaluator, doubtful, pointsOf, rate, scatterOf, sentences, takeSeries, waterDoubt } from './judging.ts'
import { numberFact, RISE_FACTS, riseTableOf } from './knowledge.ts'
import type { Result } from '../result.ts'
import type { Slope } from './heat.ts'
import type { Definition, Judgement } from './judging.ts'
import type { RiseTable } from './knowledge.ts'
import type { Band, Evaluator, Facts, Readings } from './verdict.ts'

const MINUTE = 60
/** A span counts as full when half a minute is missing. */
const SLACK = 30
/** 0.6, 0.3 and 1.4 degF/h in K/h: limits of C2 of the trade sheet. */
const SLOW_IN_ONE_HOUR = 1 / 3
const SLOW_IN_FOUR_HOURS = 1 / 6
const HEAT_OFF_LARGE = 7 / 9
/** No tub warms or cools faster than this, K/h: 15 kW in 250 L. */
const FASTEST = 60
/** Water at which a rise test stops, degC (110 degF). */
const STOP_AT = 43.3

/** Set point of the heat-on run, 38.9 degC, less 2 K for display and thermometer: from here on the heating may have ended by itself. */
const SET_POINT_REACHED = 36.9

type Run = { readonly slope: Slope; readonly table: RiseTable; readonly last: number }

/**
 * Rise with the demand off, jets off, cover on.
 *
 * Shape:  series water with times → fast, slow, flat, cannot-tell. At least 30 minutes, or 10 and until the stop at 110 °F.
 * Units:  K/h. fast: label 4 kW or more and at least half the rise table, sure by its error; slow: 0.6 °F/h in 1 h or 0.3 in 4 h;
 *         flat: under 0.3 °F/h in 4 h or more. A heater under 4 kW is never fast: pump heat looks the same.
 * Errors: CALC_READING_MISSING, CALC_READING_DOUBTFUL (too short, jumps, times that do not rise).
 * Source: C2 of the trade sheet; error budget of heat-sensors-water 3.5.
 */
export const riseDemandOff: Evaluator = defineEvaluator(
  { ...definition('rise-demand-off', ['fast', 'slow', 'flat', 'cannot-tell']), version: 2 },
  (readings, facts) => {
    const taken = takeRun(readings, 'water', facts)
    if (!taken.ok) return taken
    const { slope, last } = taken.value
    const fast = isFast(taken.value)
    const stopped = last >= STOP_AT && slope.span >= 10 * MINUTE - SLACK
    if (slope.span < 30 * MINUTE - SLACK && !stopped) return tooShort('30 minutes')
    return ok(judgeDemandOff(taken.value, fast))
  },
)

/** Half of the rise table that a large heater has to reach; the heater of 5.5 kW while nobody knows, which no cord could feed. */
function halfTable(table: RiseTable): number {
  return table.rate.high / 2
}

function isFast({ slope, table }: Run): boolean {
  if (table.heater.large === false) return false
  const half = halfTable(table)
  const error = 2 * quadrature(slope.u, half * table.share)
  return slope.rate - half >= error && slope.rate - 2 * slope.u > table.pumpTop
}

function judgeDemandOff(run: Run, fast: boolean): Judgement {
  const { slope, table } = run
  const half = halfTable(table)
  const error = 2 * slope.u
  const base = rateVerdict(run, demandOffBands(table))
  const measured = `The water changes by ${rate(slope.rate)}, give or take ${rate(error)}.`
  const expected = `A heater that is on would give about ${rate(table.rate.value)}; the pump alone at most ${rate(table.pumpTop)}.`
  if (fast)
    return {
      ...base,
      outcome: 'fast',
      mark: 'out',
      direction: 'high',
      reason: sentences(measured, `${expected} So heat enters that nobody asked for.`, table.note),
    }
  const long = slope.span >= 240 * MINUTE - SLACK
  const hour = slope.span >= 60 * MINUTE - SLACK
  const rises =
    (hour && slope.rate >= SLOW_IN_ONE_HOUR && slope.rate > error) ||
    (long && slope.rate >= SLOW_IN_FOUR_HOURS && error <= SLOW_IN_FOUR_HOURS)
  if (rises && isBelowFast(run)) {
    return {
      ...base,
      outcome: 'slow',
      mark: 'out',
      direction: 'high',
      reason: sentences(measured, 'That is slow: pump, sun, or a small heater.', expected, table.note),
    }
  }
  if (long && slope.rate < SLOW_IN_FOUR_HOURS && error <= SLOW_IN_FOUR_HOURS) {
    return {
      ...base,
      outcome: 'flat',
      mark: 'in',
      reason: sentences(measured, `Less than ${rate(SLOW_IN_FOUR_HOURS)} over {min 240} counts as flat.`, table.note),
    }
  }
  const notFast =
    table.heater.large !== false && slope.rate + error < half ? 'It is not fast, so a large heater is not on all the time.' : ''
  return {
    ...base,
    outcome: 'cannot-tell',
    mark: 'cannot-tell',
    reason: sentences(measured, notFast || expected, table.note),
    settle: settleDemandOff(run),
  }
}

/** Whether a rise is surely no large heater: below half the table, or the heater is small anyway. */
function isBelowFast({ slope, table }: Run): boolean {
  if (table.heater.large === false) return true
  // Not known: a heater of 4 kW in the largest tub must be ruled out as well.
  const half =
    table.heater.large === undefined ? ((table.rate.high / 5.5) * 4 * 0.5 * table.volume.value) / table.volume.high : halfTable(table)
  return half - slope.rate >= 2 * quadrature(slope.u, half * table.share)
}

function settleDemandOff({ slope, table }: Run): string {
  if (table.heater.large === undefined) return 'Read the heater power on the label, and go on reading every {min 10}.'
  const next = slope.span < 60 * MINUTE ? 60 : 240
  return `Go on until {min ${next}} have passed, and read every {min 10}. The house meter can decide sooner.`
}

function demandOffBands(table: RiseTable): readonly Band[] {
  const pump: Band = { high: Math.min(table.pumpTop, halfTable(table)), label: 'pump only', good: true }
  return table.heater.large === false ? [pump] : [pump, { low: halfTable(table), label: 'heater on', good: false }]
}

/**
 * Rise with the demand on: does the heater give what its label says?
 *
 * Shape:  series water → zero (under 10 % of the table), below-half (10 to 50 %), near-table (70 % or more), cannot-tell.
 *         The gap from 50 to 70 % is the guard band: an outcome stands when its error does not reach across the gap.
 *         A run that reached its set point (38.9 degC, less the errors of display and thermometer) is judged on its first part as well:
 *         the longest one of 30 minutes or more, with three readings, that is near the table. What rose no more was not asked to.
 * Units:  K/h. Errors: as rise-demand-off.
 * Source: C2 of the trade sheet; the end at the set point is derived: a heater that was asked no longer says nothing.
 */
export const riseDemandOn: Evaluator = defineEvaluator(
  { ...definition('rise-demand-on', ['zero', 'below-half', 'near-table', 'cannot-tell']), version: 2 },
  (readings, facts) => {
    const taken = takeRun(readings, 'water', facts)
    if (!taken.ok) return taken
    if (taken.value.slope.span < 30 * MINUTE - SLACK) return tooShort('30 minutes')
    const whole = judgeDemandOn(taken.value)
    const first = whole.outcome === 'near-table' || taken.value.last < SET_POINT_REACHED ? undefined : firstPartNearTable(readings, facts)
    return ok(first ?? whole)
  },
)

/** The longest first part of a run that is near the table; undefined when there is none. */
function firstPartNearTable(readings: Readings, facts: Facts): Judgement | undefined {
  const { water } = readings
  if (!Array.isArray(water)) return undefined
  for (let count = water.length - 1; count >= 3; count -= 1) {
    const part = takeRun({ water: water.slice(0, count) }, 'water', facts)
    if (!part.ok || part.value.slope.span < 30 * MINUTE - SLACK) return undefined
    const judged = judgeDemandOn(part.value)
    const minutes = Math.round(part.value.slope.span / MINUTE)
    if (judged.outcome === 'near-table')
      return { ...judged, reason: sentences(judged.reason, `That is the first {min ${minutes}}; then the set point was reached.`) }
  }
  return undefined
}

function judgeDemandOn(run: Run): Judgement {
  const { slope, table } = run
  const { low, high } = table.rate
  const error = 2 * quadrature(slope.u, slope.rate * table.share)
  const base = rateVerdict(run, [
    { high: low * 0.1, label: 'no heat', good: false },
    { low: high * 0.7, high, label: 'expected', good: true },
  ])
  const percent = Math.round((100 * slope.rate) / table.rate.value)
  const measured = `The water rises by ${rate(slope.rate)}; the table gives ${rate(table.rate.value)}, so that is ${Math.max(0, percent)} %.`
  if (slope.rate - error > 1.2 * high) {
    const settle = 'Look at the volume and the heater power on the label, and at the times.'
    return {
      ...base,
      outcome: 'cannot-tell',
      mark: 'cannot-tell',
      direction: 'high',
      reason: sentences(measured, 'No heater of that size is so fast.', table.note),
      settle,
    }
  }
  if (slope.rate >= 0.7 * high && slope.rate - error > 0.5 * high) {
    return { ...base, outcome: 'near-table', mark: 'in', reason: sentences(measured, 'From 70 % on the heater does its work.', table.note) }
  }
  if (slope.rate < 0.1 * low && slope.rate + error < 0.5 * low) {
    return {
      ...base,
      outcome: 'zero',
      mark: 'out',
      direction: 'low',
      reason: sentences(measured, 'Under 10 % no heat arrives.', table.note),
    }
  }
  if (slope.rate < 0.5 * low && slope.rate >= 0.1 * high && slope.rate + error < 0.7 * low) {
    return {
      ...base,
      outcome: 'below-half',
      mark: 'out',
      direction: 'low',
      reason: sentences(measured, 'A sound heater gives 70 % or more.', table.note),
    }
  }
  const settle = table.rate.known
    ? 'Go on to {min 120} and read every {min 10}.'
    : 'Read volume and heater power on the label, and go on to {min 120}.'
  return {
    ...base,
    outcome: 'cannot-tell',
    mark: 'cannot-tell',
    reason: sentences(measured, `The error is ${rate(error)}.`, table.note),
    settle,
  }
}

/**
 * Rise with the heat switched off after a repair.
 *
 * Shape:  series water → holds, rising, cannot-tell. Heater of 4 kW or more: 30 minutes and at most 0.7 °F in them;
 *         smaller or not known: 2 hours and at most half the table (of 1 kW while nobody knows).
 * Units:  K/h. Errors: as rise-demand-off.
 * Source: heat-off check of the trade sheet; `holds` also needs "heater still on" to be out of reach of the error.
 */
export const riseHeatOff: Evaluator = defineEvaluator(
  definition('rise-heat-off', ['holds', 'rising', 'cannot-tell']),
  (readings, facts) => {
    const taken = takeRun(readings, 'water', facts)
    if (!taken.ok) return taken
    const { slope, table } = taken.value
    const large = table.heater.large === true
    const limit = large ? Math.min(HEAT_OFF_LARGE, table.rate.value / 2) : table.rate.low / 2
    const top = large ? limit : table.rate.high / 2
    const error = 2 * quadrature(slope.u, limit * table.share)
    const rising = slope.rate - error > top
    const full = (large ? 30 : 120) * MINUTE - SLACK
    if (slope.span < full && !(rising && slope.span >= 10 * MINUTE)) return tooShort(large ? '30 minutes' : '2 hours')
    return ok(judgeHeatOff(taken.value, { limit, error, rising }))
  },
)

function judgeHeatOff(run: Run, found: { readonly limit: number; readonly error: number; readonly rising: boolean }): Judgement {
  const { slope, table } = run
  const base = rateVerdict(run, [
    { high: found.limit, label: 'heat off', good: true },
    { low: 0.7 * table.rate.low, label: 'heater on', good: false },
  ])
  const measured = `With the heat off the water changes by ${rate(slope.rate)}, give or take ${rate(2 * slope.u)}. Up to ${rate(found.limit)} is pump heat.`
  if (found.rising) {
    return {
      ...base,
      outcome: 'rising',
      mark: 'out',
      direction: 'high',
      reason: sentences(measured, 'The water still warms, so heat still enters.', table.note),
    }
  }
  if (slope.rate <= found.limit && slope.rate + 2 * slope.u < 0.7 * table.rate.low * (1 - table.share)) {
    return {
      ...base,
      outcome: 'holds',
      mark: 'in',
      reason: sentences(measured, `A heater still on would give ${rate(0.7 * table.rate.low)} or more.`, table.note),
    }
  }
  const settle = 'Go on for {min 30} and read every {min 10}, or look at the house meter.'
  return { ...base, outcome: 'cannot-tell', mark: 'cannot-tell', reason: sentences(measured, table.note), settle }
}

/**
 * Two runs, heater leads off and then on, demand off both times, same pump and cover.
 *
 * Shape:  series without and with → heater-was-on, no-difference, cannot-tell. One hour each; 2 hours for a heater under 4 kW or not known.
 *         A run that was stopped at 110 °F after 10 minutes or more counts as far as it went, and never as no difference.
 * Units:  K/h. Pump, losses, air and volume cancel. Errors: as rise-demand-off.
 * Source: heat-sensors-water 3.5 test 2; limit half the rise table.
 */
export const twoRunDifference: Evaluator = defineEvaluator(
  { ...definition('two-run-difference', ['heater-was-on', 'no-difference', 'cannot-tell']), version: 2, needs: ['without', 'with'] },
  (readings, facts) => {
    const without = takeRun(readings, 'without', facts)
    if (!without.ok) return without
    const withHeater = takeRun(readings, 'with', facts)
    if (!withHeater.ok) return withHeater
    const { table } = withHeater.value
    const difference = runDifference(without.value.slope, withHeater.value.slope)
    const error = 2 * difference.u
    const half = table.rate.low / 2
    const on = difference.value >= half && difference.value - error > 0
    const span = Math.min(without.value.slope.span, withHeater.value.slope.span)
    const least = table.heater.large === true ? 60 : 120
    const stopped = Math.max(without.value.last, withHeater.value.last) >= STOP_AT && span >= 10 * MINUTE - SLACK
    const surelyOn = difference.value - error > half * (1 + 2 * table.share) && (span >= 20 * MINUTE || stopped)
    const short = span < least * MINUTE - SLACK
    if (short && !surelyOn && !stopped) return tooShort(least === 60 ? '1 hour in each run' : '2 hours in each run', 'with')
    return ok(judgeTwoRuns({ difference: difference.value, error, half, on: short ? surelyOn : on, short, table }))
  },
)

function judgeTwoRuns(found: {
  readonly difference: number
  readonly error: number
  readonly half: number
  readonly on: boolean
  readonly short: boolean
  readonly table: RiseTable
}): Judgement {
  const { difference, error, half, table } = found
  const bands = [
    { high: half, label: 'no heater', good: true },
    { low: half, label: 'heater on', good: false },
  ]
  const base = { quantity: 'temperature-rate', value: difference, error, bands, basis: table.rate.known ? 'nameplate' : 'assumed' } as const
  const measured = `With the heater connected the water warms ${rate(difference)} faster, give or take ${rate(error)}. From ${rate(half)} on it is the heater.`
  if (found.on)
    return {
      ...base,
      outcome: 'heater-was-on',
      mark: 'out',
      direction: 'high',
      reason: sentences(measured, 'Nothing else was changed, so the heater heats without being asked.', table.note),
    }
  if (!found.short && difference < half && difference + error < table.rate.low * (1 - 2 * table.share)) {
    return { ...base, outcome: 'no-difference', mark: 'in', reason: sentences(measured, 'So the heater was off in both runs.', table.note) }
  }
  return {
    ...base,
    outcome: 'cannot-tell',
    mark: 'cannot-tell',
    reason: sentences(measured, table.note),
    settle: 'Make each run an hour longer. Same pump speed, same cover.',
  }
}

export type RisePlan = { readonly decides: boolean; readonly separation: number; readonly seconds?: number }

/**
 * Says beforehand whether a rise test can tell heater off from heater on.
 *
 * Shape:  `decides` when the separation reaches 2 within the time; `seconds` is the shortest time that would do, if a day is enough.
 * Units:  s and K in. Works with nothing known.
 * Source: heat-sensors-water 3.5: pump fraction 0.75 ± 0.15, loss at the standby limit ± 30 %, water 15 ± 2 K above the air (assumed).
 */
export function planRise(facts: Facts, run: { readonly seconds: number; readonly scatter: number; readonly readings?: number }): RisePlan {
  const table = riseTableOf(facts, 38)
  const pump = numberFact(facts, 'pump-power') ?? { value: 250, u: 87 }
  const loss = lossAtLimit(table.volume.value)
  const air = numberFact(facts, 'air-mean')
  const predicted = predictRise({
    volume: table.volume,
    heater: table.heater.power,
    pump,
    fraction: { value: 0.75, u: 0.15 },
    loss: { value: loss, u: 0.3 * loss },
    above: air ? { value: 38 - air.value, u: air.u } : { value: 15, u: 2 },
  })
  const found = separation(predicted, run)
  const seconds = decidingTime(predicted, run.scatter)
  return { decides: found >= 2, separation: found, ...(seconds === undefined ? {} : { seconds }) }
}

function definition(name: string, outcomes: readonly string[]): Definition {
  return { name, version: 1, needs: ['water'], facts: RISE_FACTS, outcomes }
}

function takeRun(readings: Readings, name: string, facts: Facts): Result<Run> {
  const series = takeSeries(readings, name, 'temperature', 2)
  if (!series.ok) return series
  const doubt = series.value.map((reading) => waterDoubt(reading, name)).find((one) => one !== undefined)
  if (doubt) return doubt
  const points = pointsOf(series.value)
  for (const [index, point] of points.entries()) {
    const before = points[index - 1]
    if (!before) continue
    // Half a kelvin is always allowed: two readings taken close together scatter.
    const most = Math.max(0.5, (FASTEST * (point.seconds - before.seconds)) / 3600)
    if (Math.abs(point.degC - before.degC) > most)
      return doubtful(name, 'The water cannot change that fast. Look at the numbers, the units and the times.', { at: index })
  }
  const slope = slopeThrough(points, scatterOf(series.value))
  return ok({ slope, table: riseTableOf(facts, slope.mean), last: points.at(-1)?.degC ?? slope.mean })
}

function tooShort(least: string, path = 'water'): Result<never> {
  return doubtful(path, `The series is too short: it needs ${least}. Go on reading every 10 minutes.`, { least })
}

function rateVerdict({ slope, table }: Run, bands: readonly Band[]): Pick<Judgement, 'quantity' | 'value' | 'error' | 'bands' | 'basis'> {
  return { quantity: 'temperature-rate', value: slope.rate, error: 2 * slope.u, bands, basis: table.rate.known ? 'nameplate' : 'assumed' }
}
