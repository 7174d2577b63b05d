// Readings that lead a computation to a wanted outcome, for random jobs. Values are SI; whether they are right is tests/checks, not here.
// How they are typed into a step is at the end of this file.
import { fromSi } from '#graphs'
import type { Step } from '#graphs'
import type { TypedReading } from '#graphs/contract'

/** A number, a series, or a number by an instrument other than the step's own. */
type Sample = {
  readonly [reading: string]: number | readonly [minutes: number, si: number][] | { readonly si: number; readonly by: string }
}

/** A steady rise, K/h, from a start in degC. Starts are low enough that no sample but the hot ones passes the bathing limit. */
const rise = (perHour: number, minutes: number, every: number, start = 33): readonly [number, number][] => {
  const points: [number, number][] = []
  for (let at = 0; at <= minutes; at += every) points.push([at, start + (perHour * at) / 60])
  return points
}

/** Samples for outcomes of each evaluator; whoever uses them tries one after another, because facts of the job decide as well. */
export const SAMPLES: { readonly [evaluator: string]: { readonly [outcome: string]: readonly Sample[] } } = {
  'display-vs-thermometer': {
    'both-high': [
      { water: 39.5, display: 39.4, setpoint: 37 },
      { water: 41.5, display: 41.5, setpoint: 37 },
    ],
    'disp-low': [
      { water: 39.8, display: 36, setpoint: 38 },
      { water: 41, display: 37, setpoint: 38 },
      { water: 43.8, display: 39, setpoint: 38 },
    ],
    'disp-high': [{ water: 36, display: 40, setpoint: 38 }],
    'both-normal': [{ water: 37.5, display: 37.6, setpoint: 38 }],
    'cannot-tell': [
      { water: 40.2, display: 38.7, setpoint: 38 },
      { water: 38.9, display: 37.3, setpoint: 38 },
    ],
  },
  'water-limit': {
    safe: [{ water: 36 }, { water: 38.5 }],
    'above-limit': [{ water: 41.2 }],
    'far-above': [{ water: 43.5 }],
    'cannot-tell': [{ water: 39.8 }],
  },
  'rise-demand-off': {
    fast: [{ water: rise(4, 60, 10) }, { water: rise(3, 40, 10, 39) }],
    slow: [{ water: rise(0.5, 60, 10) }, { water: rise(0.4, 300, 30) }],
    flat: [{ water: rise(0, 300, 30) }, { water: rise(0, 480, 30) }],
    'cannot-tell': [{ water: rise(0.2, 60, 10) }, { water: rise(1.5, 40, 10) }],
  },
  'rise-demand-on': {
    zero: [{ water: rise(0, 60, 10) }, { water: rise(-0.1, 120, 15) }],
    'below-half': [{ water: rise(0.7, 60, 10) }, { water: rise(0.3, 120, 15) }],
    'near-table': [
      { water: rise(3.4, 60, 10, 30) },
      { water: rise(1.1, 120, 15) },
      { water: rise(3.4, 120, 30, 30) },
      { water: rise(2.2, 60, 10) },
    ],
    'cannot-tell': [
      { water: rise(2.1, 60, 10, 35) },
      { water: rise(2.1, 60, 10) },
      { water: rise(0.6, 120, 15) },
      { water: rise(1.3, 120, 15) },
    ],
  },
  'rise-heat-off': {
    holds: [{ water: rise(0, 60, 10, 37.2) }, { water: rise(0, 150, 15, 37.2) }, { water: rise(0, 60, 10) }, { water: rise(0, 150, 15) }],
    rising: [{ water: rise(4, 60, 10) }],
    'cannot-tell': [
      { water: rise(0.9, 60, 10) },
      { water: rise(0.55, 120, 15) },
      { water: rise(0.9, 120, 15) },
      { water: rise(1, 30, 10) },
    ],
  },
  hold: {
    holds: [{ water: rise(0, 60, 10, 36), setpoint: 36 }],
    drifts: [{ water: rise(3, 60, 10, 36), setpoint: 36 }],
    'cannot-tell': [{ water: rise(1.1, 60, 10, 36), setpoint: 36 }],
  },
  'sensor-resistance': {
    'both-good': [{ 'temp-sensor': 5700, 'limit-sensor': 5710, bath: 38 }],
    'temp-off': [
      { 'temp-sensor': 9800, 'limit-sensor': 5700, bath: 38 },
      { 'temp-sensor': Infinity, 'limit-sensor': 5700, bath: 38 },
    ],
    'highlimit-off': [
      { 'temp-sensor': 5700, 'limit-sensor': 9800, bath: 38 },
      { 'temp-sensor': 5700, 'limit-sensor': Infinity, bath: 38 },
    ],
    unclear: [{ 'temp-sensor': 6150, 'limit-sensor': 5600, bath: 38 }],
  },
  'house-meter': {
    'heater-power': [
      { before: 6200, after: 600 },
      { before: 4300, after: 600 },
    ],
    none: [
      { before: 620, after: 600, 'tub-off': 1 },
      { before: 600, after: 6200 },
      { before: 600, after: 4300 },
    ],
    'cannot-tell': [
      { before: 1900, after: 600 },
      { before: 3900, after: 600 },
      { before: 3200, after: 600 },
    ],
  },
  'element-resistance': {
    'in-range': [{ element: 10.5 }, { element: 14.4 }, { element: 13.5 }, { element: 11.8 }],
    open: [{ element: Infinity }],
    'off-value': [{ element: 2 }, { element: 90 }],
    'cannot-tell': [{ element: 12.2 }, { element: 8.5 }, { element: 20 }, { element: 16.5 }, { element: 50 }],
  },
  'heater-current-off': {
    present: [{ current: 22.9 }, { current: 8 }],
    none: [{ current: 0 }],
  },
  'element-to-ground': {
    clear: [{ 'to-ground': Infinity }],
    leaks: [{ 'to-ground': 20_000 }],
    doubtful: [{ 'to-ground': 3_000_000 }],
    retest: [{ 'to-ground': { si: 500_000, by: 'insulation-tester' } }],
  },
  'load-to-ground': {
    clear: [{ 'to-ground': Infinity }],
    leaks: [{ 'to-ground': 20_000 }],
    doubtful: [{ 'to-ground': 3_000_000 }],
    retest: [{ 'to-ground': { si: 3_000_000, by: 'insulation-tester' } }],
  },
  'relay-contacts': {
    'both-closed': [{ 'pole-1': 0.2, 'pole-2': 0.2 }, { 'pole-1': 0.2 }],
    'one-closed': [{ 'pole-1': 0.2, 'pole-2': Infinity }],
    'both-open': [{ 'pole-1': Infinity, 'pole-2': Infinity }, { 'pole-1': Infinity }],
    'cannot-tell': [{ 'pole-1': 40_000, 'pole-2': Infinity }, { 'pole-1': 40_000 }, { 'pole-1': 0.2 }],
  },
  'heat-creep': {
    explains: [{ 'air-mean': 29, 'filter-hours': 12 }],
    'does-not': [{ 'air-mean': 5, 'filter-hours': 2 }],
    'cannot-tell': [
      { 'air-mean': 18, 'filter-hours': 10 },
      { 'air-mean': 17, 'filter-hours': 4 },
    ],
  },
  'capacitor-discharged': { safe: [{ capacitor: 0.4 }], charged: [{ capacitor: 60 }] },
  'dead-feed': {
    clear: [
      { 'hot-ground': Infinity, 'line-line': 30 },
      { 'hot-ground': 3_000_000, 'line-line': 30 },
    ],
    short: [{ 'hot-ground': Infinity, 'line-line': 0.5 }],
    'to-ground': [{ 'hot-ground': 5000, 'line-line': 30 }],
    'cannot-tell': [{ 'hot-ground': Infinity, 'line-line': 2.1 }],
  },
  'swap-difference': {
    follows: [{ 'water-before': 40, 'display-before': 36, 'water-swapped': 40, 'display-swapped': 39.8 }],
    stays: [{ 'water-before': 40, 'display-before': 36, 'water-swapped': 40, 'display-swapped': 36.2 }],
    'no-diff': [{ 'water-before': 40, 'display-before': 38.3, 'water-swapped': 40, 'display-swapped': 39.8 }],
  },
  'two-run-difference': {
    'heater-was-on': [{ without: rise(0, 90, 15), with: rise(4, 90, 15) }],
    'no-difference': [
      { without: rise(0, 90, 15), with: rise(0, 90, 15) },
      { without: rise(0, 150, 15), with: rise(0, 150, 15) },
    ],
    'cannot-tell': [{ without: rise(0, 120, 15), with: rise(0.3, 120, 15) }],
  },
}

/** Fields of a step as shown, or as the library names them. */
type Fields = readonly Pick<NonNullable<Step['readings']>[number], 'name' | 'quantity' | 'units' | 'series' | 'optional'>[]
export type SampleReadings = { [name: string]: TypedReading | TypedReading[] }

/** Minutes that the longest series of a sample takes. */
export function minutesOf(sample: Sample): number {
  return Math.max(0, ...Object.values(sample).map((value) => (Array.isArray(value) ? (value.at(-1)?.[0] ?? 0) : 0)))
}

/** A sample as a person would type it into the fields of a step; fields the sample does not name get a plain value. */
export function typedSample(fields: Fields, sample: Sample, now: number): SampleReadings {
  const readings: SampleReadings = {}
  for (const field of fields) {
    const unit = field.units[0] ?? '1'
    const given = sample[field.name]
    if (given === undefined && field.optional) continue
    const by = typeof given === 'object' && 'by' in given ? given.by : undefined
    const value = typeof given === 'object' && 'by' in given ? given.si : given
    const list: readonly (readonly [number, number])[] = typeof value === 'object' ? value : [[0, value ?? plainValue(field.quantity)]]
    const start = now - (list.at(-1)?.[0] ?? 0) * 60_000
    const typed = list.map(([minutes, si]) => typedAt(si, unit, start + minutes * 60_000, field.series !== undefined))
    const first = typed[0]
    if (first !== undefined)
      readings[field.name] = field.series === undefined ? { ...first, ...(by === undefined ? {} : { instrument: by }) } : typed
  }
  return readings
}

function typedAt(si: number, unit: string, at: number, series: boolean): TypedReading {
  const typed = si === Infinity ? 'OL' : String(Math.round(fromSi(si, unit) * 1000) / 1000)
  return series ? { typed, unit, at } : { typed, unit }
}

function plainValue(quantity: string): number {
  return quantity === 'temperature' ? 37 : quantity === 'resistance' ? 5700 : 1
}
