// Typed readings of a step, parsed: only those the step asks for, with times that can be. What they mean is answer.ts.
// Numbers and units are trade/quantity.ts.
import type { CommandOf, TypedReading } from '../contract/index.ts'
import type { Need, ReadingSpec, Step } from '../edition/compiled.ts'
import { failed, ok } from '../result.ts'
import type { Result } from '../result.ts'
import { isOpenText, isUnitTyped, parseReading } from '../trade/quantity.ts'
import type { Quantity, Reading, Readings } from '../trade/verdict.ts'
import type { JobState } from './state.ts'

type Given = Pick<CommandOf<'answer'>, 'readings' | 'sure'>
type Typed = NonNullable<Given['readings']>

/** The readings that the step asks for; whatever else was sent is nobody's measurement. */
export function askedReadings(step: Step, given: Typed | undefined): Typed | undefined {
  if (given === undefined) return undefined
  const names = new Set((step.readings ?? []).map((reading) => reading.name))
  return Object.fromEntries(Object.entries(given).filter(([name]) => names.has(name)))
}

function listOf(given: Typed | undefined, name: string): TypedReading[] {
  const one = given?.[name]
  const list = one === undefined ? [] : Array.isArray(one) ? one : [one]
  return list.filter(({ typed }) => typed.trim() !== '')
}

/** Readings of a step, parsed with its units. */
export function parseAll(step: Step, answer: Given): Result<Readings> {
  const readings: { [name: string]: Reading | Reading[] } = {}
  for (const spec of step.readings ?? []) {
    const filled = listOf(answer.readings, spec.name)
    if (filled.length === 0) {
      if (spec.optional === true) continue
      return failed('JOB_ANSWER_INCOMPLETE', `Write the reading: ${spec.label}.`, { path: spec.name })
    }
    if (spec.series === undefined && filled.length > 1)
      return failed('JOB_ANSWER_INCOMPLETE', `Write one reading of: ${spec.label}.`, { path: spec.name })
    const parsed: Reading[] = []
    for (const typed of filled) {
      const reading = parseOne(spec.quantity as Quantity, typed, answer.sure === true, spec.instrument)
      if (!reading.ok) return failed(reading.problem.code, reading.problem.message, { ...reading.problem, path: spec.name })
      parsed.push(reading.value)
    }
    if (spec.series !== undefined && filled.length < leastOf(spec.series, parsed)) {
      return failed('JOB_ANSWER_INCOMPLETE', `Take at least ${spec.series.least} readings of: ${spec.label}.`, {
        path: spec.name,
        details: { have: filled.length },
      })
    }
    const single = parsed[0]
    if (single !== undefined) readings[spec.name] = spec.series === undefined ? single : parsed
  }
  return ok(readings)
}

/** A series that reached its stop is over: two readings are then enough. */
function leastOf(series: NonNullable<ReadingSpec['series']>, parsed: readonly Reading[]): number {
  const last = parsed.at(-1)?.si
  return series.enough_at !== undefined && last !== undefined && last >= series.enough_at ? Math.min(2, series.least) : series.least
}

/** A unit inside the text is how a person insists; "it is meant" writes it there. */
export function parseOne(quantity: Quantity, typed: TypedReading, sure: boolean, instrument: string | undefined): Result<Reading> {
  const text =
    sure && typed.unit !== '1' && !isUnitTyped(typed.typed) && !isOpenText(typed.typed) ? `${typed.typed} ${typed.unit}` : typed.typed
  const used = typed.instrument ?? instrument
  return parseReading({
    quantity,
    typed: text,
    unit: typed.unit,
    ...(used === undefined ? {} : { instrument: used }),
    ...(typed.at === undefined ? {} : { at: typed.at }),
  })
}

/** Clocks of two devices may differ by so much, ms. */
const SKEW_MS = 5 * 60_000
/** Before a visit readings may be as old as a day when the job is opened, ms. */
const DAY_MS = 24 * 60 * 60_000

/**
 * Times of readings lie between the moment from which the tub has been as it is now and the present.
 * Older ones are of another tub: before this visit, before the power came back, before the last part was fitted.
 */
export function timesFit(state: JobState, step: Step, given: Typed | undefined, now: number): Result<null> {
  if (state.practice) return ok(null)
  for (const { name, label } of step.readings ?? []) {
    // A run copied from before the power was off stands beside the one of now; only the water is always that of now.
    const from = earliest(state, name === 'water' ? step.needs : 'talk') - SKEW_MS
    for (const { at } of listOf(given, name)) {
      if (at === undefined || (at >= from && at <= now + SKEW_MS)) continue
      const message = at > now ? 'That time is still to come.' : 'That time was before the tub was as it is now.'
      return failed('CALC_READING_DOUBTFUL', `${message} Read ${label} again now.`, { path: name, details: { at, from, now } })
    }
  }
  return ok(null)
}

function earliest(state: JobState, needs: Need): number {
  const { tub } = state
  const visit = tub.onSite.length > 0 ? (tub.arrivedAt ?? 0) : state.openedAt - DAY_MS
  if (needs !== 'live-shut' && needs !== 'live-open') return visit
  return Math.max(visit, tub.poweredAt ?? 0, tub.partsIn.at(-1)?.at ?? 0)
}
