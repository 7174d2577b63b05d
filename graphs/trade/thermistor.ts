// Temperature sensors of the falling-resistance kind: curves, what a resistance means in degrees, and what faults do to it.
// Nothing about a particular test or outcome lives here.
import { failed, ok } from '../result.ts'
import { parseNumber } from './quantity.ts'
import type { Result } from '../result.ts'

export const ZERO_C = 273.15

/** A row: temperature in degC, resistance in ohm. */
export type Row = readonly [degC: number, ohm: number]
export type Coefficients = { readonly a: number; readonly b: number; readonly c: number }
export type Curve = {
  readonly slug: string
  readonly rows: readonly Row[]
  /** The Steinhart-Hart fit, where one is published. */
  readonly fit?: Coefficients
}

/** Curve S, published coefficients (probe manual of a data-logger maker); residual to its table at most 0.0024 K. */
export const FIT_S: Coefficients = { a: 1.129241e-3, b: 2.341077e-4, c: 8.775468e-8 }

const DEGREES_S = [-20, -10, 0, 10, 20, 25, 30, 35, 40, 45, 50, 60, 70]
const ROWS_S: readonly Row[] = DEGREES_S.map((degC) => [degC, resistanceOfFit(FIT_S, degC)])
// Two tables from component data sheets, as they stand in a public kernel source file.
const ROWS_E: readonly Row[] = [
  [0, 27326],
  [10, 17973],
  [20, 12090],
  [25, 10000],
  [30, 8311],
  [35, 6941],
  [40, 5825],
  [45, 4911],
  [50, 4158],
]
const ROWS_X: readonly Row[] = [
  [0, 28674],
  [10, 18399],
  [20, 12169],
  [25, 10000],
  [30, 8271],
  [35, 6883],
  [40, 5762],
  [45, 4851],
  [50, 4105],
]

/** Curves by the slugs of the fact `sensor-curve`. The 30 kohm family is about three times curve S. */
export const CURVES: { readonly [slug: string]: Curve } = {
  S: { slug: 'S', rows: ROWS_S, fit: FIT_S },
  E: { slug: 'E', rows: ROWS_E },
  X: { slug: 'X', rows: ROWS_X },
  '30k': { slug: '30k', rows: ROWS_S.map(([degC, ohm]): Row => [degC, ohm * 3]) },
}

/**
 * Temperature of a Steinhart-Hart sensor. Shape: ohm above 0. Units: ohm in, degC out.
 * Source: 1/T = A + B ln R + C (ln R)^3.
 */
export function temperatureOfFit(fit: Coefficients, ohm: number): number {
  const l = Math.log(ohm)
  return 1 / (fit.a + fit.b * l + fit.c * l ** 3) - ZERO_C
}

/**
 * Resistance of a Steinhart-Hart sensor, the closed inverse. Units: degC in, ohm out. Needs C > 0, else NaN.
 * Source: heat-sensors-water section 1.
 */
export function resistanceOfFit(fit: Coefficients, degC: number): number {
  if (!(fit.c > 0)) return NaN
  const x = (fit.a - 1 / (degC + ZERO_C)) / fit.c
  const y = Math.sqrt((fit.b / (3 * fit.c)) ** 3 + (x * x) / 4)
  return Math.exp(Math.cbrt(y - x / 2) - Math.cbrt(y + x / 2))
}

/** Coefficients through three rows. Units: degC and ohm. Source: the usual three-point solution; C may come out negative. */
export function fitThrough(rows: readonly [Row, Row, Row]): Coefficients {
  const [l1, l2, l3] = [Math.log(rows[0][1]), Math.log(rows[1][1]), Math.log(rows[2][1])]
  const [y1, y2, y3] = [1 / (rows[0][0] + ZERO_C), 1 / (rows[1][0] + ZERO_C), 1 / (rows[2][0] + ZERO_C)]
  const g2 = (y2 - y1) / (l2 - l1)
  const g3 = (y3 - y1) / (l3 - l1)
  const c = (g3 - g2) / (l3 - l2) / (l1 + l2 + l3)
  const b = g2 - c * (l1 * l1 + l1 * l2 + l2 * l2)
  return { a: y1 - (b + l1 * l1 * c) * l1, b, c }
}

/** Resistance by the beta equation from the value at 25 degC. Units: ohm, K, degC in; ohm out. Good within 15 K of 25 degC. */
export function resistanceOfBeta(input: { readonly r25: number; readonly beta: number; readonly degC: number }): number {
  return input.r25 * Math.exp(input.beta * (1 / (input.degC + ZERO_C) - 1 / 298.15))
}

/** Beta of two rows, K. */
export function betaOf(first: Row, second: Row): number {
  return Math.log(first[1] / second[1]) / (1 / (first[0] + ZERO_C) - 1 / (second[0] + ZERO_C))
}

/** Relative change of resistance per kelvin (negative). Units: K and degC in, 1/K out. Source: alpha = -B / T^2. */
export function alphaOf(beta: number, degC: number): number {
  return -beta / (degC + ZERO_C) ** 2
}

/**
 * Temperature that a curve gives a resistance, by interpolation of ln R against 1/T; beyond the table the last two rows go on.
 *
 * Units:  ohm above 0 in, degC out. An open circuit (Infinity) is -273.15, a short (0) is Infinity.
 */
export function temperatureOf(curve: Curve, ohm: number): number {
  if (!(ohm > 0)) return ohm === 0 ? Infinity : NaN
  if (ohm === Infinity) return -ZERO_C
  if (curve.fit) return temperatureOfFit(curve.fit, ohm)
  const [low, high] = bracket(curve.rows, (row) => row[1] < ohm)
  const share = (Math.log(ohm) - Math.log(low[1])) / (Math.log(high[1]) - Math.log(low[1]))
  const inverse = 1 / (low[0] + ZERO_C) + share * (1 / (high[0] + ZERO_C) - 1 / (low[0] + ZERO_C))
  return 1 / inverse - ZERO_C
}

/** Resistance that a curve has at a temperature: the way back of `temperatureOf`. Units: degC in, ohm out. */
export function resistanceOf(curve: Curve, degC: number): number {
  if (curve.fit) return resistanceOfFit(curve.fit, degC)
  const [low, high] = bracket(curve.rows, (row) => row[0] > degC)
  const inverse = (row: Row): number => 1 / (row[0] + ZERO_C)
  const share = (1 / (degC + ZERO_C) - inverse(low)) / (inverse(high) - inverse(low))
  return Math.exp(Math.log(low[1]) + share * (Math.log(high[1]) - Math.log(low[1])))
}

/** Fall of resistance per kelvin at a temperature, as a positive share (about 0.04). Units: degC in, 1/K out. */
export function slopeOf(curve: Curve, degC: number): number {
  const step = 0.05
  return Math.log(resistanceOf(curve, degC - step) / resistanceOf(curve, degC + step)) / (2 * step)
}

/**
 * The maker's own table from typed text, "0:32000, 25:10000, 40:5300".
 *
 * Shape:  at least three rows, rising temperatures, falling ohms. Units: degC and ohm.
 * Errors: CALC_NOT_A_NUMBER, CALC_INPUT_OUT_OF_RANGE with the row. Never throws.
 */
export function parseTable(text: string): Result<Curve> {
  const rows: Row[] = []
  for (const part of text
    .split(/[,;\n](?=\s*-?\d+(?:\.\d+)?\s*:)/)
    .map((piece) => piece.replace(/[,;\s]+$/, '').trim())
    .filter(Boolean)) {
    const [left, right, ...more] = part.split(':')
    const degC = parseNumber(left ?? '')
    const ohm = parseNumber(right ?? '')
    if (!degC.ok || !ohm.ok || more.length > 0) {
      return failed('CALC_NOT_A_NUMBER', `Type each row of the sensor table like 25:10000. Look at "${part}".`, { details: { row: part } })
    }
    if (!(degC.value > -60 && degC.value < 150 && ohm.value > 10 && ohm.value < 1e7)) {
      return failed('CALC_INPUT_OUT_OF_RANGE', `Look at the row "${part}". It holds °C, a colon, then ohms.`, { details: { row: part } })
    }
    rows.push([degC.value, ohm.value])
  }
  rows.sort((one, other) => one[0] - other[0])
  const falling = rows.every((row, index) => index === 0 || (row[1] < (rows[index - 1]?.[1] ?? 0) && row[0] > (rows[index - 1]?.[0] ?? 0)))
  if (rows.length < 3 || !falling) {
    return failed('CALC_INPUT_OUT_OF_RANGE', 'The sensor table needs three rows or more, with ohms that fall as it gets warmer.', {
      details: { rows },
    })
  }
  return ok({ slug: 'table', rows })
}

/** Tolerance of a sensor in kelvin. Units: shares (0.01 = 1 %), K, degC. Source: dR/R = tol25 + tolB * B * |1/T - 1/298.15|. */
export function toleranceInKelvin(input: {
  readonly share25: number
  readonly shareBeta: number
  readonly beta: number
  readonly degC: number
}): number {
  const inverse = Math.abs(1 / (input.degC + ZERO_C) - 1 / 298.15)
  return (input.share25 + input.shareBeta * input.beta * inverse) / -alphaOf(input.beta, input.degC)
}

/** Most power into a sensor that keeps self-heating below a share of its tolerance. Units: W/K, K, share; W out. */
export function powerLimit(input: { readonly dissipation: number; readonly tolerance: number; readonly share: number }): number {
  return input.dissipation * input.tolerance * input.share
}

/** What a controller shows for a sensor with ohms in series (corroded pin). Units: degC and ohm in, degC out. */
export function shownWithSeries(curve: Curve, degC: number, extraOhm: number): number {
  return temperatureOf(curve, resistanceOf(curve, degC) + extraOhm)
}

/** What a controller shows for a sensor with a leak across its leads (wet plug). Units: degC and ohm in, degC out. */
export function shownWithLeak(curve: Curve, degC: number, leakOhm: number): number {
  const ohm = resistanceOf(curve, degC)
  return temperatureOf(curve, (ohm * leakOhm) / (ohm + leakOhm))
}

/**
 * Whether a sensor is open or shorted whatever its curve, judged by the water it stands in.
 *
 * Units:  ohm and degC. Open from 100 kohm (30 kohm families: 300 kohm) in water above 0 degC; short below 1 kohm under 60 degC.
 * Source: heat-sensors-water section 1, fault signatures.
 */
export function brokenSensor(input: {
  readonly ohm: number
  readonly degC: number
  readonly thirty: boolean
}): 'open' | 'short' | undefined {
  const { ohm, degC } = input
  if (ohm === Infinity || (ohm > (input.thirty ? 300_000 : 100_000) && degC > 0)) return 'open'
  return ohm < 1000 && degC < 60 ? 'short' : undefined
}

/**
 * Two sensors in the same moving water, heater off, each good within `limit`.
 *
 * Units:  kelvin. agree up to 2 * √2 * a / √3, out beyond 2 a, between: cannot tell.
 * Source: difference of two rectangular errors; heat-sensors-water section 1.
 */
export function compareTwo(difference: number, limit: number): 'agree' | 'out' | 'cannot-tell' {
  const d = Math.abs(difference)
  if (d <= (2 * Math.SQRT2 * limit) / Math.sqrt(3)) return 'agree'
  return d > 2 * limit ? 'out' : 'cannot-tell'
}

/**
 * Which known curves fit dips at known temperatures, the nearest first.
 *
 * Shape:  at least two dips tell curves apart; one does not. `worst` is the largest miss in kelvin.
 */
export function fittingCurves(dips: readonly Row[]): readonly { readonly slug: string; readonly worst: number }[] {
  const ranked = Object.values(CURVES).map((curve) => ({
    slug: curve.slug,
    worst: Math.max(...dips.map(([degC, ohm]) => Math.abs(temperatureOf(curve, ohm) - degC))),
  }))
  return ranked.toSorted((one, other) => one.worst - other.worst)
}

/** The neighbouring rows around a value; the first or last two when it lies beyond the table. */
function bracket(rows: readonly Row[], beyond: (row: Row) => boolean): readonly [Row, Row] {
  const found = rows.findIndex(beyond)
  const at = found === -1 ? rows.length - 1 : Math.max(1, found)
  const [low, high] = [rows[at - 1], rows[at]]
  if (!low || !high) throw new RangeError('A curve needs two rows.')
  return [low, high]
}
