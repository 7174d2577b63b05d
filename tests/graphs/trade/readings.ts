// Readings and facts as a person would type them, for the tests of the trade's judgements.
// Nothing is judged here.
import { EVALUATORS } from '../../../graphs/trade/evaluators.ts'
import { parseReading } from '../../../graphs/trade/quantity.ts'
import type { Evaluator, Facts, FactValue, Quantity, Reading, Readings, Verdict } from '../../../graphs/trade/verdict.ts'

/** A reading from typed text; throws when the text is none, because then the test is wrong. */
export function typed(
  quantity: Quantity,
  text: string,
  unit: string,
  more: { readonly instrument?: string; readonly at?: number } = {},
): Reading {
  const found = parseReading({ quantity, typed: text, unit, ...more })
  if (!found.ok) throw new Error(found.problem.message)
  return found.value
}

export const degF = (value: number | string, instrument?: string): Reading =>
  typed('temperature', String(value), 'degF', instrument === undefined ? {} : { instrument })
export const degC = (value: number | string, instrument?: string): Reading =>
  typed('temperature', String(value), 'degC', instrument === undefined ? {} : { instrument })
export const ohms = (value: number | string): Reading => typed('resistance', String(value), 'ohm', { instrument: 'multimeter' })
export const kohms = (value: number | string): Reading => typed('resistance', String(value), 'kohm', { instrument: 'multimeter' })
export const kilowatts = (value: number | string): Reading => typed('power', String(value), 'kW', { instrument: 'house-meter' })
export const amperes = (value: number | string): Reading => typed('current', String(value), 'A', { instrument: 'clamp' })
export const volts = (value: number | string, instrument = 'low-impedance-tester'): Reading =>
  typed('voltage', String(value), 'V', { instrument })
export const tick = (value: 0 | 1): Reading => typed('count', String(value), '1')

/** A series in °F: one reading every `minutes`, by a digital thermometer. */
export function seriesF(values: readonly number[], minutes: number, instrument = 'thermometer-digital'): readonly Reading[] {
  return values.map((value, index) =>
    typed('temperature', value.toFixed(1), 'degF', { instrument, at: 1_700_000_000_000 + index * minutes * 60_000 }),
  )
}

/** A straight series: from a start, so many °F in an hour, over a time in minutes, read every ten. */
export function lineF(start: number, perHour: number, span: number): readonly Reading[] {
  const count = Math.round(span / 10) + 1
  return seriesF(
    Array.from({ length: count }, (_, index) => start + (perHour * index) / 6),
    10,
  )
}

export function facts(values: { readonly [slug: string]: FactValue }, source: 'measured' | 'label' | 'told' | 'assumed' = 'label'): Facts {
  return Object.fromEntries(Object.entries(values).map(([slug, value]) => [slug, { slug, value, source }]))
}

export function evaluator(name: string): Evaluator {
  const found = EVALUATORS[name]
  if (!found) throw new Error(`No evaluator is called ${name}.`)
  return found
}

/** The verdict; throws with the problem when there is none. */
export function verdict(name: string, readings: Readings, known: Facts = {}): Verdict {
  const found = evaluator(name).evaluate(readings, known)
  if (!found.ok) throw new Error(`${found.problem.code}: ${found.problem.message}`)
  return found.value
}

/** The outcome, or the code of the problem: what a table of cases compares. */
export function outcome(name: string, readings: Readings, known: Facts = {}): string {
  const found = evaluator(name).evaluate(readings, known)
  return found.ok ? found.value.outcome : found.problem.code
}
