// What every judgement shares: taking readings by name, doubting what cannot be, and writing a verdict.
// No judgement of its own lives here.
import { failed, ok } from '../result.ts'
import { readingStep, specFor } from './instrument.ts'
import { figure } from './placeholder.ts'
import { isOpenText, isUnitTyped, RANGES, UNITS } from './quantity.ts'
import type { Failed, Result } from '../result.ts'
import type { Point } from './heat.ts'
import type { Evaluator, Facts, Quantity, Reading, Readings, Verdict } from './verdict.ts'

/** Written for an open circuit where a verdict needs a finite number: JSON has no infinity. */
export const OPEN_OHM = 1e9

export type Definition = Omit<Evaluator, 'evaluate'>
export type Judgement = Omit<Verdict, 'evaluator' | 'uses'> & { readonly uses?: readonly string[] }

/** An evaluator from its definition and its judgement: adds name, version and the facts looked at; keeps every number finite. */
export function defineEvaluator(definition: Definition, judgeIt: (readings: Readings, facts: Facts) => Result<Judgement>): Evaluator {
  return {
    ...definition,
    evaluate: (readings, facts) => {
      const judged = judgeIt(readings, facts)
      if (!judged.ok) return judged
      const { uses, ...rest } = judged.value
      return ok({
        ...rest,
        value: finite(rest.value),
        error: finite(rest.error),
        evaluator: `${definition.name}@${definition.version}`,
        uses: uses ?? definition.facts,
      })
    },
  }
}

/**
 * One reading by its name; of a series the last.
 *
 * Errors: CALC_READING_MISSING, CALC_UNIT_UNKNOWN (another quantity), CALC_NOT_A_NUMBER, CALC_INPUT_OUT_OF_RANGE.
 */
export function take(readings: Readings, name: string, quantity: Quantity): Result<Reading> {
  const found = Object.hasOwn(readings, name) ? readings[name] : undefined
  const reading = Array.isArray(found) ? found.at(-1) : found
  if (!isReading(reading)) return missing(name)
  return checked(name, reading, quantity)
}

/** As `take`, but a reading that is not there is no error. */
export function takeOptional(readings: Readings, name: string, quantity: Quantity): Result<Reading | undefined> {
  return Object.hasOwn(readings, name) && isReading([readings[name]].flat().at(-1)) ? take(readings, name, quantity) : ok(undefined)
}

/**
 * A series by its name, oldest first.
 *
 * Errors: as `take`; CALC_READING_MISSING for fewer than `least` readings or one without time; CALC_READING_DOUBTFUL when time runs back.
 */
export function takeSeries(readings: Readings, name: string, quantity: Quantity, least: number): Result<readonly Reading[]> {
  const found = Object.hasOwn(readings, name) ? readings[name] : undefined
  const list: readonly Reading[] = Array.isArray(found) ? found : isReading(found) ? [found] : []
  if (list.length < least) {
    return failed('CALC_READING_MISSING', `Take ${least} readings or more, with the time of each.`, {
      path: name,
      details: { reading: name, least, have: list.length },
    })
  }
  const taken: Reading[] = []
  for (const reading of list) {
    const one = isReading(reading) ? checked(name, reading, quantity) : missing(name)
    if (!one.ok) return one
    if (one.value.at === undefined || !Number.isFinite(one.value.at)) {
      return failed('CALC_READING_MISSING', 'Write the time of each reading.', { path: name, details: { reading: name } })
    }
    const before = taken.at(-1)?.at
    if (before !== undefined && one.value.at <= before) {
      return doubtful(name, 'The times of the readings do not rise. Put them in order and look at each time again.')
    }
    taken.push(one.value)
  }
  return ok(taken)
}

/** Points of a series for a straight line, in seconds from the first. */
export function pointsOf(series: readonly Reading[]): readonly Point[] {
  const start = series[0]?.at ?? 0
  return series.map((reading) => ({ seconds: ((reading.at ?? start) - start) / 1000, degC: reading.si }))
}

/** Standard deviation of one reading of a series: the scatter of the instrument, or the step it was written in. */
export function scatterOf(series: readonly Reading[]): number {
  const own = series.map((reading) => specFor('temperature', reading.instrument).scatter)
  const step = readingStep(series, (unit) => UNITS[unit]?.factor ?? 1)
  return Math.max(...own, step / Math.sqrt(12))
}

export function doubtful(path: string, message: string, details: { readonly [key: string]: unknown } = {}): Failed {
  return failed('CALC_READING_DOUBTFUL', message, { path, details: { reading: path, ...details } })
}

export function missing(path: string): Failed {
  return failed('CALC_READING_MISSING', `The reading "${path.replaceAll('-', ' ')}" is not there yet. Take it and type it in.`, {
    path,
    details: { reading: path },
  })
}

/**
 * Doubts about a water temperature: a hot tub is not frozen and not at 60 degC, and 38 in °F is most likely 38 °C.
 *
 * Shape:  undefined = no doubt. A person who types the unit behind the number ("42 F") insists, up to boiling: a heater that is stuck on
 *         does not stop at any number, and a hot reading that is refused would raise no hazard.
 */
export function waterDoubt(reading: Reading, name: string): Failed | undefined {
  const { si, typed, unit } = reading
  if (si > 100 || si < -1) {
    return doubtful(name, `Water of a hot tub is never at ${shown(reading)}. Look at the number and at the unit.${otherUnit(reading)}`)
  }
  if (isUnitTyped(typed)) return undefined
  if (si > 60)
    return doubtful(
      name,
      `${shown(reading)} is too hot for a tub.${otherUnit(reading)} If it is truly so, keep off and type it with its unit.`,
    )
  // 33 to 50 in degF are the numbers a tub shows in degC.
  if (unit === 'degF' && si < 10)
    return doubtful(name, `${shown(reading)} is almost ice.${otherUnit(reading)} If it is truly so, type it with its unit.`)
  return si < 0 ? doubtful(name, `${shown(reading)} is ice. Look at the number and at the unit.`) : undefined
}

/** A reading in the words of the person: what was typed and its unit. */
export function shown(reading: Reading): string {
  const typed = reading.typed.trim()
  return isUnitTyped(typed) ? typed : `${typed} ${UNITS[reading.unit]?.label ?? ''}`.trim()
}

/** " If you meant °C, choose °C." with the other temperature unit. */
export function otherUnit(reading: Reading): string {
  const other = reading.unit === 'degF' ? '°C' : '°F'
  return ` If you meant ${other}, choose ${other}.`
}

export const temp = (si: number): string => `{temp ${figure(si)}}`
export const dtemp = (si: number): string => `{dtemp ${figure(si)}}`
export const rate = (si: number): string => `{rate ${figure(si)}}`
export const volt = (si: number): string => `{volt ${figure(si)}}`
export const amp = (si: number): string => `{amp ${figure(si)}}`
export const watt = (si: number): string => `{watt ${figure(si)}}`
export const ohm = (si: number): string => (si === Infinity ? 'an open circuit' : `{ohm ${figure(si)}}`)

/** Sentences joined; empty ones fall away. */
export function sentences(...parts: readonly string[]): string {
  return parts.filter(Boolean).join(' ')
}

function finite(value: number): number {
  if (Number.isFinite(value)) return value
  return Number.isNaN(value) ? 0 : Math.sign(value) * OPEN_OHM
}

function isReading(value: unknown): value is Reading {
  return typeof value === 'object' && value !== null && !Array.isArray(value) && 'typed' in value
}

function checked(name: string, reading: Reading, quantity: Quantity): Result<Reading> {
  if (reading.quantity !== quantity) {
    return failed('CALC_UNIT_UNKNOWN', `The reading "${name.replaceAll('-', ' ')}" needs another unit. Choose the unit the meter shows.`, {
      path: name,
      details: { reading: name, wanted: quantity, got: reading.quantity },
    })
  }
  // A stored "OL" comes back from JSON without its infinity; what was typed still says it.
  if (quantity === 'resistance' && isOpenText(reading.typed)) return ok({ ...reading, si: Infinity })
  if (typeof reading.si !== 'number' || Number.isNaN(reading.si)) {
    return failed('CALC_NOT_A_NUMBER', 'Type the number that the meter shows.', { path: name, details: { reading: name } })
  }
  const { low, high } = RANGES[quantity]
  if (reading.si < low || reading.si > high) {
    return failed('CALC_INPUT_OUT_OF_RANGE', 'That number is too far out. Look at the number and at the unit.', {
      path: name,
      details: { reading: name, low, high },
    })
  }
  return ok(reading)
}
