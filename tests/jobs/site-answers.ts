// What a technician finds with every cover on, by "block.step": look, listen, thermometer, panel, meter, and the power switch.
// Hands inside the box are in inside-answers.ts, the proof after a repair in proof-answers.ts.
import type { StepView } from '#graphs/contract'
import {
  airC,
  airWeekMean,
  changeSetPoint,
  gfciTestButton,
  heatingSymbol,
  houseMeter,
  isolate,
  nightLow,
  outputWalk,
  panelMessage,
  pass,
  pressPump,
  proofVoltages,
  pairsOf,
  pumpBehaviour,
  restorePower,
  returnFlow,
  setCover,
  settings,
  shortenFiltration,
  sunOnTub,
} from '../model/index.ts'
import type { Pair } from '../model/index.ts'
import type { Given } from './driver.ts'
import type { Answers } from './phone-answers.ts'
import { circulatingSeries, demandLowest, isPowered, messageNow, toC, toF, typedF, waterDisplaySet } from './scene.ts'
import type { Scene } from './scene.ts'

const NOT_HERE: Given = { not_done: 'no-access' }
const LABEL_PROFILE: { readonly [supply: string]: string } = { 'wye-208-4wire': 'wye-208' }

/** What the labels say; what nobody can read there stays open. */
function factValue(scene: Scene, slug: string): { typed: string; unit: string } | string | boolean | null {
  const { build, settings: set } = scene.tub
  switch (slug) {
    case 'region':
      return 'north-america'
    case 'supply-profile':
      return LABEL_PROFILE[build.supply] ?? build.supply
    case 'volume':
      return { typed: String(Math.round(build.gallons / 5) * 5), unit: 'gal' }
    case 'heater-power':
      return { typed: String(build.heaterRatedW / 1000), unit: 'kW' }
    case 'heater-rated-voltage':
      return { typed: String(build.heaterRatedV), unit: 'V' }
    case 'sensor-curve':
      return build.hasDiagram ? scene.tub.board.curve : null
    case 'relay-fixed-leg':
      return build.hasDiagram ? build.switchedPoles === 1 : null
    case 'tub-age':
      return { typed: '6', unit: '1' }
    case 'water-target':
      return { typed: String(Math.round(toF(set.believedSetC))), unit: 'degF' }
    case 'air-mean':
      return typedF(airWeekMean(scene.tub))
    case 'night-lows':
      return typedF(nightLow(scene.tub))
    case 'filter-hours':
      return { typed: String(filterHours(scene)), unit: '1' }
    case 'full-sun':
      return sunOnTub(scene.tub) === 'full'
    default:
      return null
  }
}

/** A small pump that never rests filters all day. */
function filterHours(scene: Scene): number {
  return scene.tub.build.circulation === 'always' ? 24 : settings(scene.tub).filterHoursPerDay
}

export function factsForm(scene: Scene, step: StepView): Given {
  if (step.form?.form !== 'facts') throw new Error(`${step.block}.${step.step} asks for no facts`)
  return { form: { form: 'facts', facts: Object.fromEntries(step.form.facts.map(({ slug }) => [slug, factValue(scene, slug)])) } }
}

function weather(scene: Scene, step: StepView): Given {
  const airF = typedF(airWeekMean(scene.tub))
  const hours = { typed: String(filterHours(scene)), unit: '1' }
  return { readings: Object.fromEntries(step.readings.map(({ name }) => [name, name === 'filter-hours' ? hours : airF])) }
}

/** The tub as it runs now against the same house while the tub was surely off, which the app of the meter remembers. */
export function meter(scene: Scene): Given {
  if (!scene.traits.houseMeter || !isPowered(scene)) return { not_done: 'no-access' }
  if (scene.onSite) {
    demandLowest(scene)
    pass(scene.tub, 5)
  }
  const off = structuredClone(scene.tub)
  isolate(off)
  const kw = (value: number) => ({ typed: value.toFixed(2), unit: 'kW', instrument: 'house-meter' })
  return { readings: { before: kw(houseMeter(scene.tub)), after: kw(houseMeter(off)), 'tub-off': { typed: '1', unit: '1' } } }
}

function symbol(scene: Scene): Given | string {
  return isPowered(scene) ? heatingSymbol(scene.tub) : NOT_HERE
}

/** Seen from outside: a filter that is clogged shows it. */
function waterSide(scene: Scene): string {
  const { filterLoss, airLocked } = scene.tub.hydraulics
  if (airLocked && scene.tub.pump !== 'off') {
    scene.notes.heardAir = true
    return 'odd-sound'
  }
  return filterLoss > 3 ? 'filter-dirty' : 'good'
}

function asFound(scene: Scene): string {
  scene.notes.setFoundC ??= scene.tub.settings.setC
  if (!isPowered(scene)) return scene.tub.feed.gfci.tripped ? 'trips' : 'left-off'
  return messageNow(scene) === 'none' ? 'running' : 'shut-down'
}

function pumpSound(scene: Scene): string {
  demandLowest(scene)
  pressPump(scene.tub, 'low')
  pass(scene.tub, 2)
  if (scene.tub.pump === 'off') return 'silent'
  scene.notes.jetsHeard = scene.tub.pump === 'high'
  return scene.tub.pump === 'low' ? 'low' : 'jets-stay-on'
}

/** Half an hour first; where that cannot decide, as long as the technician has time. */
function riseDemandOff(scene: Scene): Given {
  if (!isPowered(scene)) return NOT_HERE
  setCover(scene.tub, 'on')
  demandLowest(scene)
  pressPump(scene.tub, 'low')
  pass(scene.tub, 10)
  if (scene.tub.pump !== 'low') return { not_done: 'not-safe' }
  return { readings: { water: circulatingSeries(scene, scene.traits.patienceMinutes, 10) } }
}

function switchOff(scene: Scene): string {
  demandLowest(scene)
  pressPump(scene.tub, 'off')
  isolate(scene.tub)
  return isPowered(scene) ? 'still-on' : 'dead'
}

function powerOn(scene: Scene): string {
  restorePower(scene.tub)
  demandLowest(scene)
  if (scene.tub.feed.gfci.tripped) return 'trips'
  return isPowered(scene) ? 'starts' : 'dark'
}

function off(scene: Scene): string {
  isolate(scene.tub)
  return 'off'
}

/** Every pair at every place that the form names, by the model's supply; the tester is proved before and after. */
export function provePairs(scene: Scene, step: StepView): Given {
  if (step.form?.form !== 'pairs') throw new Error(`${step.block}.${step.step} asks for no pairs`)
  const known = pairsOf(scene.tub.build.supply)
  const volts: { [pair: string]: { typed: string; unit: string; instrument: string } } = {}
  let before = true
  let after = true
  for (const { place, pairs } of step.form.places) {
    const read = proofVoltages(scene.tub, known)
    before &&= read.provedBefore
    after &&= read.provedAfter
    for (const name of pairs) {
      const value = read.volts[inModel(scene, name, known)] ?? 0
      volts[`${place}:${name}`] = { typed: value.toFixed(1), unit: 'V', instrument: 'low-impedance-tester' }
    }
  }
  return { form: { form: 'pairs', tester_before: before, tester_after: after, volts } }
}

/** The pair by the names of the model; unnamed conductors are counted off in the order of the block. */
function inModel(scene: Scene, name: string, known: readonly Pair[]): Pair {
  const all = [...new Set(known.flatMap((pair) => pair.split('-')))]
  const ends = name.split(/[-–]/).map((end) => all[Number(/^conductor (\d)$/.exec(end)?.[1]) - 1] ?? end)
  const found = known.find((pair) => ends.every((end) => pair.split('-').includes(end)))
  return found ?? (`${ends[0] ?? ''}-${ends[1] ?? ''}` as Pair)
}

function walkOutputs(scene: Scene): string {
  const { low, high, off: rest } = outputWalk(scene.tub)
  if (low === 'off' || high === 'off') return 'dead-output'
  if (low !== 'low' || high !== 'high') {
    isolate(scene.tub)
    return 'wrong-load'
  }
  if (rest === 'off') return 'all-right'
  return pumpBehaviour(scene.tub).asExpected ? 'all-right' : 'will-not-stop'
}

/** Frost, long or second cycles, a timer outside: each runs the low speed, so none explains jets. There is no timer here. */
function pumpCauses(scene: Scene): string {
  if (scene.notes.jetsHeard === true) return 'ruled-out'
  const frost = airC(scene.tub, scene.tub.clockS) < 4
  return frost || settings(scene.tub).filterHoursPerDay > 8 ? 'explained' : 'ruled-out'
}

function shortSchedule(scene: Scene): void {
  shortenFiltration(scene.tub, 2)
  scene.repairs.push('schedule')
}

/** Power off before the filter comes out and before it goes back; in between the stream at the return says how it runs. */
function filterOut(scene: Scene): Given | string {
  const { tub } = scene
  if (!isPowered(scene) || (scene.notes.lastWaterC ?? 0) > 42) return { not_done: 'not-safe' }
  const RANKS = ['none-or-surging', 'weak', 'strong']
  const before = returnFlow(tub)
  const lift = (isIn: boolean): void => {
    isolate(tub)
    tub.hydraulics.filterIn = isIn
    restorePower(tub)
  }
  lift(false)
  const without = returnFlow(tub)
  lift(true)
  if (before === 'not-done' && without === 'not-done') return { not_done: 'no-access' }
  return RANKS.indexOf(without) > RANKS.indexOf(before) ? 'improves' : 'no-change'
}

export const SITE_ANSWERS: Answers = {
  'heating-symbol.test': symbol,
  'display-and-thermometer.test': (scene) => {
    const readings = waterDisplaySet(scene)
    return readings === undefined ? NOT_HERE : { readings }
  },
  'settings-sheet.write-down': (scene) => {
    if (!isPowered(scene)) return NOT_HERE
    const sheet = settings(scene.tub)
    const cycles = sheet.cycles.map(({ startHour, hours }) => `${startHour} h for ${hours.toFixed(1)} h`).join(', ')
    return {
      form: {
        form: 'settings',
        settings: {
          'set-point': `${Math.round(toF(scene.notes.setFoundC ?? scene.tub.settings.setC))} F`,
          'heating-mode': sheet.heating,
          'filter-cycles': cycles,
        },
      },
    }
  },
  'pump-behaviour.test': (scene) => {
    if (!isPowered(scene)) return NOT_HERE
    const { heard, asExpected } = pumpBehaviour(scene.tub)
    scene.notes.jetsHeard = heard === 'high'
    return asExpected ? 'as-expected' : 'unexpected'
  },
  'weather-and-hours.test': weather,
  'house-meter.test': meter,
  'filter-out.test': filterOut,
  'return-flow.test': (scene) => {
    if (!isPowered(scene) || (scene.notes.lastWaterC ?? 0) > 42) return { not_done: 'gate-shut' }
    const seen = returnFlow(scene.tub)
    if (seen === 'not-done') return { not_done: 'no-access' }
    scene.notes.returnFlow = seen
    return seen
  },
  'gfci-button.test': (scene) => gfciTestButton(scene.tub),
  'output-walk.test': walkOutputs,
  'rise-with-demand-off.test': riseDemandOff,
  'overheating.as-found': asFound,
  'overheating.rating-label': factsForm,
  'overheating.tub-facts': factsForm,
  'overheating.power-as-found': (scene) => {
    demandLowest(scene)
    pass(scene.tub, 2)
    return 'on'
  },
  'overheating.site-water-side': waterSide,
  'overheating.off-and-cool': (scene) => {
    isolate(scene.tub)
    setCover(scene.tub, 'off')
    return 'done'
  },
  'overheating.pump-sound': pumpSound,
  'overheating.silent-off': off,
  'overheating.heat-again': off,
  'overheating.no-flow-again': off,
  'overheating.pump-causes': pumpCauses,
  'overheating.pump-power': (scene) => {
    demandLowest(scene)
    pressPump(scene.tub, 'off')
    pass(scene.tub, 5)
    return 'ready'
  },
  'overheating.schedule-right': (scene) => {
    shortSchedule(scene)
    return 'right'
  },
  'overheating.creep': (scene) => {
    shortSchedule(scene)
    changeSetPoint(scene.tub, scene.tub.settings.believedSetC - 1)
    return 'done'
  },
  'overheating.log-circulates': (scene) => {
    demandLowest(scene)
    const seen = (scene.notes.lastWaterC ?? 0) > 42 ? 'strong' : returnFlow(scene.tub)
    return seen === 'strong' || seen === 'weak' ? 'steady' : 'no-flow'
  },
  'make-dead.see-lock': (scene) => (isPowered(scene) ? 'starts' : 'mine'),
  'make-dead.find-disconnect': (scene) => (scene.tub.build.supply === 'cord-120' ? 'plug' : 'found'),
  'make-dead.switch-off': switchOff,
  'make-dead.lock': (scene) => {
    isolate(scene.tub)
    return 'locked'
  },
  'make-dead.try-buttons': (scene) => (isPowered(scene) ? 'starts' : 'nothing'),
  'make-dead.put-back': (scene) => {
    restorePower(scene.tub)
    return 'done'
  },
  'make-dead.prove': provePairs,
  'prove-place.prove': provePairs,
  'close-and-power-up.on-or-off': (scene) => (isPowered(scene) ? 'lit' : 'dark'),
  'close-and-power-up.power-on': powerOn,
  'close-and-power-up.off-again': off,
  'close-and-power-up.gfci-off': off,
  'leave-off.switch-off': off,
  'exchange-water.switch-off': off,
  'exchange-water.may-drain': (scene) => ((scene.notes.lastWaterC ?? 0) > 40 || isFrosty(scene) ? 'no' : 'yes'),
  'exchange-water.drain-and-fill': (scene) => {
    mixIn(scene, toC(93))
    return 'filled'
  },
  'leave-tub.run-on': (scene) => (panelMessage(scene.tub) === 'none' ? 'agreed' : 'not-right'),
}

export function isFrosty(scene: Scene): boolean {
  return nightLow(scene.tub) < 1
}

/** Cold water until the whole tub is at about this temperature. */
function mixIn({ tub }: Scene, aimC: number): void {
  if (tub.waterC <= aimC) return
  tub.waterC = aimC
  tub.chamberC = aimC
  tub.pipeC = aimC
}
