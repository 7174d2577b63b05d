// How fast the water warms: demand off, demand on, heat off, and two runs. Limits: C2 of the trade sheet.
// The error budget itself is held against heat-sensors-water 3.5 in tests/checks.
import { describe, expect, test } from 'vitest'
import { planRise } from '../../../graphs/trade/judge-rise.ts'
import { toSi } from '../../../graphs/trade/quantity.ts'
import { facts, lineF, outcome, seriesF, verdict } from './readings.ts'

const gallons = (count: number): number => toSi(count, 'gal')
const LARGE = facts({ volume: gallons(350), 'heater-power': 5500, 'supply-profile': 'split-240-4wire', 'pump-power': 300 })
const SMALL = facts({ volume: gallons(300), 'heater-power': 1000, 'supply-profile': 'cord-120' })
const WYE = facts({ volume: gallons(350), 'heater-power': 5500, 'supply-profile': 'wye-208' })

describe('rise-demand-off', () => {
  const off = (perHour: number, span: number, known = LARGE): string =>
    outcome('rise-demand-off', { water: lineF(100, perHour, span) }, known)

  test.each([
    [6.2, 30, 'fast'],
    [4.6, 30, 'fast'],
    [3.4, 30, 'cannot-tell'],
    [0.1, 30, 'cannot-tell'],
    [0.7, 60, 'slow'],
    [0.5, 60, 'cannot-tell'],
    [0.35, 240, 'slow'],
    [0.2, 240, 'flat'],
    [-0.4, 240, 'flat'],
    [6.2, 20, 'CALC_READING_DOUBTFUL'],
  ])('5.5 kW in 350 gal, %d °F/h over %d minutes: %s', (perHour, span, expected) => {
    expect(off(perHour, span)).toBe(expected)
  })

  test('208 V lowers the table to three quarters, so that a slower rise is already fast', () => {
    expect(off(3.7, 60)).toBe('cannot-tell')
    expect(off(3.7, 60, WYE)).toBe('fast')
  })

  test('a heater under 4 kW is never fast: pump heat looks the same', () => {
    expect(off(1.4, 60, SMALL)).toBe('slow')
    expect(off(5, 60, SMALL)).toBe('slow')
    expect(off(0.2, 240, SMALL)).toBe('flat')
  })

  test('with nothing known only what a cord could never feed is fast, and the verdict says what was taken', () => {
    const found = verdict('rise-demand-off', { water: lineF(98, 6.2, 60) })
    expect(found.outcome).toBe('fast')
    expect(found.reason).toContain('not known')
    expect(found.basis).toBe('assumed')
    expect(off(2, 60, {})).toBe('cannot-tell')
    expect(off(0.2, 240, {})).toBe('flat')
  })

  test('a jet pump that could do it alone is no proof of a heater', () => {
    const jets = facts({ volume: gallons(200), 'heater-power': 4000, 'supply-profile': 'split-240-4wire', 'pump-power': 2500 })
    expect(off(6.5, 60, jets)).toBe('cannot-tell')
  })

  test('stopped at 110 °F after 10 minutes, two readings count, and an unsure rise is written down as such', () => {
    expect(outcome('rise-demand-off', { water: seriesF([108.8, 110.1], 10) }, LARGE)).toBe('fast')
    expect(outcome('rise-demand-off', { water: seriesF([109.8, 110], 10) }, LARGE)).toBe('cannot-tell')
    expect(outcome('rise-demand-off', { water: seriesF([109.8, 110.2], 5) }, LARGE)).toBe('CALC_READING_DOUBTFUL')
  })

  test('stopped at 110 °F before 30 minutes, a sure rise counts', () => {
    expect(
      outcome(
        'rise-demand-off',
        { water: lineF(107, 9, 20) },
        facts({ volume: gallons(250), 'heater-power': 5500, 'supply-profile': 'split-240-4wire' }),
      ),
    ).toBe('fast')
    expect(outcome('rise-demand-off', { water: lineF(106, 9, 20) }, LARGE)).toBe('CALC_READING_DOUBTFUL')
  })

  test('coarse readings widen the error instead of deciding', () => {
    const fine = verdict('rise-demand-off', { water: lineF(100, 1, 60) }, LARGE)
    const coarse = verdict(
      'rise-demand-off',
      { water: lineF(100, 1, 60).map((one) => ({ ...one, typed: one.typed.replace(/\.\d$/, '') })) },
      LARGE,
    )
    expect(coarse.error).toBeGreaterThan(1.5 * fine.error)
  })

  test('jumps, ice and single readings are asked again', () => {
    expect(outcome('rise-demand-off', { water: seriesF([100, 60, 101, 102], 10) }, LARGE)).toBe('CALC_READING_DOUBTFUL')
    expect(outcome('rise-demand-off', { water: seriesF([38, 38.5, 39, 39.5], 10) }, LARGE)).toBe('CALC_READING_DOUBTFUL')
    expect(outcome('rise-demand-off', { water: seriesF([100], 10) }, LARGE)).toBe('CALC_READING_MISSING')
    expect(outcome('rise-demand-off', {}, LARGE)).toBe('CALC_READING_MISSING')
  })
})

describe('rise-demand-on', () => {
  const on = (perHour: number, span: number, known = LARGE): string => outcome('rise-demand-on', { water: lineF(90, perHour, span) }, known)
  // 350 gal and 5.5 kW: table 6.49 °F/h.
  test.each([
    [6.2, 30, 'near-table'],
    [4.7, 60, 'near-table'],
    [4.4, 60, 'cannot-tell'],
    [3.6, 60, 'cannot-tell'],
    [2.5, 60, 'below-half'],
    [1, 60, 'below-half'],
    [0.4, 60, 'zero'],
    [0, 30, 'zero'],
    [-0.5, 60, 'zero'],
    [14, 60, 'cannot-tell'],
    [6.2, 20, 'CALC_READING_DOUBTFUL'],
  ])('5.5 kW in 350 gal, %d °F/h over %d minutes: %s', (perHour, span, expected) => {
    expect(on(perHour, span)).toBe(expected)
  })

  test('a small heater needs two hours, half an hour decides nothing', () => {
    expect(on(1.3, 30, SMALL)).toBe('cannot-tell')
    expect(on(1.3, 120, SMALL)).toBe('near-table')
    expect(on(0, 120, SMALL)).toBe('zero')
  })

  test('on 208 V three quarters of the power is full power', () => {
    expect(on(4.7, 60, WYE)).toBe('near-table')
    expect(on(3.6, 60, WYE)).toBe('near-table')
  })

  test('with nothing known it decides only what holds for every heater', () => {
    expect(on(0, 120, {})).toBe('zero')
    expect(on(3, 60, {})).toBe('cannot-tell')
  })
})

describe('rise-heat-off', () => {
  const heatOff = (perHour: number, span: number, known = LARGE): string =>
    outcome('rise-heat-off', { water: lineF(98, perHour, span) }, known)
  test.each([
    [0.3, 30, 'holds'],
    [1.2, 30, 'holds'],
    [1.8, 30, 'cannot-tell'],
    [6, 30, 'rising'],
    [6, 20, 'rising'],
    [0.3, 20, 'CALC_READING_DOUBTFUL'],
  ])('5.5 kW, %d °F/h over %d minutes: %s', (perHour, span, expected) => {
    expect(heatOff(perHour, span)).toBe(expected)
  })

  test('a small heater needs two hours and stays under half of its table', () => {
    expect(heatOff(0.2, 30, SMALL)).toBe('CALC_READING_DOUBTFUL')
    expect(heatOff(0.2, 120, SMALL)).toBe('holds')
    expect(heatOff(1.3, 120, SMALL)).toBe('rising')
    expect(heatOff(0.75, 120, SMALL)).toBe('cannot-tell')
  })

  test('with nothing known it takes the strictest time and limit', () => {
    expect(heatOff(0.2, 60, {})).toBe('CALC_READING_DOUBTFUL')
    expect(heatOff(0.2, 120, {})).toBe('holds')
    expect(heatOff(1, 120, {})).toBe('cannot-tell')
  })
})

describe('rise-demand-on, a run that reached its set point', () => {
  test('is judged on its first part', () => {
    // 5.5 kW in 350 gal gives about 6.2 degF an hour by the table; the set point of 102 degF (38.9 degC) ends it.
    const water = seriesF([97, 98.1, 99.1, 100.2, 101.2, 101.9, 101.9, 101.8, 101.8, 101.7, 101.7, 101.6, 101.6], 10)
    const found = verdict('rise-demand-on', { water }, LARGE)
    expect(found.outcome).toBe('near-table')
    expect(found.reason).toContain('set point was reached')
  })
  test('ends near its set point: what stops at 96 °F was no set point', () => {
    const water = seriesF([91, 92.1, 93.1, 94.2, 95.2, 95.9, 95.9, 95.8, 95.8, 95.7, 95.7, 95.6, 95.6], 10)
    expect(outcome('rise-demand-on', { water }, LARGE)).not.toBe('near-table')
  })
})

describe('two-run-difference', () => {
  const runs = (without: number, withHeater: number, span: number, known = LARGE): string =>
    outcome('two-run-difference', { without: lineF(97, without, span), with: lineF(98, withHeater, span) }, known)
  test.each([
    [0.2, 6.3, 60, 'heater-was-on'],
    [0.2, 3.6, 60, 'heater-was-on'],
    [0.2, 0.3, 60, 'no-difference'],
    [0.2, 0.1, 60, 'no-difference'],
    [0.2, 6.3, 30, 'heater-was-on'],
    [0.2, 0.3, 30, 'CALC_READING_DOUBTFUL'],
  ])('5.5 kW, %d then %d °F/h over %d minutes: %s', (without, withHeater, span, expected) => {
    expect(runs(without, withHeater, span)).toBe(expected)
  })

  test('a run stopped at 110 °F counts as far as it went, and never as no difference', () => {
    const stopped = { without: lineF(108, 0.2, 60), with: lineF(107.9, 6.6, 20) }
    expect(outcome('two-run-difference', stopped, LARGE)).toBe('heater-was-on')
    expect(outcome('two-run-difference', { without: seriesF([109.9, 110], 10), with: seriesF([109.9, 110], 10) }, LARGE)).toBe(
      'cannot-tell',
    )
  })

  test('jet-pump heat in both runs cancels, so that a small heater is seen', () => {
    expect(runs(1.5, 2.8, 120, SMALL)).toBe('heater-was-on')
    expect(runs(1.5, 1.6, 120, SMALL)).toBe('no-difference')
    expect(runs(1.5, 1.6, 60, SMALL)).toBe('CALC_READING_DOUBTFUL')
  })

  test('needs both runs', () => {
    expect(outcome('two-run-difference', { without: lineF(97, 0, 60) }, LARGE)).toBe('CALC_READING_MISSING')
  })
})

describe('planRise', () => {
  test('a large heater is decided in half an hour, and a small one beside a jet pump never', () => {
    expect(planRise(LARGE, { seconds: 1800, scatter: 0.1 }).decides).toBe(true)
    const hidden = planRise(facts({ volume: gallons(350), 'heater-power': 1000, 'pump-power': 1500 }), { seconds: 14_400, scatter: 0.1 })
    expect([hidden.decides, hidden.seconds]).toEqual([false, undefined])
  })
  test('says how long a small heater needs', () => {
    const plan = planRise(facts({ volume: gallons(350), 'heater-power': 1000, 'pump-power': 300 }), { seconds: 1800, scatter: 0.1 })
    expect(plan.decides).toBe(false)
    expect((plan.seconds ?? 0) / 3600).toBeGreaterThan(0.7)
    expect((plan.seconds ?? 0) / 3600).toBeLessThan(1.3)
  })
})
