// The judgement on two temperature sensors, unplugged and measured with an ohmmeter, in water of known temperature.
// Curves and the meaning of ohms live in thermistor.ts.
import { ok } from '../result.ts'
import { quadrature, standardOf } from './instrument.ts'
import { defineEvaluator, doubtful, dtemp, missing, ohm, sentences, shown, takeOptional, temp } from './judging.ts'
import { takeWater } from './judge-water.ts'
import { factOf, wideFact } from './knowledge.ts'
import { isUnitTyped, UNITS } from './quantity.ts'
import { brokenSensor, compareTwo, CURVES, parseTable, resistanceOf, slopeOf, temperatureOf } from './thermistor.ts'
import type { Failed, Result } from '../result.ts'
import type { Judgement } from './judging.ts'
import type { Curve } from './thermistor.ts'
import type { Evaluator, Facts, Reading } from './verdict.ts'

/** Without the maker's curve nothing is condemned on less: 5 degF. Source: sensor table note of the trade sheet. */
const NEVER_UNDER = 25 / 9
/** Two sensors that agree are good up to 2 degF from the curve, though the bath's own error reaches further. Source: C1 of the trade sheet. */
const GOOD_WHEN_AGREEING = 10 / 9

/** Limit of error of a digital thermometer, K; the same for every bath, so that a poorer one does not clear more. */
const BATH_ERROR = 0.5

type Which = 'temp-sensor' | 'limit-sensor'
/** A sensor: what it reads on a curve, how far from the bath, and with which standard errors. */
type Sensor = {
  readonly which: Which
  readonly ohm: number
  readonly off: number
  readonly meterU: number
  readonly u: number
  readonly curve: string
  readonly broken: 'open' | 'short' | undefined
}
type Seen = { readonly sensors: readonly Sensor[]; readonly limit: number; readonly bath: number; readonly curve: Curve | undefined }

/**
 * Resistance of the temperature sensor and the high-limit sensor, both in the water that the thermometer stands in.
 *
 * Shape:  readings temp-sensor, limit-sensor (either may be left out, or be "OL"), bath → both-good, temp-off, highlimit-off, unclear.
 * Units:  ohm and degC; the verdict holds degrees of the worse sensor, low = reads cold = the tub overheats.
 * Errors: CALC_READING_MISSING (bath, or both sensors), CALC_READING_DOUBTFUL (Ω for kΩ, leads shorted), CALC_* of a broken sensor table.
 * Source: limit a = maker's, else 1.0 K; guard band of meter and bath; pair limits 1.63 a and 2 a; 5 °F floor without the maker's curve.
 *         Without the maker's curve both sensors are held against one common curve (two sensors of one tub are of one family: common
 *         practice, no source): one within the limit and the other off by more than the floor names the other one, unless another
 *         curve says the opposite.
 */
export const sensorResistance: Evaluator = defineEvaluator(
  {
    name: 'sensor-resistance',
    version: 2,
    needs: ['bath'],
    facts: ['sensor-curve', 'sensor-table', 'sensor-limit'],
    outcomes: ['both-good', 'temp-off', 'highlimit-off', 'unclear'],
  },
  (readings, facts) => {
    const bath = takeWater(readings, 'bath')
    if (!bath.ok) return bath
    const curve = curveOf(facts)
    if (!curve.ok) return curve
    const sensors: Sensor[] = []
    for (const which of ['temp-sensor', 'limit-sensor'] as const) {
      const reading = takeOptional(readings, which, 'resistance')
      if (!reading.ok) return reading
      if (!reading.value) continue
      const doubt = sensorDoubt(reading.value, which)
      if (doubt) return doubt
      sensors.push(sensorOf(which, reading.value, bath.value, curve.value))
    }
    if (sensors.length === 0) return missing('temp-sensor')
    return ok(judgeSensors({ sensors, limit: wideFact(facts, 'sensor-limit').value, bath: bath.value.si, curve: curve.value }))
  },
)

/** The maker's table outranks a named curve; a curve that somebody assumed is no maker's curve. */
function curveOf(facts: Facts): Result<Curve | undefined> {
  const named = factOf(facts, 'sensor-curve')
  const table = factOf(facts, 'sensor-table')
  if (typeof table === 'string' && table.trim() !== '' && (named === 'table' || named === 'unknown' || named === undefined))
    return parseTable(table)
  if (typeof named !== 'string' || facts['sensor-curve']?.source === 'assumed') return ok(undefined)
  return ok(Object.hasOwn(CURVES, named) ? CURVES[named] : undefined)
}

function sensorDoubt(reading: Reading, which: Which): Failed | undefined {
  if (reading.si === Infinity || isUnitTyped(reading.typed)) return undefined
  const name = which === 'temp-sensor' ? 'temperature sensor' : 'high-limit sensor'
  if (reading.si < 1)
    return doubtful(
      which,
      `${shown(reading)} is what touching probes read. Take the probes apart and measure again. If it is truly so, type it with its unit.`,
    )
  const thousand = reading.unit === 'ohm' && reading.si < 400
  const tooMuch = reading.unit === 'kohm' && reading.si > 400_000
  if (!thousand && !tooMuch) return undefined
  const fits = thousand ? 'kΩ' : 'Ω'
  return doubtful(
    which,
    `${shown(reading)} does not fit a ${name}. If the meter shows ${fits}, choose ${fits}. If it is truly so, type it with its unit.`,
    { unit: UNITS[reading.unit]?.label },
  )
}

function sensorOf(which: Which, reading: Reading, bath: Reading, known: Curve | undefined): Sensor {
  const curve = known ?? nearest(reading.si, bath.si)
  const thirty = resistanceOf(curve, 25) > 20_000
  const broken = brokenSensor({ ohm: reading.si, degC: bath.si, thirty: known ? thirty : true })
  const off = temperatureOf(curve, reading.si) - bath.si
  const meterU = broken ? 0 : standardOf(reading) / (reading.si * slopeOf(curve, temperatureOf(curve, reading.si)))
  return { which, ohm: reading.si, off, meterU, u: quadrature(meterU, standardOf(bath)), curve: curve.slug, broken }
}

/** The known curve that comes nearest to the bath: the one most favourable to the sensor. */
function nearest(resistance: number, bath: number): Curve {
  const curves = Object.values(CURVES)
  return curves.reduce((best, curve) =>
    Math.abs(temperatureOf(curve, resistance) - bath) < Math.abs(temperatureOf(best, resistance) - bath) ? curve : best,
  )
}

function judgeSensors(seen: Seen): Judgement {
  const broken = seen.sensors.filter((sensor) => sensor.broken)
  if (broken.length > 0) return condemnBroken(seen, broken)
  return seen.curve ? judgeByCurve(seen, seen.curve) : judgeByPair(seen)
}

function condemnBroken(seen: Seen, broken: readonly Sensor[]): Judgement {
  const [first] = broken
  if (!first) throw new RangeError('A broken sensor is needed here.')
  const effect = first.broken === 'open' ? 'is open' : 'is shorted'
  const also = broken.length > 1 ? ' The other one is broken too.' : ''
  const healthy = `A sound sensor in water of ${temp(seen.bath)} reads a few thousand ohms.`
  return {
    outcome: first.which === 'temp-sensor' ? 'temp-off' : 'highlimit-off',
    mark: 'out',
    direction: first.broken === 'open' ? 'high' : 'low',
    quantity: 'resistance',
    value: first.ohm,
    error: 0,
    bands: [{ low: 1000, high: 100_000, label: 'sensor whole', good: true }],
    reason: `The ${nameOf(first)} ${effect}: the meter shows ${ohm(first.ohm)}. ${healthy}${also}`,
    basis: 'published',
  }
}

/** Curve known: each sensor against it, with a guard band; two that agree and lie near it are good as well. */
function judgeByCurve(seen: Seen, curve: Curve): Judgement {
  const { sensors, limit } = seen
  const out = sensors.filter((sensor) => Math.abs(sensor.off) - 2 * sensor.u > limit)
  const [first, second] = out
  const basis = curve.slug === 'table' ? 'maker' : 'published'
  const expected = `At ${temp(seen.bath)} the curve gives ${ohm(resistanceOf(curve, seen.bath))}, and ${dtemp(limit)} off is allowed.`
  if (first && second && Math.sign(first.off) === Math.sign(second.off) && pairOf(seen) !== 'out') {
    const reason = `Both sensors read ${dtemp(Math.abs(first.off))} ${coldOrHot(first)}, the same way. ${expected}`
    return {
      ...verdictOf(seen, first, basis),
      outcome: 'unclear',
      mark: 'cannot-tell',
      reason,
      settle: 'Check the thermometer and the curve. Then put both sensors in one cup for {min 5}.',
    }
  }
  if (first)
    return {
      ...condemn(seen, first, basis),
      reason: sentences(
        `The ${nameOf(first)} reads ${dtemp(Math.abs(first.off))} ${coldOrHot(first)}.`,
        expected,
        second ? 'The other one is off too.' : '',
      ),
    }
  const sure = sensors.every((sensor) => Math.abs(sensor.off) + 2 * sensor.u <= limit)
  const shared = sharedByBath(sensors)
  const agreeing =
    pairOf(seen) === 'agree' && sensors.every((sensor) => Math.abs(sensor.off) - shared <= Math.min(limit, GOOD_WHEN_AGREEING))
  const worst = worstOf(sensors)
  if (sensors.length === 2 && (sure || agreeing)) {
    const reason = `Both sensors are within ${dtemp(Math.abs(worst.off))} of the thermometer. ${expected}`
    return { ...verdictOf(seen, worst, basis), outcome: 'both-good', mark: 'in', reason }
  }
  return unclear(
    seen,
    basis,
    `The ${nameOf(worst)} reads ${dtemp(Math.abs(worst.off))} ${coldOrHot(worst)}, within the error of ${dtemp(2 * worst.u)}. ${expected}`,
  )
}

/**
 * What both sensors are off alike, up to the limit of error of a digital thermometer: that is the bath thermometer's before it is theirs.
 * Two sensors of another family lie 1.9 K and more off together, and stay unclear.
 */
function sharedByBath(sensors: readonly Sensor[]): number {
  const [one, other] = sensors
  if (!one || !other || Math.sign(one.off) !== Math.sign(other.off)) return 0
  return Math.min(Math.abs(one.off), Math.abs(other.off), BATH_ERROR)
}

/** Curve not known: the two sensors are compared with each other, and nothing is condemned on less than 5 degF from every curve. */
function judgeByPair(seen: Seen): Judgement {
  const far = seen.sensors.filter((sensor) => Math.abs(sensor.off) > NEVER_UNDER && Math.abs(sensor.off) - 2 * sensor.u > seen.limit)
  const [first] = far
  const note = 'The maker’s curve is not known.'
  if (seen.sensors.length < 2) {
    if (!first) return unclear(seen, 'assumed', `${note} One sensor alone cannot be judged within ${dtemp(NEVER_UNDER)}.`)
    return {
      ...condemn(seen, first, 'assumed'),
      reason: `${note} On every usual curve the ${nameOf(first)} reads ${dtemp(Math.abs(first.off))} ${coldOrHot(first)} or more; ${dtemp(NEVER_UNDER)} is the limit.`,
    }
  }
  const apart = apartOf(seen)
  const pair = pairOf(seen)
  const measured = `The two sensors are ${dtemp(Math.abs(apart.kelvin))} apart in the same water. Up to ${dtemp(1.633 * seen.limit)} they agree.`
  if (pair === 'agree' && far.length === 0) {
    return {
      ...verdictOf(seen, worstOf(seen.sensors), 'derived'),
      value: apart.kelvin,
      error: apart.error,
      outcome: 'both-good',
      mark: 'in',
      reason: `${measured} ${note}`,
    }
  }
  if (pair === 'out' && first && far.length === 1) {
    return {
      ...condemn(seen, first, 'derived'),
      reason: `${measured} The ${nameOf(first)} is off on every usual curve, by ${dtemp(Math.abs(first.off))} or more. ${note}`,
    }
  }
  const odd = pair === 'out' ? oddOnCommonCurve(seen) : undefined
  if (odd) {
    const reason = `${measured} On one curve for both, the other one is right and the ${nameOf(odd)} reads ${dtemp(Math.abs(odd.off))} ${coldOrHot(odd)}. ${note}`
    return { ...condemn(seen, odd, 'derived'), reason }
  }
  return unclear(seen, 'derived', `${measured} ${note} Nothing is condemned on less than ${dtemp(NEVER_UNDER)}.`)
}

/**
 * The sensor that is off by more than the floor on a curve that the other one lies on; undefined when no curve says so, or when on
 * another curve the other one would be the odd one.
 */
function oddOnCommonCurve({ sensors, limit, bath }: Seen): Sensor | undefined {
  const on = (curve: Curve): readonly Sensor[] =>
    sensors.map((sensor) => ({ ...sensor, off: temperatureOf(curve, sensor.ohm) - bath, curve: curve.slug }))
  const told = Object.values(CURVES).flatMap((curve) => {
    const out = on(curve).filter((sensor) => Math.abs(sensor.off) > limit)
    return out.length === 1 ? out : []
  })
  const sure = told.find((sensor) => Math.abs(sensor.off) > NEVER_UNDER && Math.abs(sensor.off) - 2 * sensor.u > limit)
  return sure && told.every((sensor) => sensor.which === sure.which) ? sure : undefined
}

/** Difference of the two sensors in kelvin on one and the same curve; the bath cancels. */
function apartOf({ sensors, bath, curve }: Seen): { readonly kelvin: number; readonly error: number } {
  const [one, other] = sensors
  if (!one || !other) return { kelvin: 0, error: Infinity }
  const shared = curve ?? nearest(Math.sqrt(one.ohm * other.ohm), bath)
  return { kelvin: temperatureOf(shared, one.ohm) - temperatureOf(shared, other.ohm), error: 2 * quadrature(one.meterU, other.meterU) }
}

/** The pair by its limits; out only when the meter's own error cannot explain it. */
function pairOf(seen: Seen): 'agree' | 'out' | 'cannot-tell' {
  if (seen.sensors.length < 2) return 'cannot-tell'
  const { kelvin, error } = apartOf(seen)
  const found = compareTwo(kelvin, seen.limit)
  return found === 'out' && compareTwo(Math.abs(kelvin) - error, seen.limit) === 'agree' ? 'cannot-tell' : found
}

function condemn(seen: Seen, sensor: Sensor, basis: Judgement['basis']): Omit<Judgement, 'reason'> {
  const outcome = sensor.which === 'temp-sensor' ? 'temp-off' : 'highlimit-off'
  return { ...verdictOf(seen, sensor, basis), outcome, mark: 'out', direction: sensor.off < 0 ? 'low' : 'high' }
}

function unclear(seen: Seen, basis: Judgement['basis'], reason: string): Judgement {
  const settle = 'Put both sensors and the thermometer in one cup, heater off, for {min 5}. Find the maker’s table.'
  return { ...verdictOf(seen, worstOf(seen.sensors), basis), outcome: 'unclear', mark: 'cannot-tell', reason, settle }
}

function verdictOf(
  seen: Seen,
  sensor: Sensor,
  basis: Judgement['basis'],
): Pick<Judgement, 'quantity' | 'value' | 'error' | 'bands' | 'basis'> {
  const bands = [{ low: -seen.limit, high: seen.limit, label: 'reads right', good: true }]
  return { quantity: 'temperature-difference', value: sensor.off, error: 2 * sensor.u, bands, basis }
}

function worstOf(sensors: readonly Sensor[]): Sensor {
  return sensors.reduce((worst, sensor) => (Math.abs(sensor.off) > Math.abs(worst.off) ? sensor : worst))
}

function nameOf(sensor: Sensor): string {
  return sensor.which === 'temp-sensor' ? 'temperature sensor' : 'high-limit sensor'
}

function coldOrHot(sensor: Sensor): string {
  return sensor.off < 0 ? 'cold' : 'hot'
}
