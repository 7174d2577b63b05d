// Sensor curves and the error of instruments against published tables, worked examples and a statistics library.
// Marks: V published inputs and answer, D derived from published inputs, M from memory.
import { createRequire } from 'node:module'
import { describe, expect, test } from 'vitest'
import {
  acceptance,
  conformance,
  falseAccept,
  judge,
  limitOfError,
  normalCdf,
  quadrature,
  specFor,
  standard,
} from '../../graphs/trade/instrument.ts'
import {
  alphaOf,
  betaOf,
  compareTwo,
  CURVES,
  fitThrough,
  FIT_S,
  powerLimit,
  resistanceOf,
  resistanceOfBeta,
  resistanceOfFit,
  shownWithLeak,
  shownWithSeries,
  slopeOf,
  temperatureOf,
  temperatureOfFit,
  toleranceInKelvin,
} from '../../graphs/trade/thermistor.ts'
import type { Curve } from '../../graphs/trade/thermistor.ts'

type Check = readonly [id: string, mark: string, source: string, actual: () => number, expected: number, tolerance: number]

const S = CURVES['S'] as Curve
const E = CURVES['E'] as Curve
const THREE_K = { a: 1.4e-3, b: 2.37e-4, c: 9.9e-8 }
const jstat = createRequire(import.meta.url)('jstat') as {
  jStat: { normal: { cdf: (x: number, mean: number, deviation: number) => number } }
}

/** Band of a meter: share of the reading and counts of the last digit. */
const band = (reading: number, share: number, counts: number, digit: number): number =>
  limitOfError({ share, counts, count: () => digit, fixed: 0, scatter: 0 }, reading)

const checks: readonly Check[] = [
  ['T1', 'V', 'probe manual of a logger maker: 32650.9 ohm', () => temperatureOfFit(FIT_S, 32650.9), 0, 0.01],
  ['T2', 'V', 'the same: 97006.9 ohm', () => temperatureOfFit(FIT_S, 97006.9), -20, 0.01],
  ['T3', 'V', 'the same: 1.00 degC', () => resistanceOfFit(FIT_S, 1), 31030.8, 2],
  ['T4', 'V', 'public code file, 3k table: 2470.6001 ohm', () => temperatureOfFit(THREE_K, 2470.6001), 30, 0.001],
  ['T5', 'V', 'the same: 10030.2176 ohm', () => temperatureOfFit(THREE_K, 10030.2176), 0, 0.001],
  [
    'T6',
    'V',
    'a package README: three points, 7000 ohm',
    () =>
      temperatureOfFit(
        fitThrough([
          [-25, 87041],
          [0, 27326],
          [25, 10000],
        ]),
        7000,
      ),
    34.7531,
    0.0005,
  ],
  [
    'T7',
    'V',
    'kernel table, three points, 5825 ohm',
    () =>
      temperatureOfFit(
        fitThrough([
          [0, 27326],
          [25, 10000],
          [50, 4158],
        ]),
        5825,
      ),
    40,
    0.01,
  ],
  [
    'T8',
    'V',
    'controller manual, three points, 7908 ohm',
    () =>
      temperatureOfFit(
        fitThrough([
          [0, 32128],
          [25, 9814],
          [50, 3542],
        ]),
        7908,
      ),
    30,
    0.01,
  ],
  ['T9', 'V', 'public device tree: beta 3974 at 45 degC', () => resistanceOfBeta({ r25: 10_000, beta: 3974, degC: 45 }), 4326, 1],
  ['T10', 'D', 'kernel table: beta of 25 and 85 degC', () => betaOf([25, 10_000], [85, 1451]), 3435, 1],
  ['T11', 'V', 'maker’s note: -4.44 %/K for beta 3950', () => alphaOf(3950, 25) * 100, -4.44, 0.01],
  [
    'T12',
    'V',
    'maker’s catalogue: 5 % at 4.4 %/K',
    () => toleranceInKelvin({ share25: 0.05, shareBeta: 0, beta: 0.044 * 298.15 ** 2, degC: 25 }),
    1.14,
    0.01,
  ],
  [
    'T13',
    'D',
    '1 % / 1 %, beta 3950, 40 degC, K',
    () => toleranceInKelvin({ share25: 0.01, shareBeta: 0.01, beta: 3950, degC: 40 }),
    0.406,
    0.002,
  ],
  [
    'T14',
    'V',
    'maker’s note: 1 mW/K, 0.2 K, 10 %, W',
    () => powerLimit({ dissipation: 0.001, tolerance: 0.2, share: 0.1 }),
    0.00002,
    1e-12,
  ],
  ['T15', 'D', 'curve S at 40 degC with 500 ohm in series', () => shownWithSeries(S, 40, 500), 37.78, 0.02],
  ['1', 'D', 'curve S at 40 degC with a leak of 100 kohm', () => shownWithLeak(S, 40, 100_000) - 40, 1.29, 0.02],
  ['1', 'V', 'curve S at 40 degC, ohm', () => resistanceOf(S, 40), 5325, 1],
  ['1', 'V', 'curve E at 40 degC, ohm (kernel table)', () => resistanceOf(E, 40), 5825, 0.5],
  ['1', 'D', 'curve E sensor at 40 degC read on curve S', () => temperatureOf(S, 5825), 37.78, 0.02],
  ['1', 'D', 'curve S: beta between 20 and 40 degC', () => betaOf([20, resistanceOf(S, 20)], [40, resistanceOf(S, 40)]), 3914, 2],
  ['G1', 'V', 'meter page: 100.0 V, 1 % + 2', () => band(100, 0.01, 2, 0.1), 1.2, 1e-9],
  ['G2', 'V', 'meter page: 120.0 V, 1 % + 3', () => band(120, 0.01, 3, 0.1), 1.5, 1e-9],
  ['G3', 'V', 'meter page: 1.755 V, 0.5 % + 1', () => band(1.755, 0.005, 1, 0.001), 0.0098, 0.0001],
  ['G4', 'V', 'meter page: 2.000 V, 0.5 % + 3', () => band(2, 0.005, 3, 0.001), 0.013, 1e-9],
  ['G6', 'V/D', 'ILAC-G8: false accept, r = 0', () => falseAccept(0) * 100, 50, 0.01],
  ['G6', 'V/D', 'ILAC-G8: r = 0.83', () => falseAccept(0.83) * 100, 4.85, 0.01],
  ['G6', 'V/D', 'ILAC-G8: r = 1', () => falseAccept(1) * 100, 2.28, 0.01],
  ['G6', 'V/D', 'ILAC-G8: r = 1.5', () => falseAccept(1.5) * 100, 0.135, 0.01],
  ['G8', 'D', 'jstat: 9.9 under 10, u 0.1', () => conformance({ value: 9.9, u: 0.1, limits: { high: 10 } }), 0.8413, 0.0001],
  [
    'G9',
    'M',
    'JCGM 106 example: -5.47 under -5.40, u 0.05',
    () => conformance({ value: -5.47, u: 0.05, limits: { high: -5.4 } }),
    0.919,
    0.001,
  ],
]

describe('sensors and meters keep to published values', () => {
  test.each(checks)('%s [%s] %s', (_id, _mark, _source, actual, expected, tolerance) => {
    expect(Math.abs(actual() - expected)).toBeLessThanOrEqual(tolerance)
  })

  test.each([
    [0.83, 9.166, 10.834],
    [1, 9.2, 10.8],
    [1.5, 9.3, 10.7],
    [3, 9.6, 10.4],
  ])('G5 [V/D] ILAC-G8: 10 ± 1 with U 0.2 and r %d', (guard, low, high) => {
    const found = acceptance({ low: 9, high: 11, error: 0.2, guard })
    expect(found.ok).toBe(true)
    if (!found.ok) return
    expect(found.value.low).toBeCloseTo(low, 3)
    expect(found.value.high).toBeCloseTo(high, 3)
  })

  test.each([
    [9.7, 'in'],
    [9.9, 'cannot-tell'],
    [10.1, 'cannot-tell'],
    [10.3, 'out'],
  ])('G7 [D] ILAC-G8 rule: upper limit 10, U 0.2, %d is %s', (value, mark) => {
    expect(judge({ value, error: 0.2, limits: { high: 10 } }).mark).toBe(mark)
  })

  test.each([
    [5330, -0.02, 'in'],
    [5600, -1.25, 'cannot-tell'],
    [5825, -2.22, 'out'],
  ])('G10 [D] sensor verdict on curve S: %d ohm is %d K off, %s', (ohm, off, mark) => {
    const at = temperatureOf(S, ohm)
    const meter = standard(limitOfError(specFor('resistance', 'multimeter'), ohm)) / (ohm * slopeOf(S, at))
    const error = 2 * quadrature(meter, 0.3)
    expect(at - 40).toBeCloseTo(off, 1)
    expect(error).toBeCloseTo(0.7, 1)
    expect(judge({ value: at - 40, error, limits: { low: -1, high: 1 } }).mark).toBe(mark)
  })

  test.each([
    [0.7, 'agree'],
    [0.9, 'cannot-tell'],
    [1.1, 'out'],
  ] as const)('T16 [D] two sensors of ± 0.5 K, %d K apart: %s', (difference, outcome) => {
    expect(compareTwo(difference, 0.5)).toBe(outcome)
    expect(compareTwo(-difference, 0.5)).toBe(outcome)
  })

  test('the normal distribution agrees with jstat from -8 to 8', () => {
    for (let z = -8; z <= 8; z += 0.25) expect(Math.abs(normalCdf(z) - jstat.jStat.normal.cdf(z, 0, 1))).toBeLessThan(1e-9)
  })

  test('curve X keeps to its kernel table (V) and interpolates within 0.05 K of a three-point fit', () => {
    const X = CURVES['X'] as Curve
    const fit = fitThrough([
      [0, 28674],
      [25, 10000],
      [50, 4105],
    ])
    for (let degC = 5; degC <= 50; degC += 2.5) expect(Math.abs(temperatureOf(X, resistanceOf(X, degC)) - degC)).toBeLessThan(1e-9)
    for (let ohm = 4200; ohm < 20_000; ohm += 400) expect(Math.abs(temperatureOf(X, ohm) - temperatureOfFit(fit, ohm))).toBeLessThan(0.05)
  })
})
