// Display against thermometer, the bathing limit, and the hold. Limits: C1 of the trade sheet; bathing limit: product-safety agency, CDC.
// Rates of rise stand in judge-rise.test.ts.
import { describe, expect, test } from 'vitest'
import { degC, degF, outcome, seriesF, verdict } from './readings.ts'
import type { Reading } from '../../../graphs/trade/verdict.ts'

const digital = 'thermometer-digital'
const compare = (water: number | string, display: number | string, set: number | string, instrument = digital): string =>
  outcome('display-vs-thermometer', { water: degF(water, instrument), display: degF(display), setpoint: degF(set) })

describe('display-vs-thermometer', () => {
  test.each([
    [106, 106, 102, 'both-high'],
    [104.1, 104, 102, 'both-high'],
    [104, 104, 102, 'both-normal'],
    [103.9, 104, 102, 'both-normal'],
    [95, 95, 102, 'both-normal'],
    [106, 102.9, 102, 'disp-low'],
    [106, 103, 102, 'cannot-tell'],
    [106, 103.9, 102, 'cannot-tell'],
    [106, 104, 102, 'both-high'],
    [100, 102, 102, 'both-normal'],
    [100, 102.1, 102, 'cannot-tell'],
    [100, 103.1, 102, 'disp-high'],
  ])('thermometer %d, display %d, set %d °F: %s', (water, display, set, expected) => {
    expect(compare(water, display, set)).toBe(expected)
  })

  test('water that no tub has is asked again, and taken up to boiling when its unit is typed', () => {
    expect(compare(187, 185, 100)).toBe('CALC_READING_DOUBTFUL')
    expect(compare('187 F', '185 F', 100)).toBe('both-high')
    expect(compare('220 F', '185 F', 100)).toBe('CALC_READING_DOUBTFUL')
  })

  test('the same in °C gives the same outcome', () => {
    expect(outcome('display-vs-thermometer', { water: degC(41.1, digital), display: degC(39), setpoint: degC(38.9) })).toBe('disp-low')
  })

  test('a dial thermometer cannot clear a display, but still finds one that is far off', () => {
    expect(compare(104, 104, 104, 'thermometer-dial')).toBe('cannot-tell')
    expect(compare(106, 102, 102, 'thermometer-dial')).toBe('disp-low')
    expect(compare(106, 102.5, 102, 'thermometer-dial')).toBe('cannot-tell')
  })

  test.each([
    ['38 typed as °F', 38, 100, 102, 'CALC_READING_DOUBTFUL'],
    ['display in °C', 100, 38, 102, 'CALC_READING_DOUBTFUL'],
    ['set point in °C', 100, 100, 39, 'CALC_READING_DOUBTFUL'],
    ['set point that no tub has', 100, 100, 120, 'CALC_READING_DOUBTFUL'],
    ['frozen water', 20, 100, 102, 'CALC_READING_DOUBTFUL'],
    ['water near boiling', 200, 100, 102, 'CALC_READING_DOUBTFUL'],
  ])('asks again for %s', (_what, water, display, set, code) => {
    expect(compare(water, display, set)).toBe(code)
  })

  test('a display that is truly 60 °F off passes when its unit is typed', () => {
    expect(compare(102, '38 F', 102)).toBe('disp-low')
  })

  test('says that nobody goes in when the water is above 104 °F, whatever the outcome', () => {
    for (const display of [105, 101, 102.5, 110]) {
      const found = verdict('display-vs-thermometer', { water: degF(105, digital), display: degF(display), setpoint: degF(104) })
      expect(found.reason).toContain('nobody goes in')
    }
  })

  test('names the missing reading', () => {
    expect(outcome('display-vs-thermometer', { water: degF(100), display: degF(100) })).toBe('CALC_READING_MISSING')
  })
})

describe('water-limit', () => {
  test.each([
    [103.1, digital, 'safe'],
    [103.2, digital, 'cannot-tell'],
    [104, digital, 'cannot-tell'],
    [104.1, digital, 'above-limit'],
    [107.9, digital, 'above-limit'],
    [108, digital, 'far-above'],
    [115, digital, 'far-above'],
    [102.2, undefined, 'safe'],
    [102.3, undefined, 'cannot-tell'],
    [101.3, 'thermometer-dial', 'safe'],
    [101.4, 'thermometer-dial', 'cannot-tell'],
    [90, 'display', 'cannot-tell'],
    [104.1, 'display', 'above-limit'],
    [109, 'display', 'far-above'],
    [60, digital, 'safe'],
  ])('%d °F by %s: %s', (water, instrument, expected) => {
    expect(outcome('water-limit', { water: degF(water, instrument) })).toBe(expected)
  })

  test.each([
    [40, 'cannot-tell'],
    [40.1, 'above-limit'],
    [42.1, 'above-limit'],
    [42.2, 'far-above'],
    [39.5, 'safe'],
  ])('%d °C: %s', (water, expected) => {
    expect(outcome('water-limit', { water: degC(water, digital) })).toBe(expected)
  })

  test('42 typed beside °F is most likely 42 °C, which is far above: it is asked again, never called safe', () => {
    expect(outcome('water-limit', { water: degF(42) })).toBe('CALC_READING_DOUBTFUL')
    expect(outcome('water-limit', { water: degF('42 F', digital) })).toBe('safe')
  })

  test('100 typed beside °C is asked again', () => {
    expect(outcome('water-limit', { water: degC(100) })).toBe('CALC_READING_DOUBTFUL')
    expect(outcome('water-limit', { water: degC('65 C') })).toBe('far-above')
  })

  test('a reading that lost its number is refused', () => {
    expect(outcome('water-limit', { water: { ...degF(100), si: NaN } })).toBe('CALC_NOT_A_NUMBER')
    expect(outcome('water-limit', { water: { ...degF(100), si: null as unknown as number } })).toBe('CALC_NOT_A_NUMBER')
    expect(outcome('water-limit', { water: { ...degF(100), quantity: 'voltage' } })).toBe('CALC_UNIT_UNKNOWN')
    expect(outcome('water-limit', {})).toBe('CALC_READING_MISSING')
  })
})

describe('hold', () => {
  const held = (values: readonly number[], set: number, minutes = 15, instrument = digital): string =>
    outcome('hold', { water: seriesF(values, minutes, instrument), setpoint: degF(set) })

  test.each([
    [[102, 102.4, 101.8], 102, 15, 'holds'],
    [[102, 103.6, 102], 102, 15, 'holds'],
    [[102, 103.8, 102], 102, 15, 'cannot-tell'],
    [[102, 102, 99.9], 102, 15, 'cannot-tell'],
    [[102, 102, 99.5], 102, 15, 'drifts'],
    [[102, 103, 104.8], 102, 15, 'drifts'],
    [[103.5, 104.2, 104], 104, 15, 'cannot-tell'],
    [[102, 102, 102], 102, 10, 'CALC_READING_DOUBTFUL'],
    [[102, 102], 102, 30, 'CALC_READING_MISSING'],
  ])('%j around %d °F, every %d minutes: %s', (values, set, minutes, expected) => {
    expect(held(values, set, minutes)).toBe(expected)
  })

  test('never passes with water above 104 °F', () => {
    const found = verdict('hold', { water: seriesF([103.9, 104.3, 104.1], 15), setpoint: degF(104) })
    expect([found.outcome, found.settle?.includes('{temp 38.9}')]).toEqual(['cannot-tell', true])
  })

  test('times that do not rise are asked again, and missing times are missing', () => {
    const [first, second, third] = seriesF([102, 102, 102], 15) as readonly [Reading, Reading, Reading]
    expect(outcome('hold', { water: [first, third, second], setpoint: degF(102) })).toBe('CALC_READING_DOUBTFUL')
    const { at: _at, ...timeless } = second
    expect(outcome('hold', { water: [first, timeless, third], setpoint: degF(102) })).toBe('CALC_READING_MISSING')
  })
})
