// Two sensors in water of known temperature. Rows: published 10 kohm curves; limits: heat-sensors-water section 1 and C1 of the trade sheet.
// The curves themselves are held in tests/checks.
import { describe, expect, test } from 'vitest'
import { CURVES, parseTable, resistanceOf } from '../../../graphs/trade/thermistor.ts'
import { degC, degF, facts, kohms, ohms, outcome, verdict } from './readings.ts'
import type { Curve } from '../../../graphs/trade/thermistor.ts'
import type { Facts, Reading, Readings } from '../../../graphs/trade/verdict.ts'

const S = CURVES['S'] as Curve
const E = CURVES['E'] as Curve
const KNOWN = facts({ 'sensor-curve': 'S' })
const bath = degC(40, 'thermometer-digital')
/** Kilo-ohms of a sensor on a curve that reads so many kelvin off at 40 degC. */
const reads = (off: number, curve = S): Reading => kohms((resistanceOf(curve, 40 + off) / 1000).toFixed(3))
const judged = (temp: Reading | undefined, limit: Reading | undefined, known: Facts = KNOWN): string => {
  const readings: Readings = { bath, ...(temp ? { 'temp-sensor': temp } : {}), ...(limit ? { 'limit-sensor': limit } : {}) }
  return outcome('sensor-resistance', readings, known)
}

describe('sensor-resistance, curve known', () => {
  test.each([
    [0, 0, 'both-good'],
    [0.9, 0.5, 'both-good'],
    [-0.8, -0.7, 'both-good'],
    [1.3, 0, 'unclear'],
    // Off alike by no more than the bath thermometer may be: the bath's error. Beyond that it may be another family.
    [1.2, 1.1, 'both-good'],
    [-1, -1.4, 'both-good'],
    [-1.6, -0.1, 'unclear'],
    [-1.9, -1.9, 'unclear'],
    [-1.9, 0.1, 'temp-off'],
    [-3.6, 0.1, 'temp-off'],
    [3, 0, 'temp-off'],
    [0, 2.5, 'highlimit-off'],
    [0, -4, 'highlimit-off'],
    [-2.4, -2.5, 'unclear'],
    [-5, 5, 'temp-off'],
  ])('temperature sensor %d K off, high-limit sensor %d K off: %s', (temp, limit, expected) => {
    expect(judged(reads(temp), reads(limit))).toBe(expected)
  })

  test('high ohms read cold, which overheats: direction low', () => {
    const found = verdict('sensor-resistance', { bath, 'temp-sensor': reads(-4), 'limit-sensor': reads(0) }, KNOWN)
    expect([found.direction, found.value < 0, found.reason.includes('cold')]).toEqual(['low', true, true])
  })

  test('the maker’s limit counts, else 1.0 K', () => {
    expect(judged(reads(-1.9), reads(0), facts({ 'sensor-curve': 'S', 'sensor-limit': 2 }))).toBe('unclear')
    expect(judged(reads(-3), reads(0), facts({ 'sensor-curve': 'S', 'sensor-limit': 2 }))).toBe('temp-off')
  })

  test('the maker’s own table outranks the library', () => {
    const table = facts({ 'sensor-curve': 'table', 'sensor-table': '0:27326, 25:10000, 40:5825, 50:4158' })
    const found = verdict('sensor-resistance', { bath, 'temp-sensor': kohms('5.83'), 'limit-sensor': kohms('5.82') }, table)
    expect([found.outcome, found.basis]).toEqual(['both-good', 'maker'])
    expect(judged(kohms('5.83'), kohms('5.33'), table)).toBe('highlimit-off')
  })

  test('a broken table is said, and never guessed around', () => {
    expect(judged(reads(0), reads(0), facts({ 'sensor-curve': 'table', 'sensor-table': '25:10000, x' }))).toBe('CALC_NOT_A_NUMBER')
    expect(judged(reads(0), reads(0), facts({ 'sensor-curve': 'table', 'sensor-table': '25:10000, 40:5330' }))).toBe(
      'CALC_INPUT_OUT_OF_RANGE',
    )
  })

  test('one sensor alone can be condemned, and never makes both good', () => {
    expect(judged(reads(-4), undefined)).toBe('temp-off')
    expect(judged(undefined, reads(-4))).toBe('highlimit-off')
    expect(judged(reads(0), undefined)).toBe('unclear')
  })

  test('a poor bath thermometer cannot condemn a small error', () => {
    const dial = degF(104, 'thermometer-dial')
    expect(outcome('sensor-resistance', { bath: dial, 'temp-sensor': reads(-2.2), 'limit-sensor': reads(0) }, KNOWN)).toBe('unclear')
  })
})

describe('sensor-resistance, open and shorted', () => {
  test.each([
    ['OL', '5.33', 'temp-off'],
    ['5.33', 'OL', 'highlimit-off'],
    ['OL', 'OL', 'temp-off'],
    ['0.4', '5.33', 'temp-off'],
    ['5.33', '0.4', 'highlimit-off'],
    ['150', '5.33', 'temp-off'],
  ])('%s and %s kohm: %s', (temp, limit, expected) => {
    expect(judged(kohms(temp), kohms(limit))).toBe(expected)
  })
  test('the same without a curve, with more room for a 30 kohm family', () => {
    expect(judged(kohms('OL'), kohms('5.33'), {})).toBe('temp-off')
    expect(judged(kohms('400 k'), kohms('5.33'), {})).toBe('temp-off')
  })
  test('an open sensor that came back from storage without its infinity is still open', () => {
    const stored = JSON.parse(JSON.stringify(kohms('OL'))) as Reading
    expect(stored.si).toBeNull()
    expect(judged(stored, kohms('5.33'))).toBe('temp-off')
  })
})

describe('sensor-resistance, curve not known', () => {
  test.each([
    [0, 0, 'both-good'],
    [1.5, 0, 'both-good'],
    [-1.9, 0, 'unclear'],
    [-2.4, 0, 'unclear'],
    // On one curve for both, 3.6 K and more is named; curves of 10 kohm lie 2.3 K apart at 40 degC.
    [-3.8, 0, 'temp-off'],
    [0, -3.8, 'highlimit-off'],
    [0, 3.8, 'highlimit-off'],
    [-8, 0, 'temp-off'],
    [0, -8, 'highlimit-off'],
    [-8, -8, 'unclear'],
  ])('%d and %d K off on curve S: %s', (temp, limit, expected) => {
    expect(judged(reads(temp), reads(limit), {})).toBe(expected)
  })

  test('sensors of another curve that agree are good, whatever a single table says', () => {
    expect(judged(reads(0, E), reads(0.3, E), {})).toBe('both-good')
    expect(judged(reads(0, E), reads(0.3, E), KNOWN)).not.toBe('both-good')
  })

  test('nothing is condemned within 5 °F of a usual curve', () => {
    for (let off = -2.7; off <= 2.7; off += 0.3) expect(['both-good', 'unclear']).toContain(judged(reads(off), reads(0), {}))
  })

  test('a sensor is not named while another curve names the other one', () => {
    // 3.0 K colder than a true S lies on no curve of its own; 3.0 K warmer than a true E lies near S, where the true one is off.
    expect(judged(reads(3, E), reads(0, E), {})).toBe('unclear')
  })

  test('an assumed curve is no maker’s curve', () => {
    expect(judged(reads(-2.4), reads(0), facts({ 'sensor-curve': 'S' }, 'assumed'))).toBe('unclear')
    expect(judged(reads(-2.4), reads(0), facts({ 'sensor-curve': 'unknown' }))).toBe('unclear')
  })

  test('a 30 kohm sensor beside a 10 kohm one is not condemned', () => {
    expect(judged(reads(0, CURVES['30k'] as Curve), reads(0), {})).toBe('unclear')
  })
})

describe('sensor-resistance asks again', () => {
  test.each([
    ['Ω typed for kΩ', ohms('5.33')],
    ['100 times off', ohms('53.3')],
    ['touching probes', ohms('0.2')],
    ['kΩ typed for Ω', kohms('5330')],
  ])('%s', (_what, reading) => {
    expect(judged(reading, kohms('5.33'))).toBe('CALC_READING_DOUBTFUL')
  })
  test('a true short is taken when its unit is typed', () => {
    expect(judged(ohms('0.2 ohm'), kohms('5.33'))).toBe('temp-off')
  })
  test('bath in °C typed as °F, no bath, no sensor', () => {
    expect(outcome('sensor-resistance', { bath: degF(40), 'temp-sensor': reads(0) }, KNOWN)).toBe('CALC_READING_DOUBTFUL')
    expect(outcome('sensor-resistance', { 'temp-sensor': reads(0) }, KNOWN)).toBe('CALC_READING_MISSING')
    expect(outcome('sensor-resistance', { bath }, KNOWN)).toBe('CALC_READING_MISSING')
  })
})

describe('parseTable', () => {
  test.each(['0:32000, 25:10000, 40:5300', '0:32000; 25:10000; 40:5300', '40:5300\n25:10000\n0:32000', '0:32 000, 25:10 000, 40:5 300'])(
    'reads %j',
    (text) => {
      const found = parseTable(text)
      expect(found.ok && found.value.rows).toEqual([
        [0, 32000],
        [25, 10000],
        [40, 5300],
      ])
    },
  )
  test.each([
    '',
    '25:10000',
    '0:5000, 25:10000, 40:20000',
    '0:1, 25:2, 40:3',
    '0:32000, 25:10000, 25:9000',
    '0:32000:1, 25:10000, 40:5300',
  ])('refuses %j', (text) => {
    expect(parseTable(text).ok).toBe(false)
  })
})

describe('swap-difference', () => {
  const swapped = (before: number, after: number): string =>
    outcome('swap-difference', {
      'water-before': degF(104, 'thermometer-digital'),
      'display-before': degF(104 + before),
      'water-swapped': degF(104, 'thermometer-digital'),
      'display-swapped': degF(104 + after),
    })
  // Differences in °F. Limits: 5 °F of the trade sheet; shares of what is left, common practice, no source.
  test.each([
    [-8, 0, 'follows'],
    [-8, -2, 'follows'],
    [-8, -7, 'stays'],
    [-8, -4, 'no-diff'],
    [-8, 8, 'no-diff'],
    [-5, 0, 'no-diff'],
    [-3, 0, 'no-diff'],
    [6, 1, 'follows'],
    [6, 6, 'stays'],
  ])('%d °F wrong before, %d °F with the plugs changed over: %s', (before, after, expected) => {
    expect(swapped(before, after)).toBe(expected)
  })
})
