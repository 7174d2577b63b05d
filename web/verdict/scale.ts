// Where the bands of a verdict, the reading and its error lie on a line. Plain geometry, no drawing.
// All numbers are those of the verdict; nothing is judged.
import type { TrailItem } from '#graphs/contract'

type Verdict = NonNullable<TrailItem['verdict']>

export type Piece = {
  readonly from: number
  readonly to: number
  readonly label: string
  readonly good: boolean
  readonly low?: number
  readonly high?: number
}
/** All positions from 0 (left) to 1 (right). */
export type Scale = {
  readonly pieces: readonly Piece[]
  readonly at: number
  readonly errorFrom: number
  readonly errorTo: number
  readonly isBeyond: boolean
}

/** Share of the line left free at each end. */
const MARGIN = 0.08
/** Resistances that span more than this are laid out by their logarithm. */
const WIDE = 50

export function scaleOf(verdict: Pick<Verdict, 'value' | 'error' | 'bands'>): Scale | undefined {
  const { value, bands } = verdict
  const error = verdict.error ?? 0
  const edges = bands.flatMap((band) => [band.low, band.high]).filter((edge) => edge !== undefined)
  const points = value === null ? edges : [...edges, value - error, value + error]
  if (points.length === 0) return undefined
  const [least, most] = [Math.min(...points), Math.max(...points)]
  const isLog = least > 0 && most / least > WIDE
  const place = isLog ? Math.log : (number: number): number => number
  const [from, to] = widen(place(least), place(most))
  const at = (number: number): number => Math.min(1, Math.max(0, (place(number) - from) / (to - from)))
  return {
    pieces: bands.map((band) => ({
      ...band,
      from: band.low === undefined ? 0 : at(band.low),
      to: band.high === undefined ? 1 : at(band.high),
    })),
    at: value === null ? 1 : at(value),
    errorFrom: value === null ? 1 : at(Math.max(value - error, isLog ? least : value - error)),
    errorTo: value === null ? 1 : at(value + error),
    isBeyond: value === null,
  }
}

function widen(from: number, to: number): [number, number] {
  const room = (to - from) * MARGIN || Math.abs(to) * MARGIN || 1
  return [from - room, to + room]
}
