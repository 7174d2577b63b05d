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

type Floor = { readonly named: number; readonly mended: number; readonly proved: number }

/**
 * Least shares of jobs in which the record names the fault, the right repair was made, and it was proved in the same job.
 * Each is the mean of three runs of 30 jobs (seeds from 1, 1000 and 5000), less 0.2: two standard errors of a share of 30.
 * Two things lower every proof: with a house meter demand is cycled without cooling first, so that the water is soon too
 * warm to ask for heat; and a thermometer that is 1 K off makes the hold too close to call.
 */
const FLOORS: { readonly [fault in FaultSlug]?: Floor } = {
  // Not all, because: a weld that lets go when cold hides itself, and water that is still hot is taken for a display that is off.
  'relay-stuck': { named: 0.55, mended: 0.55, proved: 0.3 },
  // Not all, because: an output that is on only while it is warm, and a control that reads a little cold, end at a senior.
  'board-logic': { named: 0.4, mended: 0.35, proved: 0.2 },
  // Not all, because: without a diagram nobody says which sensor is the right one.
  'tsensor-bad': { named: 0.7, mended: 0.65, proved: 0.45 },
  'tsensor-seat': { named: 0.8, mended: 0.8, proved: 0.55 },
  'plug-corroded': { named: 0.75, mended: 0.8, proved: 0.55 },
  // Not all, because: as tsensor-bad.
  'highlimit-sensor-bad': { named: 0.8, mended: 0.7, proved: 0.45 },
  // Not all, because: likely is not shown: it ends to be confirmed by the calls.
  'heat-creep': { named: 0.75, mended: 0.75, proved: 0.4 },
  // Not all, because: as heat-creep.
  'filter-hours': { named: 0.65, mended: 0.65, proved: 0.3 },
  'set-mode': { named: 0.75, mended: 0.7, proved: 0.6 },
  // Not all, because: without a diagram it goes to a senior.
  'pump-stuck-on': { named: 0.7, mended: 0.6, proved: 0.4 },
  'config-wrong': { named: 0.65, mended: 0.6, proved: 0.45 },
  // Not all, because: on the phone it is handed to the flow of weak circulation.
  'flow-low': { named: 0.8, mended: 0.25, proved: 0.2 },
  // Not all, because: as flow-low.
  'air-lock': { named: 0.8, mended: 0.25, proved: 0.15 },
}
/** The same for all jobs together: the lowest of the three runs (0.91, 0.79, 0.53), less 0.05: two standard errors of 390. */
const OVERALL: Floor = { named: 0.86, mended: 0.74, proved: 0.48 }
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
  test.each(FAULTS)('%s is found and mended as often as it was measured', { timeout: 120_000 }, async (fault) => {
    const jobs = await playMany(shop, fault, { first: FIRST, jobs: JOBS })
    const row = rowOf(fault, jobs)
    rows.push(row)
    all.push(...jobs)
    const floor = FLOORS[fault] ?? OVERALL
    expectFloor(row, floor)
  })

  test('is found and mended over all faults as often as it was measured', () => {
    expectFloor(rowOf('all faults', all), OVERALL)
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

  test('is seldom closed by phone while the water still settles a little above what is wanted', () => {
    // Display and thermometer may each be 1 K off, so up to 2 degF above the set point counts as "as set". Measured: 2 of 1560 at most.
    expect(all.filter(({ judged }) => judged.closedWarm).length / all.length).toBeLessThanOrEqual(0.01)
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

  test('voltage from a second feed ends with an electrician, every time', { timeout: 120_000 }, async () => {
    for (const fault of ['relay-stuck', 'tsensor-bad', 'pump-stuck-on'] as const) {
      const jobs = await playMany(shop, fault, { first: FIRST, jobs: 10, wish: { plan: { leftover: 'second-feed' }, traits: onSite } })
      for (const { judged, played } of jobs) {
        expect(judged.ending).toBe('for-electrician')
        expect(judged.exposures).toBe(0)
        expect(played.events.some((event) => event.type === 'proof-made')).toBe(false)
      }
    }
  })

  test('a switch that does not cut the tub is never taken for dead', { timeout: 120_000 }, async () => {
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

  test('a tester that dies between its two checks proves nothing', { timeout: 120_000 }, async () => {
    const jobs = await playMany(shop, 'plug-corroded', { first: FIRST, jobs: 10, wish: { testerDies: true, traits: onSite } })
    for (const { judged, played, scenario } of jobs) {
      expect(played.events.some((event) => event.type === 'proof-made')).toBe(false)
      expect(scenario.scene.repairs).toEqual([])
      expect(judged.ending).toBe('second-visit')
    }
  })

  test('without a meter no part is fitted', { timeout: 120_000 }, async () => {
    for (const fault of ['tsensor-bad', 'relay-stuck'] as const) {
      const wish = { traits: { ...onSite, ohmmeter: false, houseMeter: false } }
      const jobs = await playMany(shop, fault, { first: FIRST, jobs: 10, wish })
      for (const { judged, played } of jobs) {
        expect(played.events.some((event) => event.type === 'part-fitted')).toBe(false)
        expect(judged.exposures).toBe(0)
      }
    }
  })

  test('with one wrench no heater stud is turned', { timeout: 120_000 }, async () => {
    const jobs = await playMany(shop, 'relay-stuck', { first: FIRST, jobs: 10, wish: { traits: { ...onSite, twoWrenches: false } } })
    for (const { judged, played } of jobs) {
      expect(played.events.some((event) => event.type === 'leads-set' && event.body.to === 'capped')).toBe(false)
      expect(played.events.some((event) => event.type === 'part-fitted')).toBe(false)
      // A weld that lets go when cold hides itself: then nothing is proved, and the tub runs on a log.
      expect(['second-visit', 'not-proved']).toContain(judged.ending)
    }
  })
})

function seedsOf(jobs: readonly Finished[]): string[] {
  return jobs.map(({ scenario }) => `${scenario.fault} ${scenario.seed}`)
}

function expectFloor(row: Row, floor: Floor): void {
  for (const share of ['named', 'mended', 'proved'] as const) {
    expect(row[share] / row.jobs, `${row.fault} ${share}`).toBeGreaterThanOrEqual(floor[share])
  }
}
