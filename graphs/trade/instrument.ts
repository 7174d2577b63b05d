// What an instrument's figure is worth: its error, how errors combine, and the verdict with three outcomes.
// No quantity of the tub is judged here.
import { failed, ok } from '../result.ts'
import type { Result } from '../result.ts'
import type { Quantity, Reading } from './verdict.ts'

/**
 * Limits of error of an instrument for one quantity, all in SI: share of the reading, counts of the last digit, and a fixed part.
 * The three add up to a rectangular limit. `scatter` is the standard deviation of repeated readings, without the constant offset.
 */
export type Spec = {
  readonly share: number
  readonly counts: number
  /** One count, SI, as a function of the reading: meters change range. */
  readonly count: (si: number) => number
  readonly fixed: number
  readonly scatter: number
}
export type Instrument = { readonly slug: string; readonly label: string; readonly specs: { readonly [quantity in Quantity]?: Spec } }

const none = (): number => 0
function flat(fixed: number, scatter: number): Spec {
  return { share: 0, counts: 0, count: none, fixed, scatter }
}
/** A digital meter: the digit grows tenfold from range to range of `full` counts, never finer than `finest`. */
function digital(share: number, counts: number, finest: number, full = 6000): Spec {
  const count = (si: number): number => Math.max(finest, 10 ** Math.ceil(Math.log10(Math.max(Math.abs(si), finest) / full)))
  return { share, counts, count, fixed: 0, scatter: 0 }
}

/** Instruments by slug. Limits without a source are engineering assumptions, marked A. */
export const INSTRUMENTS: { readonly [slug: string]: Instrument } = {
  // A, half of the 1.0 K that two instruments of unknown class are given; scatter 0.1 K: heat-sensors-water 3.5.
  'thermometer-digital': { slug: 'thermometer-digital', label: 'Digital thermometer', specs: { temperature: flat(0.5, 0.1) } },
  // A: a dial that nobody adjusted lately, read to half a division of 1 K.
  'thermometer-dial': { slug: 'thermometer-dial', label: 'Dial thermometer', specs: { temperature: flat(1.5, 0.3) } },
  // Sensor and input together 1.0 K; read in whole degF, 0.16 K.
  display: { slug: 'display', label: 'Display of the tub', specs: { temperature: flat(1, 0.16) } },
  // Ohms 0.9 % + 2 digits, volts 1 % + 3 digits of 0.1 V: published meter classes.
  multimeter: {
    slug: 'multimeter',
    label: 'Multimeter',
    specs: {
      resistance: digital(0.009, 2, 0.1, 2000),
      voltage: digital(0.01, 3, 0.1),
      current: digital(0.02, 5, 0.01),
      capacitance: digital(0.03, 5, 1e-8),
    },
  },
  // 2 % + 5 digits of 0.1 A.
  clamp: { slug: 'clamp', label: 'Clamp meter', specs: { current: digital(0.02, 5, 0.1) } },
  // A: 2 % + 3 digits of 0.1 V.
  'low-impedance-tester': { slug: 'low-impedance-tester', label: 'Loading voltage tester', specs: { voltage: digital(0.02, 3, 0.1) } },
  // A: 5 % + 5 digits of 10 kohm.
  'insulation-tester': { slug: 'insulation-tester', label: 'Insulation tester, 500 V', specs: { resistance: digital(0.05, 5, 1e4) } },
  // A: 1 % + 1 digit, and 50 W of other loads that come and go.
  'house-meter': {
    slug: 'house-meter',
    label: 'House meter',
    specs: { power: { share: 0.01, counts: 1, count: () => 10, fixed: 50, scatter: 0 } },
  },
  // Finds a live wire at best; it measures nothing and proves nothing dead.
  'pen-tester': { slug: 'pen-tester', label: 'Pen tester', specs: {} },
}

/** The widest class, for a reading whose instrument nobody named. */
const WIDEST: { readonly [quantity in Quantity]: Spec } = {
  temperature: flat(1, 0.16),
  'temperature-difference': flat(1, 0.16),
  'temperature-rate': flat(0.5, 0.25),
  resistance: digital(0.009, 2, 0.1, 2000),
  voltage: digital(0.02, 3, 0.1),
  current: digital(0.02, 5, 0.1),
  power: { share: 0.01, counts: 1, count: () => 100, fixed: 50, scatter: 0 },
  volume: { share: 0.07, counts: 0, count: none, fixed: 0, scatter: 0 },
  flow: { share: 0.1, counts: 0, count: none, fixed: 0, scatter: 0 },
  capacitance: digital(0.03, 5, 1e-8),
  duration: flat(30, 1),
  length: flat(0.01, 0.01),
  count: flat(0, 0),
}

/** Limits of error for a quantity by an instrument; an unknown instrument has the widest class of its quantity. */
export function specFor(quantity: Quantity, instrument?: string): Spec {
  const own = instrument !== undefined && Object.hasOwn(INSTRUMENTS, instrument) ? INSTRUMENTS[instrument]?.specs[quantity] : undefined
  return own ?? WIDEST[quantity]
}

/**
 * Limit of error `a` of a reading: |reading| * share + counts * digit + fixed.
 *
 * Units:  SI of the quantity in and out. An infinite reading has no limit: 0.
 * Source: the usual form of a meter's data sheet, "±(% of reading + digits)".
 */
export function limitOfError(spec: Spec, si: number): number {
  if (!Number.isFinite(si)) return 0
  return Math.abs(si) * spec.share + spec.counts * spec.count(si) + spec.fixed
}

/** Standard uncertainty of a rectangular limit: a / √3 (GUM type B). */
export function standard(limit: number): number {
  return limit / Math.sqrt(3)
}

/** Independent standard uncertainties in quadrature. */
export function quadrature(...parts: readonly number[]): number {
  return Math.sqrt(parts.reduce((sum, part) => sum + part * part, 0))
}

/** Standard uncertainty of one reading, by its instrument. */
export function standardOf(reading: Reading): number {
  return standard(limitOfError(specFor(reading.quantity, reading.instrument), reading.si))
}

/** Expanded uncertainty U = 2u of one reading, by its instrument. */
export function expandedOf(reading: Reading): number {
  return 2 * standardOf(reading)
}

/**
 * Step in which a series was read, from the decimals that were typed: a series typed in whole °F has steps of 1 °F.
 *
 * Units:  SI of the quantity. One reading with decimals is enough to call the series finer.
 */
export function readingStep(series: readonly Reading[], factorOf: (unit: string) => number): number {
  const steps = series.map((reading) => {
    const decimals = /[.,](\d+)\D*$/.exec(reading.typed.trim())?.[1]?.length ?? 0
    return factorOf(reading.unit) * 10 ** -decimals
  })
  return steps.length === 0 ? 0 : Math.min(...steps)
}

export type Limits = { readonly low?: number; readonly high?: number }
export type ThreeWay = 'in' | 'out' | 'cannot-tell'
export type Judged = {
  readonly mark: ThreeWay
  readonly direction?: 'high' | 'low'
  /** False when the guard bands leave no room for `in`: the instrument is not good enough for these limits. */
  readonly reachable: boolean
}

/**
 * In, out or cannot tell, with a guard band w = r * U at each limit.
 *
 * Shape:  `in` when the value stays inside by w, `out` when it lies outside by w, else `cannot-tell`. NaN is `cannot-tell`.
 * Units:  any, the same for all four numbers; `guard` r is 1 by default.
 * Source: ILAC-G8:09/2019 non-binary rule (r = 1: less than 2.5 % false accept), the two conditional bands merged.
 */
export function judge(input: { readonly value: number; readonly error: number; readonly limits: Limits; readonly guard?: number }): Judged {
  const { value, limits } = input
  const w = input.error * (input.guard ?? 1)
  const low = limits.low ?? -Infinity
  const high = limits.high ?? Infinity
  const reachable = high - low > 2 * w
  if (Number.isNaN(value) || Number.isNaN(w)) return { mark: 'cannot-tell', reachable }
  if (value - w > high) return { mark: 'out', direction: 'high', reachable }
  if (value + w < low) return { mark: 'out', direction: 'low', reachable }
  if (value - w >= low && value + w <= high) return { mark: 'in', reachable }
  return { mark: 'cannot-tell', reachable }
}

/** The acceptance interval that a guard band leaves of two limits; none when nothing is left. Source: as `judge`. */
export function acceptance(input: {
  readonly low: number
  readonly high: number
  readonly error: number
  readonly guard?: number
}): Result<{
  readonly low: number
  readonly high: number
}> {
  const w = input.error * (input.guard ?? 1)
  const [low, high] = [input.low + w, input.high - w]
  if (!(low <= high)) return failed('CALC_INPUT_OUT_OF_RANGE', 'The meter is not good enough for these limits. Use a finer one.')
  return ok({ low, high })
}

/**
 * Probability that the true value lies inside the limits, for a normal error.
 *
 * Shape:  `u` is the standard uncertainty, above 0; result 0 to 1.
 * Source: JCGM 106, conformance probability.
 */
export function conformance(input: { readonly value: number; readonly u: number; readonly limits: Limits }): number {
  const { value, u, limits } = input
  const above = limits.high === undefined ? 1 : normalCdf((limits.high - value) / u)
  const below = limits.low === undefined ? 0 : normalCdf((limits.low - value) / u)
  return above - below
}

/** Chance to accept wrongly at the very limit with guard band r * U, U = 2u: Φ(-2r). Source: ILAC-G8 table. */
export function falseAccept(guard: number): number {
  return normalCdf(-2 * guard)
}

/** Standard normal distribution function. Series near the middle, continued fraction in the tails; error below 1e-12. */
export function normalCdf(z: number): number {
  if (Number.isNaN(z)) return NaN
  if (z > 38) return 1
  if (z < -38) return 0
  const density = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)
  if (Math.abs(z) < 5) {
    let term = z
    let sum = z
    for (let k = 1; k < 200; k += 1) {
      term *= (z * z) / (2 * k + 1)
      sum += term
    }
    return 0.5 + density * sum
  }
  const x = Math.abs(z)
  let fraction = 0
  for (let k = 100; k >= 1; k -= 1) fraction = k / (x + fraction)
  const tail = density / (x + fraction)
  return z > 0 ? 1 - tail : tail
}
