// Jobs on model tubs from the call to the ending: does the program find what was put in, without hurting anybody or wasting parts?
// The tub, its faults and its instruments are tests/model; the people who answer are technician.ts beside this file.
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { cleanPlug, isolate, replaceBoard, reseat } from '../model/index.ts'
import type { FaultSlug } from '../model/index.ts'
import { BOARD_FAULTS, stillOverheats } from './job-outcome.ts'
import { missesOf, openShop, playMany, rowOf, tableOf } from './model-runs.ts'
import type { Finished, Row, Shop } from './model-runs.ts'
import { setUpScene } from './scenario.ts'

const FIRST = Number(process.env['MODEL_SEED'] ?? 1)
const JOBS = 30

/**
 * Least shares of jobs in which the fault is named, and in which the right repair was made and proved in the same job.
 * Each is what was measured with seeds 1 to 30, less 0.1 for other draws. Two things lower every proof: the set point of
 * the heat-on run is often reached before the run ends, and demand cannot be seen to cycle without a house meter.
 */
const FLOORS: { readonly [fault in FaultSlug]?: { readonly named: number; readonly proved: number } } = {
  // Low because: welds that let go when cold, and a sound element of 10 to 20 Mohm, end at a senior.
  'relay-stuck': { named: 0.66, proved: 0.16 },
  // Low because: a demand that never ends has no result of its own.
  'board-logic': { named: 0.53, proved: 0.16 },
  // Low because: without the curve of the maker most drifts stay unclear.
  'tsensor-bad': { named: 0.36, proved: 0 },
  'tsensor-seat': { named: 0.9, proved: 0.33 },
  // Low because: after cleaning, "too close to call" ends the comparison.
  'plug-corroded': { named: 0.63, proved: 0.16 },
  'highlimit-sensor-bad': { named: 0.9, proved: 0.13 },
  // Low because: weather that may explain it ends as nothing found.
  'heat-creep': { named: 0.3, proved: 0.23 },
  // Low because: as heat-creep.
  'filter-hours': { named: 0.3, proved: 0.23 },
  // Low because: on site a wrong setting is noted and left.
  'set-mode': { named: 0.86, proved: 0.46 },
  // Low because: cold weather seems to explain a pump.
  'pump-stuck-on': { named: 0.86, proved: 0.16 },
  // Low because: a sensor of another family goes to a senior.
  'config-wrong': { named: 0.76, proved: 0 },
  // Low because: on the phone it is handed to the flow of weak circulation.
  'flow-low': { named: 0.9, proved: 0 },
  // Low because: as flow-low.
  'air-lock': { named: 0.9, proved: 0.03 },
}
const FAULTS = Object.keys(FLOORS) as FaultSlug[]

let shop: Shop
const rows: Row[] = []
const all: Finished[] = []

beforeAll(async () => {
  shop = await openShop()
})
afterAll(async () => {
  process.stdout.write(`\nseeds from ${FIRST}\n${tableOf(rows)}\n`)
  if (process.env['MODEL_MISSES'] !== undefined) process.stdout.write(`${missesOf(all).join('\n')}\n`)
  await shop.server.close()
})

describe('a fault that was put in', () => {
  test.each(FAULTS)('%s is found and mended as often as it was measured', { timeout: 60_000 }, async (fault) => {
    const jobs = await playMany(shop, fault, { first: FIRST, jobs: JOBS })
    const row = rowOf(fault, jobs)
    rows.push(row)
    all.push(...jobs)
    const floor = FLOORS[fault] ?? { named: 1, proved: 1 }
    expect(row.named / row.jobs, `${fault} named`).toBeGreaterThanOrEqual(floor.named)
    expect(row.proved / row.jobs, `${fault} proved`).toBeGreaterThanOrEqual(floor.proved)
  })

  test('shows in the model until its own repair is made', () => {
    for (const fault of ['relay-stuck', 'plug-corroded', 'tsensor-seat'] as const) {
      const scenario = setUpScene(fault, 9, shop.clock)
      if (scenario === undefined) throw new Error(`${fault} 9 makes nobody call`)
      const { tub } = scenario.scene
      expect(stillOverheats(tub), fault).toBe(true)
      isolate(tub)
      if (fault === 'relay-stuck') replaceBoard(tub, 'as-old')
      else if (fault === 'plug-corroded') cleanPlug(tub)
      else reseat(tub)
      expect(stillOverheats(tub), `${fault} mended`).toBe(false)
    }
  })

  test('is never said to be mended while the tub still overheats', () => {
    expect(seedsOf(all.filter(({ judged }) => judged.falseProof))).toEqual([])
  })

  test('never puts a hand into a live box, hot water or an open intake', () => {
    expect(seedsOf(all.filter(({ judged }) => judged.exposures > 0))).toEqual([])
  })

  test('costs no control board where no board is at fault, and hardly ever a sensor', () => {
    const others = all.filter(({ scenario }) => !BOARD_FAULTS.includes(scenario.fault))
    expect(others.filter(({ judged }) => judged.needlessBoard).length / others.length).toBeLessThanOrEqual(0.01)
    expect(all.filter(({ judged }) => judged.needlessSensor).length / all.length).toBeLessThanOrEqual(0.02)
  })
})

describe('a visit that cannot go as planned', () => {
  const onSite = { phoneFirst: false }

  test('voltage from a second feed ends with an electrician, every time', { timeout: 60_000 }, async () => {
    for (const fault of ['relay-stuck', 'tsensor-bad', 'pump-stuck-on'] as const) {
      const jobs = await playMany(shop, fault, { first: FIRST, jobs: 10, wish: { plan: { leftover: 'second-feed' }, traits: onSite } })
      for (const { judged, played } of jobs) {
        expect(judged.ending).toBe('for-electrician')
        expect(judged.exposures).toBe(0)
        expect(played.events.some((event) => event.type === 'proof-made')).toBe(false)
      }
    }
  })

  test('a switch that does not cut the tub is never taken for dead', { timeout: 60_000 }, async () => {
    const jobs = await playMany(shop, 'relay-stuck', {
      first: FIRST,
      jobs: 10,
      wish: { plan: { leftover: 'wrong-device-opened' }, traits: onSite },
    })
    for (const { judged, played } of jobs) {
      expect(judged.exposures).toBe(0)
      expect(played.events.some((event) => event.type === 'proof-made')).toBe(false)
      expect(['repaired', 'normal']).not.toContain(judged.ending)
    }
  })

  test('a tester that dies between its two checks proves nothing', { timeout: 60_000 }, async () => {
    const jobs = await playMany(shop, 'plug-corroded', { first: FIRST, jobs: 10, wish: { testerDies: true, traits: onSite } })
    for (const { judged, played, scenario } of jobs) {
      expect(played.events.some((event) => event.type === 'proof-made')).toBe(false)
      expect(scenario.scene.repairs).toEqual([])
      expect(judged.ending).toBe('second-visit')
    }
  })

  test('without a meter no part is fitted', { timeout: 60_000 }, async () => {
    for (const fault of ['tsensor-bad', 'relay-stuck'] as const) {
      const wish = { traits: { ...onSite, ohmmeter: false, houseMeter: false } }
      const jobs = await playMany(shop, fault, { first: FIRST, jobs: 10, wish })
      for (const { judged, played } of jobs) {
        expect(played.events.some((event) => event.type === 'part-fitted')).toBe(false)
        expect(judged.exposures).toBe(0)
      }
    }
  })

  test('with one wrench no heater stud is turned', { timeout: 60_000 }, async () => {
    const jobs = await playMany(shop, 'relay-stuck', { first: FIRST, jobs: 10, wish: { traits: { ...onSite, twoWrenches: false } } })
    for (const { judged, played } of jobs) {
      expect(played.events.some((event) => event.type === 'leads-set' && event.body.to === 'capped')).toBe(false)
      expect(played.events.some((event) => event.type === 'part-fitted')).toBe(false)
      expect(judged.ending).toBe('second-visit')
    }
  })
})

function seedsOf(jobs: readonly Finished[]): string[] {
  return jobs.map(({ scenario }) => `${scenario.fault} ${scenario.seed}`)
}
