// What a reading becomes: in, out or cannot tell, with the range it was held against and the reason. Shared by all evaluators.
// No evaluator lives here.
import type { Result } from '../result.ts'

/** Quantities a person can type. SI unit in brackets. Temperature and temperature difference are two types on purpose. */
export type Quantity =
  | 'temperature' // K is never shown: SI inside is degC
  | 'temperature-difference' // K
  | 'temperature-rate' // K/h
  | 'resistance' // ohm
  | 'voltage' // V
  | 'current' // A
  | 'power' // W
  | 'volume' // L
  | 'flow' // L/min
  | 'capacitance' // F
  | 'duration' // s
  | 'length' // m
  | 'count' // 1

/** A number as it came from a person: never rounded, never converted in place. */
export type Reading = {
  readonly quantity: Quantity
  /** Exactly what was typed, e.g. "6,1". */
  readonly typed: string
  /** Unit as chosen, e.g. "kohm". */
  readonly unit: string
  /** In the SI unit of the quantity. */
  readonly si: number
  /** Slug of the instrument (facts of trade/instrument.ts); none = the widest default of its quantity. */
  readonly instrument?: string
  /** Milliseconds since 1970 when it was taken; a series is ordered by it. */
  readonly at?: number
}

/** Readings by their name in the step; a series is an array, oldest first. */
export type Readings = { readonly [name: string]: Reading | readonly Reading[] }

export type FactValue = number | string | boolean
/** What is known about tub and job, in SI. `uncertainty` is a half-width (same unit) for numbers. */
export type Fact = {
  readonly slug: string
  readonly value: FactValue
  readonly uncertainty?: number
  readonly source: 'measured' | 'label' | 'told' | 'assumed'
}
export type Facts = { readonly [slug: string]: Fact }

/** A stretch of the scale drawn under a reading. Either end may be open. SI. */
export type Band = {
  readonly low?: number
  readonly high?: number
  /** Short label, e.g. "pump only", "heater on", "expected". */
  readonly label: string
  readonly good: boolean
}

export type Verdict = {
  /** One of the outcomes named by the step that asked. */
  readonly outcome: string
  readonly mark: 'in' | 'out' | 'cannot-tell'
  readonly direction?: 'high' | 'low'
  /** The number that was judged and its error, SI. */
  readonly quantity: Quantity
  readonly value: number
  readonly error: number
  readonly bands: readonly Band[]
  /**
   * One to three short sentences for a junior. Quantities inside are typed placeholders in SI, filled in the shop's units on showing:
   * {temp 40} {dtemp 2.2} {rate 3.6} {ohm 5330} {volt 240} {amp 22.9} {watt 5500} {litre 1325} {min 30}.
   */
  readonly reason: string
  /** Where the expected range came from. */
  readonly basis: 'maker' | 'nameplate' | 'standard' | 'published' | 'derived' | 'common practice' | 'assumed'
  /** For cannot-tell: what would settle it, same placeholders. */
  readonly settle?: string
  /** "name@version". */
  readonly evaluator: string
  /** Slugs of the facts that were used. */
  readonly uses: readonly string[]
}

/**
 * A pure judgement of readings in the light of facts.
 * Errors: CALC_* when an input cannot be what it says (asked again, scores nothing). Never throws on what a person typed.
 */
export type Evaluator = {
  readonly name: string
  readonly version: number
  /** Names of the readings it needs. */
  readonly needs: readonly string[]
  /** Facts it looks at; each has a wide default of its own. */
  readonly facts: readonly string[]
  /** Outcomes it can give: a step that uses it must handle each. */
  readonly outcomes: readonly string[]
  readonly evaluate: (readings: Readings, facts: Facts) => Result<Verdict>
}
