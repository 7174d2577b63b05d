// Every fault shows itself as the trade says, and through the physics only: nothing here asks for a label.
// Which faults make the tub hot, and how, is from heat-sensors-water 3.4 and trade B1-B2; sizes are those drawn.
import { describe, expect, test } from 'vitest'
import * as model from './index.ts'
import type { FaultForm, FaultSlug, Plan, Tub } from './index.ts'

const HOUR_S = 3600
const SEEDS = [1, 2, 3, 4, 5, 6, 7, 8]

function faulty(slug: FaultSlug, changes: Partial<Plan> = {}, form: FaultForm = {}): Tub {
  const tub = model.nominalTub(changes)
  model.insertFault(tub, slug, form)
  return tub
}

function run(tub: Tub, hours: number): Tub {
  model.advance(tub, hours * HOUR_S)
  return tub
}

/** Display minus thermometer, K, after circulating. */
function displayGapK(tub: Tub): number {
  const { displayF, thermometerC } = model.thermometerAndDisplay(tub)
  return ((displayF ?? Number.NaN) - 32) / 1.8 - thermometerC
}

describe('heat nobody asked for', () => {
  test('a stuck relay runs away: a straight line of about 3.6 K/h with the symbol off, at any season', () => {
    for (const meanC of [-5, 10, 30]) {
      const tub = faulty('relay-stuck', { meanC, waterC: 38 })
      const { points, circulatedOnLow } = model.riseSeries(tub, { demandOff: true, minutes: 90, every: 30 })
      const steps = points.slice(1).map((point, at) => point.thermometerC - (points[at]?.thermometerC ?? 0))
      expect(circulatedOnLow).toBe(true)
      expect(points.every((point) => point.symbol === 'off')).toBe(true)
      for (const step of steps) expect(Math.abs(step - 1.75)).toBeLessThan(0.25)
    }
  })
  test('a stuck relay passes 50 degC and goes on, because its balance lies above boiling (3.4)', () => {
    expect(run(faulty('relay-stuck', { meanC: 10 }), 5).waterC).toBeGreaterThan(50)
  })
  test('creep flattens: each day adds less than the day before, and never 0.2 K in an hour (3.4)', () => {
    const tub = faulty('heat-creep', { setC: 37, waterC: 37 })
    const days = Array.from({ length: 8 }, () => run(tub, 24).waterC)
    const gains = days.map((waterC, at) => waterC - (days[at - 1] ?? 37))
    for (let at = 1; at < gains.length; at += 1) expect(gains[at]).toBeLessThan(gains[at - 1] ?? 0)
    expect(gains[0]).toBeGreaterThan(0.2)
    expect(Math.max(...gains) / 24).toBeLessThan(0.2)
    expect(days.at(-1)).toBeGreaterThan(38.5)
  })
  test('creep goes with the weather: the same tub in cool air stays at its set point', () => {
    const tub = faulty('heat-creep', { setC: 37, waterC: 37 })
    tub.weather.meanC = 5
    expect(run(tub, 96).waterC).toBeLessThan(37.3)
  })
  test('filtration all day overheats where four hours a day do not', () => {
    const long = faulty('filter-hours', { setC: 37, waterC: 37 }, { variant: 'all-day' })
    const short = model.nominalTub({ setC: 37, waterC: 37, meanC: long.weather.meanC })
    expect(run(long, 96).waterC).toBeGreaterThan(38)
    expect(run(short, 96).waterC).toBeLessThan(37.3)
  })
  test('a jet pump that never stops carries 0.63 K/h into a tub at 40 degC under air of 25 degC (3.4)', () => {
    const tub = faulty('pump-stuck-on', { meanC: 25, waterC: 39.7, setC: 37 }, { variant: 'high' })
    const startC = run(tub, 0.2).waterC
    expect(Math.abs(run(tub, 1).waterC - startC - 0.63)).toBeLessThan(0.02)
    expect(model.pumpBehaviour(tub)).toMatchObject({ heard: 'high', expected: 'off', asExpected: false })
  })
  test('swapped speed leads heat in filter hours and are a mismatch on the label', () => {
    const tub = faulty('config-wrong', {}, { variant: 'speed-leads' })
    tub.clockS = 9 * HOUR_S + 20 * 86_400
    expect(model.pumpBehaviour(run(tub, 0.1))).toMatchObject({ heard: 'high', expected: 'low' })
    model.isolate(tub)
    expect(model.switchesMatch(tub)).toBe('mismatch')
  })
  test('a shorted heater output heats with the symbol off, and its contacts are open on the bench', () => {
    const tub = faulty('board-logic', { meanC: 10 }, { variant: 'output-on' })
    const live = model.heaterWithDemandOff(tub)
    expect(model.heatingSymbol(tub)).toBe('off')
    expect(live.amps).toBeGreaterThan(20)
    model.isolate(tub)
    expect(model.relayContacts(tub).map(({ ohm }) => ohm)).toEqual([null, null])
  })
  test('one welded pole of two gives no current and no heat, but a live element', () => {
    const tub = faulty('relay-one-pole')
    const startJ = run(tub, 1).ledger.heaterJ
    const live = model.heaterWithDemandOff(tub)
    expect(live.amps).toBeLessThanOrEqual(0.5)
    expect(live.volts.across).toBeLessThan(1)
    expect(live.volts.firstToGround).toBeGreaterThan(110)
    expect(run(tub, 1).ledger.heaterJ).toBe(startJ)
    model.isolate(tub)
    expect(model.relayContacts(tub).filter(({ ohm }) => ohm !== null)).toHaveLength(1)
  })
})

describe('a control that believes cold', () => {
  const cases: [FaultSlug, FaultForm][] = [
    ['plug-corroded', { size: 500 }],
    ['tsensor-bad', { size: 0.1 }],
    ['tsensor-seat', { size: 0.88 }],
    ['config-wrong', { variant: 'sensor-type' }],
    ['board-logic', { variant: 'misreads', size: 2.2 }],
  ]
  test.each(cases)('%s: the water ends about 2 K above its set point while the display shows the set point', (slug, form) => {
    const tub = faulty(slug, { meanC: 18, waterC: 34, setC: 38 }, form)
    run(tub, 8)
    expect(tub.waterC - 38).toBeGreaterThan(1.4)
    expect(tub.waterC - 38).toBeLessThan(3.2)
    expect(displayGapK(tub)).toBeLessThan(-1.4)
    expect(Math.abs((model.displayReading(tub) ?? 0) - 100)).toBeLessThanOrEqual(2)
    // Nothing heats once it is told to stop.
    const { points } = model.riseSeries(tub, { demandOff: true, minutes: 60, every: 30 })
    expect((points.at(-1)?.thermometerC ?? 99) - (points[0]?.thermometerC ?? 0)).toBeLessThan(0.15)
  })
  test('a corroded plug is invisible on the unplugged sensor; a drifted sensor is not', () => {
    const [plug, drift] = [faulty('plug-corroded', {}, { size: 800 }), faulty('tsensor-bad', {}, { size: 0.15 })]
    for (const tub of [plug, drift]) model.isolate(tub)
    expect(Math.abs((model.sensorResistance(plug, 'temperature', 40) ?? 0) - 5325)).toBeLessThan(60)
    expect(model.sensorResistance(drift, 'temperature', 40)).toBeGreaterThan(5900)
  })
  test('a wet plug reads hot and leaves the water cold', () => {
    const tub = run(faulty('plug-corroded', { waterC: 34, setC: 38, meanC: 5 }, { variant: 'leak', size: 40_000 }), 10)
    expect(tub.waterC).toBeLessThan(36)
    expect(displayGapK(tub)).toBeGreaterThan(1.5)
  })
  test('a loose sensor follows the cabinet: the colder the cabinet, the hotter the water', () => {
    const ends = [25, 10, -5].map((meanC) => run(faulty('tsensor-seat', { meanC, waterC: 36 }, { size: 0.9 }), 12).waterC)
    expect(ends).toEqual(ends.toSorted((one, other) => one - other))
  })
})

describe('the heater side', () => {
  test.each(['flow-low', 'air-lock', 'circ-pump-weak'] as const)('%s gives a flow message and never a hot tub', (slug) => {
    const form = slug === 'flow-low' ? { size: 35 } : slug === 'circ-pump-weak' ? { size: 0.2 } : {}
    const tub = run(faulty(slug, { waterC: 35 }, form), 12)
    expect(model.panelMessage(tub)).toBe('flow')
    expect(tub.waterC).toBeLessThan(35.5)
    expect(model.returnFlow(tub)).not.toBe('strong')
  })
  test('only a dirty filter is helped by taking the filter out', () => {
    expect(model.filterOutImproves(run(faulty('flow-low', {}, { size: 12 }), 0.1))).toBe('improves')
    for (const slug of ['none', 'circ-pump-weak', 'air-lock'] as const) {
      expect(model.filterOutImproves(run(faulty(slug, {}, slug === 'circ-pump-weak' ? { size: 0.4 } : {}), 0.1))).toBe('no-change')
    }
  })
  test('a bad high-limit sensor stops the heater of a cool tub', () => {
    const tub = run(faulty('highlimit-sensor-bad', { waterC: 36 }, { size: 0.4 }), 1)
    expect(model.panelMessage(tub)).toBe('heater-too-hot')
    expect(tub.waterC).toBeLessThan(38)
    model.isolate(tub)
    expect(model.sensorResistance(tub, 'high-limit', 40)).toBeLessThan(3400)
    expect(Math.abs((model.sensorResistance(tub, 'temperature', 40) ?? 0) - 5325)).toBeLessThan(30)
  })
  test('a set point that is not what the customer thinks is on the settings sheet, and nothing else is wrong', () => {
    const tub = faulty('set-mode', { setC: 36, believedSetC: 36 }, { size: 3 })
    expect(model.settings(run(tub, 24)).differs).toEqual(['set-point'])
    expect(tub.waterC - tub.settings.believedSetC).toBeGreaterThan(2)
    expect(Math.abs(tub.waterC - tub.settings.setC)).toBeLessThan(1)
  })
})

describe('complaints', () => {
  test.each(SEEDS)('nothing wrong, nobody calls, seed %d', (seed) => {
    const tub = model.createTub(seed)
    model.insertFault(tub, 'none')
    expect(model.bringToComplaint(tub, { maxDays: 6 }).kind).toBe('none')
  })
  const hot: FaultSlug[] = [
    'heat-creep',
    'filter-hours',
    'set-mode',
    'tsensor-bad',
    'tsensor-seat',
    'plug-corroded',
    'pump-stuck-on',
    'relay-stuck',
  ]
  test.each(hot)('%s makes most tubs hot enough to call about', (slug) => {
    const hotTubs = SEEDS.filter((seed) => {
      const tub = model.createTub(seed)
      model.insertFault(tub, slug)
      model.bringToComplaint(tub)
      model.pass(tub, 120)
      return tub.waterC > tub.settings.believedSetC + 1
    })
    expect(hotTubs.length).toBeGreaterThanOrEqual(7)
  })
  test('every fault can be put into every kind of feed, except one welded pole where only one is switched', () => {
    for (const supply of ['split-240-4wire', 'split-240-3wire', 'wye-208-4wire', 'cord-120'] as const) {
      for (const slug of model.FAULT_SLUGS) run(faulty(slug, { supply }), 1)
    }
    expect(() => faulty('relay-one-pole', { switchedPoles: 1 })).toThrow(RangeError)
  })
})
