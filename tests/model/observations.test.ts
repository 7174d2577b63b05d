// What people and instruments report: errors within their stated limits, hazards recorded, repairs that cure their own
// fault and no other. Limits of instruments carry the marks given in instruments.ts.
import { describe, expect, test } from 'vitest'
import * as model from './index.ts'
import type { FaultSlug } from './index.ts'
import { readHouseKw, readOhm, readThermometerC } from './instruments.ts'

const SEEDS = Array.from({ length: 40 }, (_, at) => at + 1)

describe('instruments', () => {
  test('thermometers differ from each other by up to 1 K, one repeats itself to a few tenths', () => {
    const offsets = SEEDS.map((seed) => {
      const tub = model.createTub(seed)
      const readings = Array.from({ length: 30 }, () => readThermometerC(tub, 38))
      expect(Math.max(...readings) - Math.min(...readings)).toBeLessThan(0.9)
      return readings.reduce((sum, value) => sum + value, 0) / readings.length - 38
    })
    expect(Math.max(...offsets.map(Math.abs))).toBeLessThan(1.1)
    expect(Math.max(...offsets.map(Math.abs))).toBeGreaterThan(0.7)
  })
  test('an ohmmeter stays within 0.9 % and 2 counts (heat-sensors-water section 7)', () => {
    for (const seed of SEEDS) {
      for (const [ohm, count] of [
        [10.47, 0.1],
        [5325, 10],
        [100_000, 100],
      ] as const) {
        const shown = readOhm(model.createTub(seed), ohm) ?? Number.NaN
        expect(Math.abs(shown - ohm)).toBeLessThanOrEqual(0.009 * ohm + 2.5 * count)
      }
    }
  })
  test('insulation of a good element is "no reading" or megohms, a leaking one shows a steady number', () => {
    const tub = model.nominalTub()
    model.isolate(tub)
    expect(model.elementToGround(tub)).toEqual({ ohmmeterOhm: null, insulationMegohm: expect.closeTo(1000, -2) as number })
    tub.heater.elementToGroundOhm = 24_000
    expect(Math.abs((model.elementToGround(tub).ohmmeterOhm ?? 0) - 24_000)).toBeLessThan(100)
  })
  test('a 5.5 kW heater stands out on the house meter, a 1 kW heater drowns in a busy house', () => {
    const readings = (supply: 'split-240-4wire' | 'cord-120', slug: FaultSlug, house: 'quiet' | 'busy'): number[] =>
      SEEDS.map((seed) => {
        const tub = model.nominalTub({ seed, supply, waterC: 37.9 })
        model.insertFault(tub, slug)
        model.advance(tub, 120)
        return readHouseKw(tub, house)
      })
    expect(Math.min(...readings('split-240-4wire', 'relay-stuck', 'quiet'))).toBeGreaterThan(5)
    expect(Math.max(...readings('split-240-4wire', 'none', 'quiet'))).toBeLessThan(1.5)
    expect(Math.max(...readings('cord-120', 'none', 'busy'))).toBeGreaterThan(Math.min(...readings('cord-120', 'relay-stuck', 'busy')))
  })
  test('the heater lead carries 22.9 A when asked to heat and nothing a clamp can tell from zero when not', () => {
    const tub = model.nominalTub({ waterC: 30 })
    model.advance(tub, 900)
    expect(Math.abs(model.liveHeater(tub).amps - 22.9)).toBeLessThan(0.6)
    expect(model.heaterWithDemandOff(tub).amps).toBeLessThanOrEqual(0.5)
  })
})

describe('proof of dead', () => {
  test('isolated is below 1 V on every pair, fed is line voltage', () => {
    const tub = model.createTub(3)
    model.advance(tub, 60)
    expect(model.proofVoltages(tub).volts['L1-L2']).toBeGreaterThan(225)
    model.isolate(tub)
    const proof = model.proofVoltages(tub)
    expect(Object.keys(proof.volts)).toHaveLength(6)
    expect(Math.max(...Object.values(proof.volts))).toBeLessThan(1)
    expect([proof.provedBefore, proof.provedAfter]).toEqual([true, true])
  })
  test('a second feed is there on L2 only, and the board is off all the same', () => {
    const tub = model.nominalTub({ leftover: 'second-feed' })
    model.isolate(tub)
    const { volts } = model.proofVoltages(tub)
    expect(volts['L1-N']).toBeLessThan(1)
    expect(volts['L2-N']).toBeGreaterThan(110)
    expect(volts['L1-L2']).toBeGreaterThan(110)
    expect(model.displayReading(tub)).toBeNull()
    model.removeLeftoverFeed(tub)
    expect(model.proofVoltages(tub).volts['L2-N']).toBeLessThan(1)
  })
  test('the wrong device opened leaves everything live', () => {
    const tub = model.nominalTub({ leftover: 'wrong-device-opened' })
    model.isolate(tub)
    expect(model.proofVoltages(tub).volts['L1-L2']).toBeGreaterThan(230)
    expect(model.displayReading(tub)).not.toBeNull()
  })
  test('a tester that dies shows zero on a live box, and only its second proof tells', () => {
    const tub = model.nominalTub({ leftover: 'wrong-device-opened' })
    tub.tools.testerDies = true
    model.isolate(tub)
    const proof = model.proofVoltages(tub)
    expect(Math.max(...Object.values(proof.volts))).toBe(0)
    expect(proof.provedAfter).toBe(false)
  })
  test('hands in a live box are recorded, in a dead one they are not', () => {
    const tub = model.nominalTub()
    model.isolate(tub)
    model.deadLook(tub)
    model.sensorResistance(tub, 'temperature')
    expect(tub.exposures).toEqual([])
    model.restorePower(tub)
    model.relayContacts(tub)
    expect(tub.exposures.map(({ what, act }) => [what, act])).toEqual([['live-box', 'relay contacts']])
  })
  test('a hand in water of 45 degC is recorded', () => {
    const tub = model.nominalTub({ waterC: 45 })
    model.returnFlow(tub)
    expect(tub.exposures.map(({ what }) => what)).toEqual(['hot-water'])
  })
})

describe('looks', () => {
  test('the same tub looks the same twice; tubs with welded relays are burnt about as often as the trade expects', () => {
    const looks = Array.from({ length: 400 }, (_, seed) => {
      const tub = model.nominalTub({ seed })
      model.insertFault(tub, 'relay-stuck')
      model.isolate(tub)
      const first = model.deadLook(tub)
      expect(model.deadLook(tub)).toBe(first)
      return first
    })
    expect(Math.abs(looks.filter((look) => look === 'burnt').length / 400 - 0.45)).toBeLessThan(0.08)
  })
  test('a weld that lets go when cold reads open on the bench and welds again on the next demand', () => {
    const tub = model.nominalTub({ weldsLetGo: true, waterC: 38 })
    model.insertFault(tub, 'relay-stuck')
    model.advance(tub, 60)
    expect(tub.heaterW).toBeGreaterThan(5000)
    model.isolate(tub)
    expect(model.relayContacts(tub).every(({ ohm }) => ohm !== null && ohm < 1)).toBe(true)
    model.pass(tub, 30)
    expect(model.relayContacts(tub).every(({ ohm }) => ohm === null)).toBe(true)
    model.restorePower(tub)
    expect(model.heatOffTrial(tub).truth).toBe(true)
    tub.waterC = 36
    expect(model.heatOnTrial(tub).truth).toBe(true)
    expect(model.heatOffTrial(tub).truth).toBe(false)
  })
  test("weather comes back as it was, within a person's error", () => {
    const tub = model.createTub(4, { meanC: 24, swingC: 6, dayToDayK: 0 })
    expect(Math.abs(model.airWeekMean(tub) - 24)).toBeLessThan(2)
    expect(Math.abs(model.nightLow(tub) - 18)).toBeLessThan(2)
    expect(model.airWeekMean(tub)).toBe(model.airWeekMean(tub))
  })
  test('an observer with slips is sometimes wrong', () => {
    const seen = Array.from({ length: 300 }, (_, seed) => model.heatingSymbol(model.nominalTub({ seed, slips: 0.1 })))
    const wrong = seen.filter((symbol) => symbol === 'on').length
    expect(wrong).toBeGreaterThan(10)
    expect(wrong).toBeLessThan(60)
  })
  test('the ground-fault test button trips and resets, and the tub starts afresh', () => {
    const tub = model.nominalTub()
    expect(model.gfciTestButton(tub)).toBe('trips-and-resets')
    tub.feed.gfci.health = 'does-not-trip'
    expect(model.gfciTestButton(tub)).toBe('does-not-trip')
  })
})

describe('before and after the covers close', () => {
  test('a dead feed shows the transformer alone; with welded poles the element lies across it', () => {
    const [good, welded] = [model.nominalTub(), model.nominalTub()]
    model.insertFault(welded, 'relay-stuck')
    welded.heater.elementToGroundOhm = 30_000
    for (const tub of [good, welded]) model.isolate(tub)
    expect(model.deadFeed(good).lineToLineOhm).toBeGreaterThan(40)
    expect(model.deadFeed(good).hotToGroundOhm).toEqual([null, null])
    expect(model.deadFeed(welded).lineToLineOhm).toBeLessThan(10)
    expect(model.deadFeed(welded).hotToGroundOhm.every((ohm) => ohm !== null && ohm < 31_000)).toBe(true)
  })
  test('the output walk hears low as low, unless the leads are swapped or an output is welded', () => {
    const walk = (slug: FaultSlug, variant: string): unknown => {
      const tub = model.nominalTub({ filterCycles: [] })
      model.insertFault(tub, slug, { variant })
      tub.settings.filterCycles = []
      return model.outputWalk(tub)
    }
    expect(walk('none', '')).toEqual({ low: 'low', high: 'high', off: 'off' })
    expect(walk('config-wrong', 'speed-leads')).toEqual({ low: 'high', high: 'low', off: 'off' })
    expect(walk('pump-stuck-on', 'high')).toEqual({ low: 'high', high: 'high', off: 'high' })
  })
})

describe('the heater comparison', () => {
  test('with a stuck relay the connected run is faster by the heater, without one both are alike', () => {
    for (const [slug, extraK] of [
      ['relay-stuck', 3.6],
      ['none', 0],
    ] as const) {
      const tub = model.nominalTub({ waterC: 36 })
      model.insertFault(tub, slug)
      const { without, connected } = model.heaterOutComparison(tub, { minutes: 60, every: 30 })
      const riseK = (points: typeof without.points): number => (points.at(-1)?.thermometerC ?? 0) - (points[0]?.thermometerC ?? 0)
      expect(Math.abs(riseK(connected.points) - riseK(without.points) - extraK)).toBeLessThan(0.25)
      expect(tub.exposures).toEqual([])
    }
  })
})
