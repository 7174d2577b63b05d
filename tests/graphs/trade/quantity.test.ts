// How typed numbers become readings, and how quantities and placeholders are shown.
// No judgement is tested here.
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { brokenPlaceholders, fillText, formatQuantity, showReading, shopUnit } from '../../../graphs/trade/placeholder.ts'
import { fromSi, isUnitTyped, parseNumber, parseReading, RANGES, toSi, UNITS, unitsOf } from '../../../graphs/trade/quantity.ts'
import type { Quantity } from '../../../graphs/trade/verdict.ts'

const SEED = 20_250_611

const parsed = (quantity: Quantity, typed: string, unit: string): readonly [number, string] | string => {
  const found = parseReading({ quantity, typed, unit })
  return found.ok ? [found.value.si, found.value.unit] : found.problem.code
}

describe('parseReading', () => {
  test.each<readonly [Quantity, string, string, number, string]>([
    ['temperature', '104', 'degF', 40, 'degF'],
    ['temperature', '104 °F', 'degC', 40, 'degF'],
    ['temperature', '104º f', 'degC', 40, 'degF'],
    ['temperature', '38 degrees C', 'degF', 38, 'degC'],
    ['temperature', '38,5', 'degC', 38.5, 'degC'],
    ['temperature', '\u22125', 'degC', -5, 'degC'],
    ['temperature-difference', '9', 'dF', 5, 'dF'],
    ['temperature-difference', '2 K', 'dF', 2, 'dK'],
    ['temperature-rate', '1.8', 'degF/h', 1, 'degF/h'],
    ['resistance', '6.1k', 'ohm', 6100, 'kohm'],
    ['resistance', '10.4 ohm', 'kohm', 10.4, 'ohm'],
    ['resistance', '10,4 Ω', 'kohm', 10.4, 'ohm'],
    ['resistance', '5 MΩ', 'ohm', 5e6, 'Mohm'],
    ['resistance', 'OL', 'kohm', Infinity, 'kohm'],
    ['resistance', ' open ', 'ohm', Infinity, 'ohm'],
    ['voltage', '240 VAC', 'V', 240, 'V'],
    ['current', '500 mA', 'A', 0.5, 'mA'],
    ['power', '5.5', 'kW', 5500, 'kW'],
    ['power', '5.5k', 'W', 5500, 'kW'],
    ['volume', '1 234.5', 'L', 1234.5, 'L'],
    ['volume', '1\u202f234,5', 'L', 1234.5, 'L'],
    ['volume', '1,234.5', 'L', 1234.5, 'L'],
    ['volume', '1.234,5', 'L', 1234.5, 'L'],
    ['capacitance', '30 µF', 'uF', 30e-6, 'uF'],
    ['duration', '1.5 h', 'min', 5400, 'h'],
    ['length', '10', 'ft', 3.048, 'ft'],
    ['count', '1', '', 1, '1'],
  ])('%s "%s" beside %s', (quantity, typed, unit, si, shownUnit) => {
    const found = parsed(quantity, typed, unit)
    expect(typeof found).not.toBe('string')
    expect(found[0]).toBeCloseTo(si, 9)
    expect(found[1]).toBe(shownUnit)
  })

  test.each<readonly [Quantity, string, string, string]>([
    ['temperature', '', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', '   ', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', 'NaN', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', 'Infinity', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', 'OL', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', '1e9', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', '0x10', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', '1 1/2', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', '½', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', '100 - 104', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', '12 34', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', '1.2.3', 'degF', 'CALC_NOT_A_NUMBER'],
    ['temperature', '--5', 'degF', 'CALC_NOT_A_NUMBER'],
    ['duration', '1:30', 'h', 'CALC_NOT_A_NUMBER'],
    ['length', `5'6"`, 'ft', 'CALC_NOT_A_NUMBER'],
    ['volume', '1,234', 'L', 'CALC_READING_DOUBTFUL'],
    ['voltage', '50 mV', 'V', 'CALC_UNIT_UNKNOWN'],
    ['resistance', '5 mohm', 'ohm', 'CALC_UNIT_UNKNOWN'],
    ['temperature', '5 V', 'degF', 'CALC_UNIT_UNKNOWN'],
    ['temperature', '5', 'V', 'CALC_UNIT_UNKNOWN'],
    ['resistance', '-5', 'ohm', 'CALC_INPUT_OUT_OF_RANGE'],
    ['temperature', '500', 'degF', 'CALC_INPUT_OUT_OF_RANGE'],
    ['volume', '-1', 'L', 'CALC_INPUT_OUT_OF_RANGE'],
  ])('refuses %s "%s" beside %s with %s', (quantity, typed, unit, code) => {
    expect(parsed(quantity, typed, unit)).toBe(code)
  })

  test('every quantity takes its lowest and highest number and refuses what lies just outside', () => {
    for (const [quantity, { low, high }] of Object.entries(RANGES) as [Quantity, { low: number; high: number }][]) {
      const unit = unitsOf(quantity).find((row) => row.factor === 1 && row.zero === 0)?.id
      if (unit === undefined) continue
      for (const [value, good] of [
        [low, true],
        [high, true],
        [low - 0.5, false],
        [high * 1.001 + 0.5, false],
      ] as const) {
        expect([quantity, value, typeof parsed(quantity, value.toFixed(4), unit) !== 'string']).toEqual([quantity, value, good])
      }
    }
  })

  test('keeps what was typed, the instrument and the time', () => {
    const found = parseReading({ quantity: 'temperature', typed: ' 38,50 ', unit: 'degC', instrument: 'thermometer-digital', at: 7 })
    expect(found).toEqual({
      ok: true,
      value: { quantity: 'temperature', typed: ' 38,50 ', unit: 'degC', si: 38.5, instrument: 'thermometer-digital', at: 7 },
    })
  })

  test('a decimal typed with point or comma is the same number, and the way to SI and back loses nothing', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...Object.keys(UNITS)),
        fc.integer({ min: -999_999, max: 999_999 }),
        fc.integer({ min: 0, max: 3 }),
        (unit, digits, places) => {
          const value = digits / 10 ** places
          const point = parseNumber(value.toFixed(places))
          const comma = parseNumber(value.toFixed(places).replace('.', ','))
          expect(point).toEqual({ ok: true, value: Number(value.toFixed(places)) })
          if (places !== 3) expect(comma).toEqual(point)
          expect(Math.abs(fromSi(toSi(value, unit), unit) - value)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(value)))
        },
      ),
      { seed: SEED, numRuns: 500 },
    )
  })

  test('never throws and never lets a number through that is none, whatever is typed', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...(Object.keys(RANGES) as Quantity[])),
        fc.oneof(fc.string(), fc.string({ unit: 'grapheme' })),
        fc.constantFrom('', ...Object.keys(UNITS)),
        (quantity, typed, unit) => {
          const found = parseReading({ quantity, typed, unit })
          if (!found.ok) return
          expect(Number.isNaN(found.value.si)).toBe(false)
          expect(found.value.typed).toBe(typed)
          if (quantity !== 'resistance') expect(Number.isFinite(found.value.si)).toBe(true)
        },
      ),
      { seed: SEED, numRuns: 2000 },
    )
  })

  test('a difference of temperatures is not shifted by 32', () => {
    expect(toSi(37, 'dF')).toBeCloseTo(20.556, 3)
    expect(toSi(37, 'degF')).toBeCloseTo(2.778, 3)
  })

  test('knows when the unit stands in the text', () => {
    expect(['42 F', '0.3 ohm', '6.1k', '42', '5,3', '1 234'].map(isUnitTyped)).toEqual([true, true, true, false, false, false])
  })

  test('throws on a unit of our own making', () => {
    expect(() => toSi(1, 'furlong')).toThrow(RangeError)
  })
})

describe('fillText', () => {
  test.each([
    ['{temp 40}', '104 °F', '40 °C'],
    ['{temp 42.2}', '108 °F', '42.2 °C'],
    ['{temp 41.1}', '106 °F', '41.1 °C'],
    ['{temp 43.3}', '110 °F', '43.3 °C'],
    ['{temp 40.06}', '104.1 °F', '40.1 °C'],
    ['{dtemp 1.7}', '3 °F', '1.7 °C'],
    ['{dtemp 2.2}', '4 °F', '2.2 °C'],
    ['{dtemp -1.25}', '−2.3 °F', '−1.3 °C'],
    ['{rate 3.6}', '6.5 °F/h', '3.6 °C/h'],
    ['{ohm 5330}', '5.33 kΩ', '5.33 kΩ'],
    ['{ohm 10.47}', '10.5 Ω', '10.5 Ω'],
    ['{ohm 1000000}', '1 MΩ', '1 MΩ'],
    ['{volt 240}', '240 V', '240 V'],
    ['{volt 2.95}', '2.95 V', '2.95 V'],
    ['{amp 22.92}', '22.9 A', '22.9 A'],
    ['{watt 5500}', '5.5 kW', '5.5 kW'],
    ['{watt 260}', '260 W', '260 W'],
    ['{litre 1325}', '350 gal', '1325 L'],
    ['{volume 340}', '90 gal', '340 L'],
    ['{min 30}', '30 min', '30 min'],
    ['{min 240}', '4 h', '4 h'],
    ['{min 0.5}', '30 s', '30 s'],
    ['{length 1.1}', '3.6 ft', '1.1 m'],
  ])('%s', (text, us, si) => {
    expect(fillText(`a ${text} b`, 'us')).toBe(`a ${us} b`)
    expect(fillText(`a ${text} b`, 'si')).toBe(`a ${si} b`)
  })

  test('leaves unknown and broken placeholders standing, so that a check finds them', () => {
    expect(fillText('{foo 3} {temp x} {constructor 1}', 'us')).toBe('{foo 3} {temp x} {constructor 1}')
    expect(brokenPlaceholders('{temp 40} {foo 3} {temp x}')).toEqual(['{foo 3}', '{temp x}'])
  })

  test('names an open circuit and a missing number in words', () => {
    expect(formatQuantity('resistance', Infinity, 'us')).toBe('open (OL)')
    expect(formatQuantity('temperature', NaN, 'us')).toBe('no number')
    expect(shopUnit('temperature', 'si')).toBe('degC')
  })
})

describe('showReading', () => {
  test.each([
    ['104', 'degF', 'us', '104 °F'],
    ['104', 'degF', 'si', '104 °F (40 °C)'],
    ['38,5', 'degC', 'us', '38,5 °C (101.3 °F)'],
    ['38.5 C', 'degC', 'us', '38.5 C (101.3 °F)'],
  ] as const)('"%s" %s for a shop in %s', (text, unit, units, shown) => {
    const found = parseReading({ quantity: 'temperature', typed: text, unit })
    expect(found.ok && showReading(found.value, units)).toBe(shown)
  })

  test('what was typed always comes first, unchanged', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 320, max: 1200 }),
        fc.constantFrom('degF', 'degC'),
        fc.constantFrom('us', 'si'),
        (tenths, unit, units) => {
          const text = (tenths / 10).toFixed(1)
          const found = parseReading({ quantity: 'temperature', typed: text, unit })
          if (found.ok) expect(showReading(found.value, units as 'us' | 'si').startsWith(`${text} ${UNITS[unit]?.label}`)).toBe(true)
        },
      ),
      { seed: SEED, numRuns: 300 },
    )
  })
})
