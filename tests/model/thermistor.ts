// Negative-coefficient thermistors: curves, build tolerance, faults inside the sensor and at its plug.
// What a board or an ohmmeter makes of the resistance is decided elsewhere.

export type CurveName = 'S' | 'E'

export type Sensor = {
  curve: CurveName
  /** Resistance at 25 degC over nominal: build tolerance times drift. */
  scale: number
  /** Relative error of the exponent (tolerance of B). */
  slope: number
  /** Moisture inside the potting, across the leads. Infinity when dry. */
  insideLeakOhm: number
  /** 1 = bottomed in its well, 0 = hanging in cabinet air. */
  seat: number
  /** At the plug, not in the sensor: an ohmmeter on the unplugged sensor never sees these two. */
  plugSeriesOhm: number
  plugLeakOhm: number
}

const KELVIN = 273.15
const REFERENCE_K = 298.15

/** Curve S: Steinhart-Hart coefficients of a published 10 kohm part (heat-sensors-water S2, verified). */
const STEINHART_S = { a: 1.129241e-3, b: 2.341077e-4, c: 8.775468e-8 }

/** Curve E: published table of another 10 kohm part (S3, verified; -25 degC row from S5), degC and ohm. */
const TABLE_E: readonly (readonly [number, number])[] = [
  [-25, 87041],
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

export type SteinhartHart = { a: number; b: number; c: number }

export function steinhartHartCelsius(k: SteinhartHart, ohm: number): number {
  const log = Math.log(ohm)
  return 1 / (k.a + k.b * log + k.c * log ** 3) - KELVIN
}

/** Closed inverse of the Steinhart-Hart equation; it needs c above zero. */
export function steinhartHartOhm(k: SteinhartHart, celsius: number): number {
  if (k.c <= 0) throw new RangeError('the closed inverse needs c above zero')
  const x = (k.a - 1 / (celsius + KELVIN)) / k.c
  const y = Math.sqrt((k.b / (3 * k.c)) ** 3 + (x * x) / 4)
  return Math.exp(Math.cbrt(y - x / 2) - Math.cbrt(y + x / 2))
}

export function betaOhm(beta: { r25: number; b: number }, celsius: number): number {
  return beta.r25 * Math.exp(beta.b * (1 / (celsius + KELVIN) - 1 / REFERENCE_K))
}

/** Resistance of a nominal part, ohm. Straight lines in ln R against 1/T between table rows, and beyond its ends. */
export function curveOhm(curve: CurveName, celsius: number): number {
  if (curve === 'S') return steinhartHartOhm(STEINHART_S, celsius)
  const [low, high] = rowsAround((row) => row[0] <= celsius)
  const share = (1 / (celsius + KELVIN) - 1 / (low[0] + KELVIN)) / (1 / (high[0] + KELVIN) - 1 / (low[0] + KELVIN))
  return Math.exp(Math.log(low[1]) + share * (Math.log(high[1]) - Math.log(low[1])))
}

/** The temperature a board that was told this curve makes of a resistance. */
export function curveCelsius(curve: CurveName, ohm: number): number {
  if (curve === 'S') return steinhartHartCelsius(STEINHART_S, ohm)
  const [low, high] = rowsAround((row) => row[1] >= ohm)
  const share = (Math.log(ohm) - Math.log(low[1])) / (Math.log(high[1]) - Math.log(low[1]))
  return 1 / (1 / (low[0] + KELVIN) + share * (1 / (high[0] + KELVIN) - 1 / (low[0] + KELVIN))) - KELVIN
}

/** What an ohmmeter sees on the unplugged sensor. */
export function sensorOhm(sensor: Sensor, atC: number): number {
  const stretch = (curveOhm(sensor.curve, atC) / curveOhm(sensor.curve, 25)) ** sensor.slope
  const dry = curveOhm(sensor.curve, atC) * stretch * sensor.scale
  return parallel(dry, sensor.insideLeakOhm)
}

/** What the board sees through the plug: series ohms read cold, leakage reads hot. */
export function sensorOhmAtBoard(sensor: Sensor, atC: number): number {
  return parallel(sensorOhm(sensor, atC) + sensor.plugSeriesOhm, sensor.plugLeakOhm)
}

export function nominalSensor(curve: CurveName = 'S'): Sensor {
  return {
    curve,
    scale: 1,
    slope: 0,
    insideLeakOhm: Number.POSITIVE_INFINITY,
    seat: 1,
    plugSeriesOhm: 0,
    plugLeakOhm: Number.POSITIVE_INFINITY,
  }
}

function parallel(one: number, other: number): number {
  return Number.isFinite(other) ? (one * other) / (one + other) : one
}

function rowsAround(isBefore: (row: readonly [number, number]) => boolean): [readonly [number, number], readonly [number, number]] {
  const count = TABLE_E.filter(isBefore).length
  const at = Math.min(Math.max(count, 1), TABLE_E.length - 1)
  const low = TABLE_E[at - 1]
  const high = TABLE_E[at]
  if (low === undefined || high === undefined) throw new Error('the table has too few rows')
  return [low, high]
}
