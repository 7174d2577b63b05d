// The model keeps the books of energy, repeats itself from its seed and obeys the direction of cause and effect.
// Published numbers are in published-values.test.ts, faults in faults.test.ts.
import { describe, expect, test } from 'vitest'
import { advance, createTub, insertFault, isolate, nominalTub, restorePower } from './index.ts'
import type { Tub } from './index.ts'
import { heaterPowerW } from './plant.ts'
import { CHAMBER_JK, waterMassKg } from './physics.ts'
import { specificHeatJKgK } from './water.ts'

const DAY_S = 86_400

/** Heat held above 0 degC, J, summed on a fine grid: not the sum the model itself makes. */
function heatHeldJ(tub: Tub): number {
  const slices = 4000
  let joules = CHAMBER_JK * tub.chamberC + (tub.build.shellJK - CHAMBER_JK) * tub.waterC
  for (let at = 0; at < slices; at += 1) {
    joules += (waterMassKg(tub) * specificHeatJKgK(((at + 0.5) / slices) * tub.waterC) * tub.waterC) / slices
  }
  return joules
}

function netInJ({ ledger }: Tub): number {
  return ledger.heaterJ + ledger.pumpJ + ledger.sunJ - ledger.lossJ - ledger.evaporationJ
}

describe('energy', () => {
  test.each([
    ['three ordinary days', 'none', 3],
    ['a stuck heater to 80 degC and more', 'relay-stuck', 1],
    ['a heater with no flow', 'air-lock', 1],
    ['a jet pump that never stops', 'pump-stuck-on', 3],
  ] as const)('is conserved over %s', (_what, slug, days) => {
    const tub = createTub(11, { gallons: 250, waterC: 30 })
    insertFault(tub, slug)
    const before = heatHeldJ(tub)
    advance(tub, days * DAY_S)
    const stored = heatHeldJ(tub) - before
    const moved = tub.ledger.heaterJ + tub.ledger.pumpJ + tub.ledger.lossJ
    expect(Math.abs(stored - netInJ(tub)) / moved).toBeLessThan(1e-4)
  })
  test('is conserved with the cover off, where evaporation takes the larger share', () => {
    const tub = createTub(12)
    tub.cover = 'off'
    const before = heatHeldJ(tub)
    advance(tub, DAY_S)
    expect(Math.abs(heatHeldJ(tub) - before - netInJ(tub)) / tub.ledger.lossJ).toBeLessThan(1e-4)
    expect(tub.ledger.evaporationJ).toBeGreaterThan(0)
  })
  test('the element takes V squared over R for exactly as long as it is on', () => {
    const tub = nominalTub({ waterC: 30 })
    advance(tub, 600)
    const before = tub.ledger.heaterJ
    advance(tub, 3600)
    expect(tub.controller.symbol).toBe(true)
    expect(tub.ledger.heaterJ - before).toBeCloseTo(heaterPowerW(tub) * 3600, 3)
  })
})

describe('repetition', () => {
  test('the same seed gives the same tub, the same history and the same dice', () => {
    const [one, other] = [createTub(5), createTub(5)]
    for (const tub of [one, other]) {
      insertFault(tub, 'board-logic')
      advance(tub, DAY_S)
    }
    expect(one).toEqual(other)
    expect(createTub(6).build.uaWK).not.toBe(one.build.uaWK)
  })
  test('a copied tub runs on like its original', () => {
    const tub = createTub(8)
    insertFault(tub, 'plug-corroded')
    advance(tub, 5000)
    const copy = structuredClone(tub)
    advance(tub, 5000)
    advance(copy, 5000)
    expect(copy).toEqual(tub)
  })
  test('half the step changes a day of a heating tub by less than 0.05 K', () => {
    const [coarse, fine] = [nominalTub({ waterC: 36 }), nominalTub({ waterC: 36 })]
    advance(coarse, DAY_S, 30)
    advance(fine, DAY_S, 15)
    expect(Math.abs(coarse.waterC - fine.waterC)).toBeLessThan(0.05)
  })
})

describe('a healthy tub', () => {
  test.each([1, 2, 3, 4, 5, 6])('holds its set point for a week in cool weather, seed %d', (seed) => {
    const tub = createTub(seed)
    const seen: number[] = []
    for (let hour = 0; hour < 168; hour += 1) {
      advance(tub, 3600)
      seen.push(tub.waterC - tub.settings.setC)
    }
    // Sensor 0.41 K, hysteresis 0.56 K, and half an hour of rest between two looks at the water.
    expect(Math.max(...seen)).toBeLessThan(0.7)
    expect(Math.min(...seen)).toBeGreaterThan(-1.3)
    expect(tub.controller.message).toBe('none')
  })
  test('a day-night swing of 8 K moves a resting tub by 0.22 K, not more (heat-sensors-water 3.1)', () => {
    const tub = nominalTub({ swingC: 8, meanC: 38, waterC: 38 })
    tub.feed.isolated = true
    advance(tub, 10 * DAY_S)
    const seen = Array.from({ length: 48 }, () => {
      advance(tub, 1800)
      return tub.waterC
    })
    expect(Math.abs((Math.max(...seen) - Math.min(...seen)) / 2 - 0.22)).toBeLessThan(0.01)
  })
  test('more volts never give less heat', () => {
    const watts = [0.85, 0.9, 0.95, 1, 1.05].map((siteLevel) => {
      const tub = nominalTub({ siteLevel })
      insertFault(tub, 'relay-stuck')
      return heaterPowerW(tub)
    })
    expect(watts).toEqual(watts.toSorted((one, other) => one - other))
  })
  test('the over-temperature cut-out stops pump and heat, says so, and lets go when the water has cooled', () => {
    const tub = nominalTub({ waterC: 44.5, meanC: 5, circulation: 'always' })
    advance(tub, 120)
    expect(tub.controller).toMatchObject({ message: 'over-temperature', symbol: false })
    expect(tub.pump).toBe('off')
    Object.assign(tub, { waterC: 41, pipeC: 41, chamberC: 41 })
    advance(tub, 120)
    expect(tub.controller.message).toBe('none')
    expect(tub.pump).toBe('low')
  })
  test('the cut-out cannot stop what does not obey: a welded relay heats on, a welded pump output runs on', () => {
    const tub = nominalTub({ waterC: 44.5 })
    insertFault(tub, 'relay-stuck')
    insertFault(tub, 'pump-stuck-on', { variant: 'low' })
    advance(tub, 600)
    expect(tub.controller.heaterCommand).toBe(false)
    expect(tub.pump).toBe('low')
    expect(tub.heaterW).toBeGreaterThan(5000)
  })
  test('a broken sensor circuit stops the heat with a message', () => {
    const tub = nominalTub({ waterC: 30 })
    tub.sensors.temperature.plugSeriesOhm = 1e7
    advance(tub, 3600)
    expect(tub.controller.message).toBe('sensor')
    expect(tub.heaterW).toBe(0)
  })
  test('loses power whole, and primes its pump before it heats again', () => {
    const tub = nominalTub({ waterC: 35 })
    advance(tub, 900)
    expect([tub.pump, tub.controller.symbol]).toEqual(['low', true])
    isolate(tub)
    expect([tub.pump, tub.controller.symbol, tub.heaterW]).toEqual(['off', false, 0])
    tub.feed.isolated = false
    advance(tub, 60)
    expect([tub.pump, tub.controller.symbol]).toEqual(['low', false])
    restorePower(tub)
    advance(tub, 300)
    expect(tub.controller.symbol).toBe(true)
  })
  test('a separate limit opens the heater line when the heater chamber boils dry of flow', () => {
    const tub = nominalTub({ separateLimit: true })
    insertFault(tub, 'relay-stuck')
    insertFault(tub, 'air-lock')
    advance(tub, 3600)
    expect(tub.heater.separateLimitOpen).toBe(true)
    expect(tub.heaterW).toBe(0)
  })
})
