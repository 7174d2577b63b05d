// Heater, leaks, feed, relay, capacitor and proof of dead. Limits: C1 and C2 of the trade sheet, electrical-safety sections 1, 5 and 8.
// Published figures of the arithmetic are held in tests/checks.
import { describe, expect, test } from 'vitest'
import { toSi } from '../../../graphs/trade/quantity.ts'
import { pairsOfProfile } from '../../../graphs/trade/supply.ts'
import { amperes, facts, kilowatts, kohms, ohms, outcome, tick, typed, verdict, volts } from './readings.ts'
import type { Readings } from '../../../graphs/trade/verdict.ts'

const LARGE = facts({ 'heater-power': 5500, 'heater-rated-voltage': 240, 'supply-profile': 'split-240-4wire' })
const CORD = facts({ 'heater-power': 1500, 'supply-profile': 'cord-120' })
const megohms = (value: number | string, instrument = 'multimeter') => typed('resistance', String(value), 'Mohm', { instrument })

describe('element-resistance', () => {
  // 5.5 kW at 240 V: 10.47 ohm, good 9.43 to 11.52 less the meter's error, off beyond 8.38 and 12.57.
  test.each([
    ['10.5', 'in-range'],
    ['9.8', 'in-range'],
    ['11.1', 'in-range'],
    ['9.5', 'cannot-tell'],
    ['11.6', 'cannot-tell'],
    ['12.5', 'cannot-tell'],
    ['13', 'off-value'],
    ['8', 'off-value'],
    ['5', 'off-value'],
    ['OL', 'open'],
    ['250000', 'open'],
    ['0.3', 'CALC_READING_DOUBTFUL'],
    ['0.3 ohm', 'off-value'],
    ['10.5k', 'open'],
  ])('5.5 kW at 240 V, %s ohm: %s', (text, expected) => {
    expect(outcome('element-resistance', { element: ohms(text) }, LARGE)).toBe(expected)
  })

  test('kΩ chosen for Ω is asked again', () => {
    expect(outcome('element-resistance', { element: kohms('10.4') }, LARGE)).toBe('CALC_READING_DOUBTFUL')
    expect(outcome('element-resistance', { element: kohms('250') }, LARGE)).toBe('open')
  })

  test('120 V and 1.5 kW give 9.6 ohm', () => {
    expect(outcome('element-resistance', { element: ohms('9.6') }, CORD)).toBe('in-range')
    expect(outcome('element-resistance', { element: ohms('14.4') }, CORD)).toBe('off-value')
  })

  test('without a label the usual 9 to 14.5 ohm pass, and the verdict says that the label is not known', () => {
    const found = verdict('element-resistance', { element: ohms('12') })
    expect([found.outcome, found.basis]).toEqual(['in-range', 'assumed'])
    expect(found.reason).toContain('not known')
    expect(outcome('element-resistance', { element: ohms('28.8') })).toBe('cannot-tell')
    expect(outcome('element-resistance', { element: ohms('3') })).toBe('off-value')
    expect(outcome('element-resistance', { element: ohms('90') })).toBe('off-value')
    expect(outcome('element-resistance', {})).toBe('CALC_READING_MISSING')
  })
})

describe('element-current', () => {
  test.each([
    ['22.9', 'full'],
    ['20', 'cannot-tell'],
    ['11.5', 'part'],
    ['0.4', 'zero'],
    ['0', 'zero'],
    ['40', 'cannot-tell'],
    ['-1', 'CALC_READING_DOUBTFUL'],
  ])('5.5 kW at 240 V, %s A: %s', (text, expected) => {
    expect(outcome('element-current', { current: amperes(text) }, LARGE)).toBe(expected)
  })
  test('the measured voltage narrows what is full', () => {
    const measured = facts({ 'heater-power': 5500, 'heater-rated-voltage': 240, 'supply-voltage': 208 })
    expect(outcome('element-current', { current: amperes('19.9') }, measured)).toBe('full')
    expect(outcome('element-current', { current: amperes('25') }, measured)).toBe('cannot-tell')
  })
  test('with nothing known it tells zero, and takes for full what a usual heater draws, saying so', () => {
    expect(outcome('element-current', { current: amperes('0') })).toBe('zero')
    const found = verdict('element-current', { current: amperes('22.9') })
    expect([found.outcome, found.basis, found.reason.includes('not known')]).toEqual(['full', 'assumed', true])
    expect(outcome('element-current', { current: amperes('1.5') })).toBe('part')
  })
})

describe('heater-current-off', () => {
  test.each([
    ['22.9', 'present'],
    ['15', 'present'],
    ['1.5', 'present'],
    ['0.7', 'present'],
    ['0.5', 'none'],
    ['0', 'none'],
    ['-1', 'CALC_READING_DOUBTFUL'],
  ])('%s A with no heat asked for: %s, whatever the label', (text, expected) => {
    expect(outcome('heater-current-off', { current: amperes(text) }, LARGE)).toBe(expected)
    expect(outcome('heater-current-off', { current: amperes(text) })).toBe(expected)
  })
  test('none is never called dead', () => {
    expect(verdict('heater-current-off', { current: amperes('0') }, LARGE).reason).toContain('no proof of dead')
  })
})

describe('house-meter', () => {
  test.each([
    ['6.3', '0.4', 'heater-power'],
    ['0.72', '0.41', 'none'],
    ['0.4', '6.1', 'none'],
    ['0.5', '0.5', 'cannot-tell'],
    ['3.4', '0.4', 'cannot-tell'],
    ['30', '0.5', 'cannot-tell'],
  ])('5.5 kW, %s then %s kW: %s', (before, after, expected) => {
    expect(outcome('house-meter', { before: kilowatts(before), after: kilowatts(after) }, LARGE)).toBe(expected)
  })
  test('no change decides only when the tub is said to be off', () => {
    const readings = { before: kilowatts('0.5'), after: kilowatts('0.5') }
    expect(outcome('house-meter', readings, LARGE)).toBe('cannot-tell')
    expect(outcome('house-meter', { ...readings, 'tub-off': tick(1) }, LARGE)).toBe('none')
  })
  test('a jet pump is not taken for a small heater, nor for an unknown one', () => {
    expect(outcome('house-meter', { before: kilowatts('1.9'), after: kilowatts('0.4') }, CORD)).toBe('cannot-tell')
    expect(outcome('house-meter', { before: kilowatts('3.2'), after: kilowatts('0.4') })).toBe('cannot-tell')
    expect(outcome('house-meter', { before: kilowatts('6.3'), after: kilowatts('0.4') })).toBe('heater-power')
  })
  test('a small heater counts when the pump is known', () => {
    const known = facts({ 'heater-power': 1500, 'supply-profile': 'cord-120', 'pump-power': 100 })
    expect(outcome('house-meter', { before: kilowatts('2.05'), after: kilowatts('0.41') }, known)).toBe('heater-power')
    expect(outcome('house-meter', { before: kilowatts('0.45'), after: kilowatts('0.41') }, known)).toBe('cannot-tell')
    expect(outcome('house-meter', { before: kilowatts('0.45'), after: kilowatts('0.41'), 'tub-off': tick(1) }, known)).toBe('none')
  })
})

describe('element-to-ground and load-to-ground', () => {
  test.each([
    ['OL', 'clear'],
    ['20 M', 'doubtful'],
    ['1 M', 'doubtful'],
    ['0.99 M', 'leaks'],
    ['24k', 'leaks'],
    ['0', 'leaks'],
  ])('a plain ohmmeter that shows %s: %s', (text, expected) => {
    expect(outcome('element-to-ground', { 'to-ground': ohms(text) })).toBe(expected)
    expect(outcome('load-to-ground', { 'to-ground': ohms(text) })).toBe(expected)
  })
  test('an ohmmeter never clears: the reason says that it is weak', () => {
    expect(verdict('element-to-ground', { 'to-ground': ohms('OL') }).reason).toContain('weak')
  })
  test.each([
    ['0.05', 'leaks', 'leaks'],
    ['0.5', 'retest', 'leaks'],
    ['1', 'retest', 'retest'],
    ['1.2', 'clear', 'retest'],
    ['4.9', 'clear', 'retest'],
    ['6', 'clear', 'clear'],
  ])('an insulation tester that shows %s Mohm: element %s, load %s', (text, element, load) => {
    const reading = { 'to-ground': megohms(text, 'insulation-tester') }
    expect([outcome('element-to-ground', reading), outcome('load-to-ground', reading)]).toEqual([element, load])
  })
})

describe('dead-feed', () => {
  const feed = (ground: string, line: string): string => outcome('dead-feed', { 'hot-ground': ohms(ground), 'line-line': ohms(line) })
  test.each([
    ['OL', '10.5', 'clear'],
    ['OL', 'OL', 'clear'],
    ['OL', '2.3', 'clear'],
    ['OL', '2.1', 'cannot-tell'],
    ['OL', '1.9', 'cannot-tell'],
    ['OL', '1.7', 'short'],
    ['OL', '0.1', 'short'],
    ['40k', '10.5', 'to-ground'],
    ['40k', '0.1', 'short'],
    // One-megohm rule (electrical-safety section 5, S28): 0.9 fails, 1.0 passes; weak, since an ohmmeter never clears.
    ['0.9 M', '10.5', 'to-ground'],
    ['1 M', '10.5', 'clear'],
    ['5 M', '10.5', 'clear'],
    ['5 M', '1.9', 'cannot-tell'],
  ])('hot to ground %s, line to line %s: %s', (ground, line, expected) => {
    expect(feed(ground, line)).toBe(expected)
  })
  test('a reading in the megohms is clear and said to be weak', () => {
    const { reason } = verdict('dead-feed', { 'hot-ground': ohms('5 M'), 'line-line': ohms('10.5') })
    expect(reason).toContain('weak')
    expect(reason).toContain('GFCI test follows')
  })
  test('the worst of several readings counts, and none may be left out', () => {
    expect(outcome('dead-feed', { 'hot-ground': ohms('OL'), 'hot-ground-2': ohms('3k'), 'line-line': ohms('11') })).toBe('to-ground')
    expect(outcome('dead-feed', { 'hot-ground': ohms('OL'), 'line-line': ohms('11'), 'line-neutral': ohms('0.4') })).toBe('short')
    expect(outcome('dead-feed', { 'hot-ground': ohms('OL') })).toBe('CALC_READING_MISSING')
  })
})

describe('relay-contacts', () => {
  const both = facts({ 'relay-fixed-leg': false })
  const fixed = facts({ 'relay-fixed-leg': true })
  test.each([
    ['both switched', both, '0.2', '0.3', 'both-closed'],
    ['both switched', both, '0.2', 'OL', 'one-closed'],
    ['both switched', both, 'OL', '0.2', 'one-closed'],
    ['both switched', both, 'OL', 'OL', 'both-open'],
    ['both switched', both, '0.9', 'OL', 'cannot-tell'],
    ['both switched', both, '3', 'OL', 'cannot-tell'],
    ['both switched', both, 'OL', '500k', 'both-open'],
    ['both switched', both, 'OL', '20k', 'cannot-tell'],
    ['both switched', both, '0.2', undefined, 'cannot-tell'],
    ['both switched', both, 'OL', undefined, 'cannot-tell'],
    ['one fixed', fixed, '0.2', undefined, 'both-closed'],
    ['one fixed', fixed, 'OL', undefined, 'both-open'],
    ['one fixed', fixed, '0.2', '0.1', 'both-closed'],
    ['one fixed', fixed, '0.1', 'OL', 'both-open'],
    ['one fixed', fixed, 'OL', '0.1', 'both-open'],
    ['one fixed', fixed, 'OL', 'OL', 'cannot-tell'],
    ['no diagram', {}, '0.2', '0.3', 'both-closed'],
    ['no diagram', {}, '0.2', 'OL', 'cannot-tell'],
    ['no diagram', {}, 'OL', 'OL', 'both-open'],
    ['no diagram', {}, '0.2', undefined, 'cannot-tell'],
    ['both switched', both, '10.5', 'OL', 'CALC_READING_DOUBTFUL'],
    ['both switched', both, 'OL', '10.5', 'CALC_READING_DOUBTFUL'],
  ] as const)('%s: %j, %s and %s give %s', (_what, known, one, two, expected) => {
    expect(outcome('relay-contacts', { 'pole-1': ohms(one), ...(two === undefined ? {} : { 'pole-2': ohms(two) }) }, known)).toBe(expected)
  })
  test('open never clears the relay', () => {
    expect(verdict('relay-contacts', { 'pole-1': ohms('OL'), 'pole-2': ohms('OL') }, both).reason).toContain('weld can let go')
  })
})

describe('capacitor-discharged', () => {
  test.each([
    ['0', 'safe'],
    ['4.5', 'safe'],
    ['-4', 'safe'],
    ['4.8', 'charged'],
    ['5', 'charged'],
    ['-60', 'charged'],
    ['330', 'charged'],
  ])('%s V DC is %s', (text, expected) => {
    expect(outcome('capacitor-discharged', { capacitor: volts(text, 'multimeter') })).toBe(expected)
  })
})

describe('proof-of-dead', () => {
  const good = { 'tester-before': tick(1), 'tester-after': tick(1) }
  const at = (place: string, pairs: readonly string[], value = '0'): Readings =>
    Object.fromEntries(pairs.map((pair) => [`${place}:${pair}`, volts(value)]))
  const four = pairsOfProfile('split-240-4wire')
  const known = (profile: string) => facts({ 'supply-profile': profile })

  test.each(['split-240-4wire', 'split-240-3wire', 'wye-208', 'cord-120', 'single-230'])(
    '%s: all pairs below 3 V and both proofs are zero; one pair less is missing',
    (profile) => {
      const pairs = pairsOfProfile(profile)
      expect(outcome('proof-of-dead', { ...good, ...at('board', pairs) }, known(profile))).toBe('zero')
      for (const left of pairs) {
        const rest = at(
          'board',
          pairs.filter((pair) => pair !== left),
        )
        expect(outcome('proof-of-dead', { ...good, ...rest }, known(profile))).toBe('CALC_READING_MISSING')
      }
    },
  )

  test.each([
    ['0', 'zero'],
    ['2', 'zero'],
    ['2.5', 'zero'],
    ['2.7', 'voltage'],
    ['2.9', 'voltage'],
    ['3', 'voltage'],
    ['-4', 'voltage'],
    ['120', 'voltage'],
  ])('one pair at %s V: %s', (text, expected) => {
    expect(outcome('proof-of-dead', { ...good, ...at('board', four), 'board:N-G': volts(text) }, known('split-240-4wire'))).toBe(expected)
  })

  test('voltage is said even if pairs are missing, a tester failed, or nothing else is there', () => {
    expect(outcome('proof-of-dead', { 'board:L1-G': volts('120') })).toBe('voltage')
    expect(
      outcome('proof-of-dead', { ...at('board', four), 'board:L1-G': volts('120'), 'tester-before': tick(0), 'tester-after': tick(1) }),
    ).toBe('voltage')
  })

  test.each([
    [0, 1],
    [1, 0],
    [0, 0],
  ] as const)('a tester that reads %d before and %d after proves nothing', (before, after) => {
    const readings = { ...at('board', four), 'tester-before': tick(before), 'tester-after': tick(after) }
    expect(outcome('proof-of-dead', readings, known('split-240-4wire'))).toBe('not-proved')
  })

  test('a tester check that was left out is missing', () => {
    expect(outcome('proof-of-dead', { ...at('board', four), 'tester-before': tick(1) }, known('split-240-4wire'))).toBe(
      'CALC_READING_MISSING',
    )
  })

  test('every place needs every pair', () => {
    const readings = { ...good, ...at('terminals', four), ...at('board', ['L1-L2']) }
    const found = outcome('proof-of-dead', readings, known('split-240-4wire'))
    expect(found).toBe('CALC_READING_MISSING')
    expect(outcome('proof-of-dead', { ...good, ...at('terminals', four), ...at('board', four) }, known('split-240-4wire'))).toBe('zero')
  })

  test('with the profile not known every conductor is tested two by two, three at the least', () => {
    expect(outcome('proof-of-dead', { ...good, ...at('board', ['A-B']) })).toBe('CALC_READING_MISSING')
    expect(outcome('proof-of-dead', { ...good, ...at('board', ['A-B', 'B-C']) })).toBe('CALC_READING_MISSING')
    expect(outcome('proof-of-dead', { ...good, ...at('board', ['A-B', 'B-C', 'C-A']) })).toBe('zero')
    expect(outcome('proof-of-dead', { ...good, ...at('board', ['A-B', 'B-C', 'C-A', 'D-A']) }, known('unknown'))).toBe(
      'CALC_READING_MISSING',
    )
    expect(outcome('proof-of-dead', good)).toBe('CALC_READING_MISSING')
  })

  test('a conductor that the profile does not have is tested against all others', () => {
    const readings = { ...good, ...at('board', pairsOfProfile('split-240-3wire')), 'board:N-G': volts('0') }
    expect(outcome('proof-of-dead', readings, known('split-240-3wire'))).toBe('CALC_READING_MISSING')
  })

  test('the order of the conductors in a name does not matter, and a broken name is asked again', () => {
    expect(outcome('proof-of-dead', { ...good, ...at('board', ['G-L1', 'L2-L1', 'G-L2']) }, known('split-240-3wire'))).toBe('zero')
    expect(outcome('proof-of-dead', { ...good, 'board:L1': volts('0') })).toBe('CALC_READING_DOUBTFUL')
    expect(outcome('proof-of-dead', { ...good, 'board:L1-L1': volts('0') })).toBe('CALC_READING_DOUBTFUL')
  })

  test('a plain multimeter is not accepted on 230 V', () => {
    const pairs = pairsOfProfile('single-230')
    const readings = { ...good, ...Object.fromEntries(pairs.map((pair) => [`board:${pair}`, volts('0', 'multimeter')])) }
    expect(outcome('proof-of-dead', readings, known('single-230'))).toBe('not-proved')
  })

  test('a reading in another quantity is no voltage', () => {
    expect(outcome('proof-of-dead', { ...good, ...at('board', four), 'board:N-G': ohms('0') }, known('split-240-4wire'))).toBe(
      'CALC_UNIT_UNKNOWN',
    )
  })
})

describe('heat-creep', () => {
  const degF = (value: number): number => toSi(value, 'degF')
  test.each([
    [67, 104, { 'filter-hours': 8 }, 'explains'],
    [66.9, 104, { 'filter-hours': 8 }, 'cannot-tell'],
    [63, 100, { 'full-sun': true }, 'explains'],
    [80, 104, { 'night-lows': 71 }, 'explains'],
    [80, 104, { 'night-lows': 69 }, 'cannot-tell'],
    [80, 104, {}, 'cannot-tell'],
    [59, 104, { 'filter-hours': 4 }, 'does-not'],
    [61, 104, { 'filter-hours': 4 }, 'cannot-tell'],
    [59, 104, { 'filter-hours': 12 }, 'cannot-tell'],
    [59, 104, {}, 'cannot-tell'],
    [45, 104, {}, 'does-not'],
    [59, 104, { 'filter-hours': 4, 'full-sun': true }, 'cannot-tell'],
  ] as const)('mean %d °F, water %d °F, %j: %s', (air, water, more, expected) => {
    const known = {
      'air-mean': degF(air),
      'water-target': degF(water),
      ...more,
      ...('night-lows' in more ? { 'night-lows': degF(more['night-lows']) } : {}),
    }
    expect(outcome('heat-creep', {}, facts(known))).toBe(expected)
  })
  test('an air reading asked now outranks what was known, and °F typed as °C is asked again', () => {
    const known = facts({ 'air-mean': degF(50), 'water-target': 40, 'filter-hours': 10 })
    expect(outcome('heat-creep', { air: typed('temperature', '75', 'degF') }, known)).toBe('explains')
    expect(outcome('heat-creep', { air: typed('temperature', '75', 'degC') }, known)).toBe('CALC_READING_DOUBTFUL')
  })
  test('works with nothing known, and refuses more hours than a day has', () => {
    expect(outcome('heat-creep', {})).toBe('cannot-tell')
    expect(outcome('heat-creep', {}, facts({ 'air-mean': 25, 'filter-hours': 28_800 }))).toBe('CALC_INPUT_OUT_OF_RANGE')
  })
})
