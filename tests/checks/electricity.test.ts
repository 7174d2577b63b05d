// Supply, heater, leakage, ground-fault devices, capacitors, contacts and conductors against published figures.
// Marks: v published inputs and answer, d arithmetic from published inputs, m rests on memory. Order of steps, roles and
// isolation (LO-5, LO-6, LO-8) are rules of the safety observers and are checked there.
import { describe, expect, test } from 'vitest'
import {
  capacitanceUnderLoad,
  capacitorEnergy,
  contactDropLimit,
  contactHeat,
  dischargeTime,
  elementCurrent,
  elementResistance,
  gfciBand,
  gfciTripTime,
  isCapacitorGood,
  leakage,
  meetsBleedRule,
  motorWindow,
  passesMegohmRule,
  relayState,
  voltsAlongElement,
} from '../../graphs/trade/electricity.ts'
import { EVALUATORS } from '../../graphs/trade/evaluators.ts'
import { powerAt } from '../../graphs/trade/heat.ts'
import { fromSi, toSi } from '../../graphs/trade/quantity.ts'
import {
  classifyFeed,
  isInDeliveryRule,
  isInServiceRange,
  openNeutral,
  pairsOfProfile,
  STOP_PATTERNS,
  sumRatio,
} from '../../graphs/trade/supply.ts'
import { DISPLAY_ALLOWANCE, isBathingAllowed } from '../../graphs/trade/water.ts'
import { continuous, GAUGES, resistanceShare, voltageDrop, voltageDropByMils } from '../../graphs/trade/wire.ts'
import type { Readings } from '../../graphs/trade/verdict.ts'

type Check = readonly [id: string, mark: string, source: string, actual: () => number, expected: number, share: number]

const trip = (milli: number): number => {
  const found = gfciTripTime(milli / 1000)
  return found.ok ? found.value : NaN
}
const at = (power: number, volts: number): number => powerAt({ ratedPower: power, ratedVoltage: 240, voltage: volts })

const checks: readonly Check[] = [
  ['GF-1', 'v', 'UL 943 formula, 6 mA', () => trip(6), 5.594, 0.005],
  ['GF-2', 'v', 'UL 943 formula, 20 mA', () => trip(20), 1, 0.001],
  ['GF-3', 'v', 'UL 943 formula, 100 mA', () => trip(100), 0.1001, 0.005],
  ['GF-4', 'v', 'UL 943 formula, 264 mA', () => trip(264), 0.025, 0.01],
  ['SV-5', 'd', 'open neutral, 12 and 48 ohm: L1-N', () => openNeutral({ ohmL1: 12, ohmL2: 48, volts: 240 }).l1, 48, 0.001],
  ['SV-5', 'd', 'the same: L2-N', () => openNeutral({ ohmL1: 12, ohmL2: 48, volts: 240 }).l2, 192, 0.001],
  ['SV-6', 'd', 'open neutral, 1500 and 100 W', () => openNeutral({ ohmL1: 9.6, ohmL2: 144, volts: 240 }).l1, 15, 0.005],
  ['SV-6', 'd', 'the same: L2-N', () => openNeutral({ ohmL1: 9.6, ohmL2: 144, volts: 240 }).l2, 225, 0.005],
  ['SV-10', 'd', 'sum ratio of a wye', () => sumRatio({ l1n: 120, l2n: 120, l1l2: 208 }), 1.154, 0.005],
  ['HT-1', 'v', '5500 W / 240 V at 208 V', () => at(5500, 208), 4131, 0.001],
  ['HT-2', 'v', '1000 W / 240 V at 208 V', () => at(1000, 208), 751.1, 0.001],
  ['HT-3', 'v', 'share at 120 V', () => at(1, 120), 0.25, 0.001],
  ['HT-4', 'v', '4500 W, 240 V, ohm', () => elementResistance(4500, 240), 12.8, 0.001],
  ['HT-4', 'v', 'the same, A', () => elementCurrent(4500, 240), 18.75, 0.001],
  ['HT-5', 'v', '12.8 ohm at 208 V, A', () => 208 / elementResistance(4500, 240), 16.25, 0.001],
  ['HT-5', 'v', 'the same, W', () => at(4500, 208), 3380, 0.001],
  ['HT-6', 'd', '5500 W, 240 V, ohm', () => elementResistance(5500, 240), 10.47, 0.002],
  ['HT-6', 'd', 'the same, A', () => elementCurrent(5500, 240), 22.92, 0.002],
  ['HT-7', 'd', '5500 W / 240 V at 220 V', () => at(5500, 220), 4621, 0.001],
  ['HT-7', 'd', 'at 230 V', () => at(5500, 230), 5051, 0.001],
  ['HT-8', 'v', '4800 W, 240 V, ohm', () => elementResistance(4800, 240), 12, 1e-12],
  ['IR-1', 'd', '120 V over 1 Mohm, mA', () => leakage(1e6) * 1000, 0.12, 0.01],
  ['IR-2', 'd', '120 V over 30 kohm, mA', () => leakage(30_000) * 1000, 4, 0.01],
  ['IR-2', 'd', '120 V over 20 kohm, mA', () => leakage(20_000) * 1000, 6, 0.01],
  ['IR-3', 'd', '50 kohm, pump 1.0 and blower 0.8 mA', () => leakage(50_000) * 1000 + 1.8, 4.2, 0.02],
  ['CA-2', 'v', 'under load, 6.0 A at 370 V, µF', () => capacitanceUnderLoad({ ampere: 6, volts: 370, hertz: 60 }) * 1e6, 43, 0.005],
  ['CA-3', 'd', '40 µF, 15 kohm, 339 to 50 V, s', () => dischargeTime({ farad: 40e-6, ohm: 15_000, from: 339, to: 50 }), 1.15, 0.02],
  ['CA-4', 'd', '30 µF at 523 V peak, J', () => capacitorEnergy(30e-6, 370 * Math.SQRT2), 4.11, 0.01],
  ['RE-2', 'd', 'contact drop limit, 240 V', () => contactDropLimit(240), 7.2, 0.0139],
  ['RE-3', 'd', 'contact heat, 7.2 V at 22.9 A', () => contactHeat(7.2, 22.9), 165, 0.01],
  ['WI-1', 'v', '12 AWG, 20 A, 100 ft, K 12.9', () => voltageDropByMils({ feet: 100, mils: 6530, ampere: 20 }), 7.9, 0.01],
  ['WI-2', 'v', '8 AWG, 20 A, 100 ft', () => voltageDropByMils({ feet: 100, mils: 16_510, ampere: 20 }), 3.1, 0.01],
  ['WI-3', 'v', '4.99 ohm per 1000 ft, 4 A, 100 ft', () => voltageDrop({ feet: 100, ohmPerThousand: 4.99, ampere: 4 }), 3.992, 0.01],
  ['WI-4', 'd', '8 AWG, 40 A, 100 ft', () => voltageDrop({ feet: 100, ohmPerThousand: GAUGES[8]?.kohm ?? 0, ampere: 40 }), 6.224, 0.005],
  ['WI-5', 'd', '6 AWG, 50 A, 150 ft', () => voltageDrop({ feet: 150, ohmPerThousand: GAUGES[6]?.kohm ?? 0, ampere: 50 }), 7.365, 0.005],
  ['WI-6', 'd', '6 AWG, 48 A, 75 ft', () => voltageDrop({ feet: 75, ohmPerThousand: GAUGES[6]?.kohm ?? 0, ampere: 48 }), 3.535, 0.005],
  ['WI-7', 'd', 'K from the table', () => ((GAUGES[12]?.kohm ?? 0) * (GAUGES[12]?.mils ?? 0)) / 1000, 12.93, 0.0077],
  ['WI-8', 'v', 'cold resistance, 20 degC', () => resistanceShare(20), 0.822, 0.0024],
  ['WI-11', 'v', '5500 W continuous, A', () => continuous(elementCurrent(5500, 240)), 28.6, 0.005],
  ['WI-12', 'd', '48 A continuous', () => continuous(48), 60, 1e-12],
]

/** A reading as it would come from the form. */
const volts = (si: number) => ({ quantity: 'voltage', typed: String(si), unit: 'V', si }) as const
const passed = (si: 0 | 1) => ({ quantity: 'count', typed: String(si), unit: '1', si }) as const
const proof = (readings: Readings, profile = 'split-240-3wire') =>
  EVALUATORS['proof-of-dead']?.evaluate(readings, { 'supply-profile': { slug: 'supply-profile', value: profile, source: 'label' } })
const dead: Readings = { 'board:L1-L2': volts(0), 'board:L1-G': volts(0), 'board:L2-G': volts(0) }
const outcomeOf = (result: ReturnType<typeof proof>): string => (result?.ok ? result.value.outcome : (result?.problem.code ?? 'none'))

describe('electricity keeps to published values', () => {
  test.each(checks)('%s [%s] %s', (_id, _mark, _source, actual, expected, share) => {
    expect(Math.abs(actual() - expected)).toBeLessThanOrEqual(Math.abs(expected) * share)
  })

  test('LO-1 [d] four conductors give six pairs', () => {
    expect(pairsOfProfile('split-240-4wire')).toEqual(['L1-L2', 'L1-N', 'L1-G', 'L2-N', 'L2-G', 'N-G'])
  })
  test('LO-2 [d] a 120 V cord gives H-N, H-G and N-G', () => {
    expect(pairsOfProfile('cord-120')).toEqual(['H-N', 'H-G', 'N-G'])
  })
  test('LO-3 [v] a tester that fails afterwards proves nothing', () => {
    expect(outcomeOf(proof({ ...dead, 'tester-before': passed(1), 'tester-after': passed(0) }))).toBe('not-proved')
  })
  test('LO-4 [v] live-dead-live proves the place where it was done', () => {
    const found = proof({ ...dead, 'tester-before': passed(1), 'tester-after': passed(1) })
    expect(outcomeOf(found)).toBe('zero')
    expect(found?.ok && found.value.reason).toContain('board')
  })
  test('LO-7 [v] a pen tester is rejected', () => {
    const pen = Object.fromEntries(
      Object.entries(dead).map(([name, reading]) => [name, { ...reading, instrument: 'pen-tester' }]),
    ) as Readings
    expect(outcomeOf(proof({ ...pen, 'tester-before': passed(1), 'tester-after': passed(1) }))).toBe('not-proved')
  })
  test('LO-9 [v] 177 and 358 V at a 120/240 V site make the meter doubtful, and never count as dead', () => {
    expect(classifyFeed({ l1n: 177, l2n: 177, l1l2: 358 })).toBe('meter-doubtful')
    expect(outcomeOf(proof({ ...dead, 'board:L1-L2': volts(358), 'tester-before': passed(1), 'tester-after': passed(1) }))).toBe('voltage')
  })

  test.each([
    ['SV-1', 'm', 240, 'A', 228, true],
    ['SV-1', 'm', 240, 'A', 227, false],
    ['SV-1', 'm', 240, 'A', 252, true],
    ['SV-1', 'm', 240, 'A', 253, false],
    ['SV-2', 'm', 240, 'B', 220, true],
    ['SV-2', 'm', 240, 'B', 219, false],
    ['SV-2', 'm', 240, 'B', 254, true],
    ['SV-2', 'm', 240, 'B', 255, false],
    ['SV-3', 'v', 120, 'A', 114, true],
    ['SV-3', 'v', 120, 'A', 126, true],
    ['SV-3', 'v', 120, 'A', 113, false],
  ] as const)('%s [%s] ANSI C84.1: %d V system, range %s, %d V', (_id, _mark, nominal, range, value, inside) => {
    expect(isInServiceRange({ nominal, range, volts: value })).toBe(inside)
  })
  test('SV-4 [v] a state rule takes 113 V and not 112 V', () => {
    expect([isInDeliveryRule(113), isInDeliveryRule(112)]).toEqual([true, false])
  })
  test.each([
    ['SV-7', { l1n: 96, l2n: 144, l1l2: 240, l1g: 120, l2g: 120 }, 'open-neutral'],
    ['SV-5', { l1n: 48, l2n: 192, l1l2: 240 }, 'open-neutral'],
    ['SV-6', { l1n: 15, l2n: 225, l1l2: 240 }, 'open-neutral'],
    ['SV-8', { l1n: 120, l2n: 120, l1l2: 208 }, 'wye-208'],
    ['SV-9', { l1n: 120, l2n: 120, l1l2: 0 }, 'same-leg-or-back-fed'],
    ['SV-11', { l1n: 120, l2n: 240, l1l2: 120, ng: 120 }, 'neutral-hot'],
    ['s.3', { l1n: 120, l2n: 120, l1l2: 240, l1g: 120, l2g: 120, ng: 0 }, 'healthy'],
    ['s.3', { l1n: 120, l2n: 2, l1l2: 118 }, 'leg-lost'],
    ['s.3', { l1n: 120, l2n: 120, l1l2: 240, l1g: 70, l2g: 165 }, 'ground-open'],
    ['s.3', { l1n: 0, l2n: 0, l1l2: 0 }, 'all-zero'],
    ['s.3', { l1n: NaN, l2n: 0, l1l2: 0 }, 'unclear'],
  ] as const)('%s [d] pattern %o is %s', (_id, measured, pattern) => {
    expect(classifyFeed(measured)).toBe(pattern)
  })
  test('open neutral, hot neutral and open ground stop the work', () => {
    expect(STOP_PATTERNS).toEqual(['open-neutral', 'neutral-hot', 'ground-open'])
  })

  test('GF-5 [v] UL 943: 3.9 holds, 5.0 may, 6.0 must trip', () => {
    expect([3.9, 5, 6].map((milli) => gfciBand(milli / 1000))).toEqual(['holds', 'either', 'must-trip'])
  })
  test.each([5, 300, 5.99, 264.1, NaN])('GF-6 [v] the formula says nothing at %d mA', (milli) => {
    const found = gfciTripTime(milli / 1000)
    expect(found.ok ? '' : found.problem.code).toBe('CALC_INPUT_OUT_OF_RANGE')
  })
  test('IR-3 [d] 4.2 mA of several small leaks may or may not trip', () => {
    expect(gfciBand(leakage(50_000) + 0.0018)).toBe('either')
  })
  test('IR-4 [v] the one-megohm rule fails 0.9 and passes 1.0 Mohm on 240 V', () => {
    expect([passesMegohmRule(0.9e6, 240), passesMegohmRule(1e6, 240)]).toEqual([false, true])
  })
  test('IR-5 [d] along an element: 120, 60 and 0 V to ground', () => {
    expect([0, 0.25, 0.5].map(voltsAlongElement)).toEqual([120, 60, 0])
  })

  test('WT-1 [v] 104.0 degF is allowed, 104.1 degF is not', () => {
    expect([isBathingAllowed(toSi(104, 'degF')), isBathingAllowed(toSi(104.1, 'degF'))]).toEqual([true, false])
  })
  test.each([
    [104, 40],
    [122, 50],
    [113, 45],
  ])('WT-4 [d] %d degF is %d degC', (fahrenheit, celsius) => {
    expect(Math.abs(toSi(fahrenheit, 'degF') - celsius)).toBeLessThanOrEqual(0.05)
  })
  test('WT-5 [v] a display at 104 degF may hide 108 degF and never makes the water safe', () => {
    expect(fromSi(toSi(104, 'degF') + DISPLAY_ALLOWANCE, 'degF')).toBeCloseTo(108, 6)
    const display = { quantity: 'temperature', typed: '104', unit: 'degF', si: toSi(104, 'degF'), instrument: 'display' } as const
    const found = EVALUATORS['water-limit']?.evaluate({ water: display }, {})
    expect(found?.ok && found.value.outcome).toBe('cannot-tell')
  })

  test('CA-1 [d] 30 µF ± 6 %', () => {
    expect([28.1, 28.2, 31.8, 31.9].map((micro) => isCapacitorGood({ farad: micro * 1e-6, rated: 30e-6, share: 0.06 }))).toEqual([
      false,
      true,
      true,
      false,
    ])
  })
  test('CA-5 [v] 60 V one minute after off fails the bleed figure, and is charged', () => {
    expect(meetsBleedRule(60)).toBe(false)
    const found = EVALUATORS['capacitor-discharged']?.evaluate({ capacitor: volts(60) }, {})
    expect(found?.ok && found.value.outcome).toBe('charged')
  })

  test('RE-1 [v] 20 V across a contact on 208 V is above the limit of 6.24 V', () => {
    expect(contactDropLimit(208)).toBeCloseTo(6.24, 9)
    expect(20 > contactDropLimit(208)).toBe(true)
  })
  test('RE-4 [d] command off with line voltage at the load is stuck', () => {
    expect(relayState({ commandOn: false, coil: false, line: 240, load: 240, across: 0 })).toBe('stuck')
  })
  test('RE-5 [v] closed reads 0 V, open reads line voltage', () => {
    expect(relayState({ commandOn: true, coil: true, line: 240, load: 239.9, across: 0.1 })).toBe('good')
    expect(relayState({ commandOn: true, coil: true, line: 240, load: 0, across: 240 })).toBe('contact-open')
    expect(relayState({ commandOn: true, coil: false, line: 240, load: 0, across: 240 })).toBe('control-fault')
    expect(relayState({ commandOn: false, coil: false, line: 240, load: 0, across: 240 })).toBe('off')
    expect(relayState({ commandOn: false, coil: false, line: 240, load: 120, across: 120 })).toBe('unclear')
  })

  test.each([
    [10, 30, 35, 30],
    [6, 55, 65, undefined],
  ])('WI-9, WI-10 [v] %d AWG copper: %d A at 60 degC, %d A at 75 degC', (gauge, at60, at75, most) => {
    expect(GAUGES[gauge]).toMatchObject({ ampacity60: at60, ampacity75: at75 })
    expect(GAUGES[gauge]?.most).toBe(most)
  })
  test('MO-1, MO-2 [v/d] a 230 V motor runs from 207 to 253 V: 208 is in, 205 is out', () => {
    const { low, high } = motorWindow(230)
    expect(low).toBeCloseTo(207, 9)
    expect(high).toBeCloseTo(253, 9)
    expect([208 >= low, 205 >= low]).toEqual([true, false])
  })
})
