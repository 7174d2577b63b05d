// After the right repair the tub heats when asked, stops when told and holds; after the wrong one the physics still says no.
// The three proofs are those of a job's end: heat on, heat off, hold.
import { describe, expect, test } from 'vitest'
import * as model from './index.ts'
import type { FaultForm, FaultSlug, Tub } from './index.ts'

type Repair = (tub: Tub) => unknown

const CURES: [FaultSlug, FaultForm, Repair][] = [
  ['relay-stuck', {}, (tub) => model.replaceBoard(tub)],
  ['relay-one-pole', {}, (tub) => model.replaceRelay(tub)],
  ['board-logic', { variant: 'output-on' }, (tub) => model.replaceBoard(tub)],
  ['board-logic', { variant: 'misreads', size: 4 }, (tub) => model.replaceBoard(tub)],
  ['board-logic', { variant: 'demand-never-ends' }, (tub) => model.replaceBoard(tub)],
  ['pump-stuck-on', { variant: 'high' }, (tub) => model.replaceBoard(tub)],
  ['plug-corroded', { size: 900 }, (tub) => model.cleanPlug(tub)],
  ['tsensor-bad', { size: 0.2 }, (tub) => model.replaceSensor(tub, 'temperature')],
  ['tsensor-seat', { size: 0.8 }, (tub) => model.reseat(tub)],
  ['highlimit-sensor-bad', { size: 0.4 }, (tub) => model.replaceSensor(tub, 'high-limit')],
  ['config-wrong', { variant: 'sensor-type' }, (tub) => model.correctConfiguration(tub)],
  ['config-wrong', { variant: 'speed-leads' }, (tub) => model.correctConfiguration(tub)],
  ['flow-low', { size: 35 }, (tub) => model.cleanFilter(tub)],
  ['air-lock', {}, (tub) => model.bleedAir(tub)],
  ['circ-pump-weak', { size: 0.1 }, (tub) => model.replaceCirculationPump(tub)],
  ['set-mode', { size: 3 }, (tub) => model.correctSettings(tub)],
]

/** Isolate, repair, power up; the water is exchanged for cooler water so that heat-on can be tried at once. */
function proofsAfter(tub: Tub, repair: Repair): { on: boolean; off: boolean; hold: boolean } {
  const { believedSetC } = tub.settings
  model.isolate(tub)
  repair(tub)
  tub.waterC = tub.pipeC = tub.chamberC = 36
  model.restorePower(tub)
  const on = model.heatOnTrial(tub).truth
  const off = model.heatOffTrial(tub).truth
  return { on, off, hold: model.holdTrial(tub, { setC: believedSetC, hours: 24 }).truth }
}

function sick(slug: FaultSlug, form: FaultForm): Tub {
  const tub = model.nominalTub({ setC: 38, believedSetC: 38, meanC: 15 })
  model.insertFault(tub, slug, form)
  model.advance(tub, 7200)
  return tub
}

const ALL_GOOD = { on: true, off: true, hold: true }

describe('the right repair', () => {
  test.each(CURES)('cures %s %j', (slug, form, repair) => {
    const tub = sick(slug, form)
    expect(proofsAfter(tub, repair)).toEqual(ALL_GOOD)
    expect(tub.exposures).toEqual([])
  })
  test.each(CURES)('nothing done leaves %s %j with at least one proof that fails', (slug, form) => {
    const tub = sick(slug, form)
    const proofs = proofsAfter(tub, () => undefined)
    // A wrong set point is cured by setting it for the trial; the sheet still shows what the customer did not expect.
    if (slug === 'set-mode') expect(proofs).toEqual(ALL_GOOD)
    // One welded pole heats, stops and holds: only a voltmeter to ground or an ohmmeter finds it.
    else if (slug === 'relay-one-pole') expect(proofs).toEqual(ALL_GOOD)
    else expect(proofs).not.toEqual(ALL_GOOD)
  })
  test('shorter filtration ends creep when the nights allow it', () => {
    const tub = model.nominalTub({ setC: 38, meanC: 15 })
    model.insertFault(tub, 'filter-hours', { variant: 'all-day', size: 5 })
    model.advance(tub, 4 * 86_400)
    const hotC = tub.waterC
    model.shortenFiltration(tub)
    expect(model.holdTrial(tub, { setC: 38, hours: 48 }).truth).toBe(true)
    expect(tub.waterC).toBeLessThan(hotC - 0.5)
  })
})

describe('the wrong repair', () => {
  test.each([
    ['a new sensor behind a corroded plug', 'plug-corroded', { size: 1000 }, (tub: Tub) => model.replaceSensor(tub, 'temperature')],
    ['a new sensor under a welded relay', 'relay-stuck', {}, (tub: Tub) => model.replaceSensor(tub, 'temperature')],
    ['a new board over a drifted sensor', 'tsensor-bad', { size: 0.2 }, (tub: Tub) => model.replaceBoard(tub)],
    ['a clean filter with air in the pump', 'air-lock', {}, (tub: Tub) => model.cleanFilter(tub)],
    ['a sensor of another curve', 'tsensor-bad', { size: 0.2 }, (tub: Tub) => model.replaceSensor(tub, 'temperature', 'E')],
    ['a new board set like the old one', 'config-wrong', { variant: 'speed-leads' }, (tub: Tub) => model.replaceBoard(tub, 'as-old')],
  ] as const)('%s does not help', (_what, slug, form, repair) => {
    expect(proofsAfter(sick(slug, form), repair)).not.toEqual(ALL_GOOD)
  })
  test('repairs with the power on are recorded as hands in a live box', () => {
    const tub = sick('relay-stuck', {})
    model.replaceBoard(tub)
    expect(tub.exposures.some(({ what }) => what === 'live-box')).toBe(true)
  })
})

describe('the plug, cleaned', () => {
  test('moves the display to the thermometer when the plug was bad, and not when it was good', () => {
    for (const [size, moves] of [
      [900, true],
      [0, false],
    ] as const) {
      const tub = sick('plug-corroded', { size })
      model.isolate(tub)
      const { before, after } = model.plugCleanedChangesReading(tub)
      const gapK = ({ displayF, thermometerC }: typeof after): number => ((displayF ?? 0) - 32) / 1.8 - thermometerC
      expect(Math.abs(gapK(after))).toBeLessThan(0.7)
      expect(gapK(after) - gapK(before) > 2).toBe(moves)
    }
  })
})
