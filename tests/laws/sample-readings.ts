// Readings that lead a computation to a wanted outcome, for random jobs. Values are SI; whether they are right is tests/checks, not here.
import { fromSi } from '#graphs'
import type { StepView, TypedReading } from '#graphs/contract'

type Sample = { readonly [reading: string]: number | readonly [minutes: number, si: number][] }

const rise = (perHour: number, minutes: number, every: number): readonly [number, number][] => {
  const points: [number, number][] = []
  for (let at = 0; at <= minutes; at += every) points.push([at, 36 + (perHour * at) / 60])
  return points
}

/** One or more samples per outcome of each evaluator; the first that fits the step's facts is enough. */
export const SAMPLES: { readonly [evaluator: string]: { readonly [outcome: string]: readonly Sample[] } } = {
  'display-vs-thermometer': {
    'both-high': [{ water: 41.5, display: 41.5, setpoint: 37 }],
    'disp-low': [{ water: 41, display: 37, setpoint: 38 }],
    'disp-high': [{ water: 36, display: 40, setpoint: 38 }],
    'both-normal': [{ water: 37.5, display: 37.6, setpoint: 38 }],
    'cannot-tell': [
      { water: 39.2, display: 37.2, setpoint: 38 },
      { water: 38.9, display: 37.3, setpoint: 38 },
    ],
  },
  'water-limit': {
    safe: [{ water: 37 }],
    'above-limit': [{ water: 41.2 }],
    'far-above': [{ water: 43.5 }],
    'cannot-tell': [{ water: 40.1 }, { water: 39.8 }],
  },
  'rise-demand-off': {
    fast: [{ water: rise(4, 60, 10) }],
    slow: [{ water: rise(0.5, 300, 30) }, { water: rise(0.4, 480, 30) }],
    flat: [{ water: rise(0, 300, 30) }, { water: rise(0, 480, 30) }],
    'cannot-tell': [{ water: rise(0.7, 30, 10) }, { water: rise(1.5, 30, 10) }],
  },
  'rise-demand-on': {
    zero: [{ water: rise(0, 120, 15) }],
    'below-half': [{ water: rise(1.2, 120, 15) }, { water: rise(0.8, 120, 15) }],
    'near-table': [{ water: rise(3.4, 120, 15) }, { water: rise(4.5, 120, 15) }],
    'cannot-tell': [{ water: rise(2, 40, 10) }, { water: rise(1.9, 120, 15) }],
  },
  'rise-heat-off': {
    holds: [{ water: rise(0, 150, 15) }],
    rising: [{ water: rise(4, 60, 10) }],
    'cannot-tell': [{ water: rise(0.6, 40, 10) }, { water: rise(1, 40, 10) }],
  },
  hold: {
    holds: [{ water: rise(0, 60, 10), setpoint: 36 }],
    drifts: [{ water: rise(3, 60, 10), setpoint: 36 }],
    'cannot-tell': [
      { water: rise(1.1, 60, 10), setpoint: 36 },
      { water: rise(0, 10, 5), setpoint: 36 },
    ],
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
    unclear: [
      { 'temp-sensor': 6300, 'limit-sensor': 6100, bath: 38 },
      { 'temp-sensor': 6150, 'limit-sensor': 5600, bath: 38 },
    ],
  },
  'house-meter': {
    'heater-power': [
      { before: 6200, after: 600 },
      { after: 6200, before: 600 },
    ],
    none: [
      { before: 620, after: 600 },
      { before: 600, after: 6200 },
    ],
    'cannot-tell': [
      { before: 1900, after: 600 },
      { before: 3000, after: 600 },
    ],
  },
  'element-resistance': {
    'in-range': [{ element: 10.5 }, { element: 14.4 }],
    open: [{ element: Infinity }],
    'off-value': [{ element: 2 }, { element: 60 }],
    'cannot-tell': [{ element: 12.2 }, { element: 8.5 }, { element: 20 }],
  },
  'element-current': {
    full: [{ current: 22.9 }],
    part: [{ current: 8 }, { current: 11 }],
    zero: [{ current: 0 }],
    'cannot-tell': [{ current: 19.5 }, { current: 0.8 }, { current: 16 }],
  },
  'element-to-ground': { clear: [{ 'to-ground': Infinity }], leaks: [{ 'to-ground': 20_000 }], doubtful: [{ 'to-ground': 3_000_000 }] },
  'load-to-ground': { clear: [{ 'to-ground': Infinity }], leaks: [{ 'to-ground': 20_000 }], doubtful: [{ 'to-ground': 3_000_000 }] },
  'relay-contacts': {
    'both-closed': [{ 'pole-1': 0.2, 'pole-2': 0.2 }],
    'one-closed': [{ 'pole-1': 0.2, 'pole-2': Infinity }],
    'both-open': [{ 'pole-1': Infinity, 'pole-2': Infinity }],
    'cannot-tell': [{ 'pole-1': 40, 'pole-2': Infinity }, { 'pole-1': 0.2 }],
  },
  'heat-creep': {
    explains: [{ 'air-mean': 29, 'filter-hours': 12, 'night-lows': 24 }],
    'does-not': [{ 'air-mean': 5, 'filter-hours': 2, 'night-lows': 0 }],
    'cannot-tell': [{ 'air-mean': 17, 'filter-hours': 4, 'night-lows': 12 }],
  },
  'capacitor-discharged': { safe: [{ capacitor: 0.4 }], charged: [{ capacitor: 60 }] },
  'dead-feed': {
    clear: [{ 'hot-ground': Infinity, 'line-line': 30 }],
    short: [{ 'hot-ground': Infinity, 'line-line': 0.5 }],
    'to-ground': [{ 'hot-ground': 5000, 'line-line': 30 }],
    'cannot-tell': [
      { 'hot-ground': Infinity, 'line-line': 2.1 },
      { 'hot-ground': 3_000_000, 'line-line': 30 },
    ],
  },
  'two-run-difference': {
    'heater-was-on': [{ without: rise(0, 90, 15), with: rise(4, 90, 15) }],
    'no-difference': [{ without: rise(0, 150, 15), with: rise(0, 150, 15) }],
    'cannot-tell': [
      { without: rise(0, 60, 30), with: rise(0.5, 60, 30) },
      { without: rise(0, 90, 15), with: rise(1, 90, 15) },
    ],
  },
}

type Fields = StepView['readings']
export type SampleReadings = { [name: string]: TypedReading | TypedReading[] }

/** A sample as a person would type it into the fields of a step; fields the sample does not name get a plain value. */
export function typedSample(fields: Fields, sample: Sample, now: number): SampleReadings {
  const readings: SampleReadings = {}
  for (const field of fields) {
    const unit = field.units[0] ?? '1'
    const value = sample[field.name]
    if (value === undefined && field.optional) continue
    const list: readonly (readonly [number, number])[] = typeof value === 'object' ? value : [[0, value ?? plainValue(field.quantity)]]
    const start = now - (list.at(-1)?.[0] ?? 0) * 60_000
    const typed = list.map(([minutes, si]) => typedAt(si, unit, start + minutes * 60_000, field.series !== undefined))
    const first = typed[0]
    if (first !== undefined) readings[field.name] = field.series === undefined ? first : typed
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
