// How far a series has come, and how fast it runs, from what was typed so far.
// A rough figure for the person at the tub; the verdict is the engine's.
import type { StepView, TypedReading } from '#graphs/contract'

type Series = NonNullable<StepView['readings'][number]['series']>

export type Progress = {
  readonly have: number
  readonly least: number
  readonly minutes: number
  readonly span: number
  readonly isEnough: boolean
  /** The last reading reached the stop of this series: two readings are enough, however short the time. */
  readonly isStopped: boolean
  /** When the next reading is due, ms since 1970. */
  readonly next: number | undefined
}

export function progressOf(series: Series, readings: readonly TypedReading[]): Progress {
  const times = readings.flatMap((one) => one.at ?? [])
  const [first, last] = [times[0], times.at(-1)]
  const minutes = first === undefined || last === undefined ? 0 : (last - first) / 60_000
  const isStopped = readings.length >= Math.min(2, series.least) && reaches(series.enough_at, readings.at(-1))
  const isEnough = isStopped || (readings.length >= series.least && minutes >= series.span_minutes)
  return {
    have: readings.length,
    least: series.least,
    minutes: Math.floor(minutes),
    span: series.span_minutes,
    isEnough,
    isStopped,
    next: last === undefined || isEnough ? undefined : last + series.every_minutes * 60_000,
  }
}

/** Only temperatures stop a series; a unit typed behind the number is the one that counts, as for the engine. */
function reaches(stop: number | undefined, reading: TypedReading | undefined): boolean {
  const number = reading === undefined ? undefined : numberOf(reading.typed)
  if (stop === undefined || reading === undefined || number === undefined) return false
  const behind = /([fc])\s*$/i.exec(reading.typed)?.[1]?.toLowerCase()
  const isFahrenheit = behind === undefined ? reading.unit === 'degF' : behind === 'f'
  if (!isFahrenheit && behind === undefined && reading.unit !== 'degC') return false
  return (isFahrenheit ? ((number - 32) * 5) / 9 : number) >= stop
}

/** Units an hour, from the first reading to the last of the same unit; undefined when there is nothing to divide. */
export function runningRate(readings: readonly TypedReading[]): { readonly perHour: number; readonly unit: string } | undefined {
  const [first, last] = [readings[0], readings.at(-1)]
  if (first?.at === undefined || last?.at === undefined || first.unit !== last.unit || last.at <= first.at) return undefined
  const [from, to] = [numberOf(first.typed), numberOf(last.typed)]
  if (from === undefined || to === undefined) return undefined
  return { perHour: ((to - from) * 3_600_000) / (last.at - first.at), unit: last.unit }
}

export function numberOf(typed: string): number | undefined {
  const match = /^\s*([+-]?\d+(?:[.,]\d+)?)\s*[^\d]*$/.exec(typed)
  return match?.[1] === undefined ? undefined : Number(match[1].replace(',', '.'))
}
