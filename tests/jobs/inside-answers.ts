// What a technician finds and mends with the box open and proved dead, by "block.step".
// Whether hands may be there at all is the program's business; the model writes down every hand in a live box.
import type { StepView } from '#graphs/contract'
import {
  airC,
  bleedAir,
  cleanFilter,
  cleanPlug,
  correctConfiguration,
  cupThermometer,
  deadFeed,
  deadLook,
  displayReading,
  elementResistance,
  elementToGround,
  exchangeSensorPlugs,
  heaterLeads,
  pass,
  relayContacts,
  replaceBoard,
  replaceElement,
  replaceSensor,
  reseat,
  seating,
  sensorResistance,
  setCover,
  switchesMatch,
} from '../model/index.ts'
import type { Given } from './driver.ts'
import type { Answers } from './phone-answers.ts'
import { circulatingSeries, circulateMinutes, demandLowest, stringThermometer, toC, typedF, typedOhm, waterDisplaySet } from './scene.ts'
import type { Scene } from './scene.ts'
import { factsForm } from './site-answers.ts'

/** 3 degF: what a technician calls a difference between display and thermometer. */
const APART_K = 1.67
const OUT_OF_REACH: Given = { not_done: 'no-tool' }

/** Both sensors and the thermometer in one cup, about bath-warm. */
function bothSensors(scene: Scene): Given {
  if (!scene.traits.ohmmeter) return OUT_OF_REACH
  const cupC = 37
  return {
    readings: {
      'temp-sensor': { ...typedOhm(sensorResistance(scene.tub, 'temperature', cupC), 'kohm'), instrument: 'multimeter' },
      'limit-sensor': { ...typedOhm(sensorResistance(scene.tub, 'high-limit', cupC), 'kohm'), instrument: 'multimeter' },
      bath: typedF(cupThermometer(scene.tub, cupC), { instrument: 'thermometer-digital' }),
    },
  }
}

/** Three readings in one cup: the sensors hold still, so they agree with themselves. */
function oneCup(scene: Scene): string {
  return scene.traits.ohmmeter ? 'clear' : 'no-meter'
}

/** Supply terminal to heater post, every pole that the diagram shows as switched; without a diagram both. */
function contacts(scene: Scene): Given {
  if (!scene.traits.ohmmeter || !scene.traits.twoWrenches) return OUT_OF_REACH
  const { hasDiagram } = scene.tub.build
  const poles = relayContacts(scene.tub).filter((pole) => pole.switched || !hasDiagram)
  const typed = poles.map((pole) => ({ ...typedOhm(pole.ohm, 'ohm'), instrument: 'multimeter' }))
  const [one, other] = typed
  if (one === undefined) return { not_done: 'does-not-apply' }
  return { readings: other === undefined ? { 'pole-1': one } : { 'pole-1': one, 'pole-2': other } }
}

function feed(scene: Scene): Given {
  const { hotToGroundOhm, lineToLineOhm } = deadFeed(scene.tub)
  const grounds = hotToGroundOhm.filter((ohm) => ohm !== null)
  const lowest = grounds.length === 0 ? null : Math.min(...grounds)
  return { readings: { 'hot-ground': typedOhm(lowest, 'ohm'), 'line-line': typedOhm(lineToLineOhm, 'ohm') } }
}

function look(scene: Scene): string {
  const seen = deadLook(scene.tub)
  return seen === 'wet-corroded' ? 'plug-corroded' : seen
}

/** Filter, impeller, valves: what eyes and fingers find, with what was seen of the flow before. */
function waterPath(scene: Scene): string {
  const { tub, notes } = scene
  if (tub.hydraulics.filterLoss > 3) {
    cleanFilter(tub)
    scene.repairs.push('filter')
    return 'mended'
  }
  if (notes.heardAir === true || notes.returnFlow === 'none-or-surging') return 'air'
  return notes.returnFlow === 'weak' ? 'weak-pump' : 'sound'
}

function bled(scene: Scene): string {
  const seen = bleedAir(scene.tub)
  if (seen === 'flow-returns') scene.repairs.push('air')
  scene.notes.heardAir = false
  return seen
}

function cleanPlugs(scene: Scene): string {
  cleanPlug(scene.tub, 'temperature')
  cleanPlug(scene.tub, 'high-limit')
  scene.repairs.push('plug')
  pass(scene.tub, 10)
  return 'cleaned'
}

/** Wrong before by more than a reading can wander, and clearly nearer now. */
function plugJudge({ notes }: Scene): string {
  const before = notes.beforeCleaningK
  const after = differenceK(notes)
  if (before === undefined || after === undefined) return 'same'
  const isBetter = Math.abs(before) > APART_K && Math.abs(before) - Math.abs(after) > 1
  return isBetter ? 'corrected' : 'same'
}

function differenceK({ compared }: Scene['notes']): number | undefined {
  return compared === undefined ? undefined : toC(compared.displayF) - compared.waterC
}

function plugMeasure(scene: Scene): Given {
  const before = differenceK(scene.notes)
  if (before !== undefined) scene.notes.beforeCleaningK = before
  const readings = waterDisplaySet(scene)
  return readings === undefined ? { not_done: 'no-access' } : { readings }
}

/** The part that differs: a sensor of another family is a wrong part, a lead or switch is put right. */
function toDiagram(scene: Scene): string {
  const { sensors, board } = scene.tub
  if (Object.values(sensors).some((sensor) => sensor.curve !== board.curve)) return 'wrong-part'
  correctConfiguration(scene.tub)
  scene.repairs.push('configuration')
  return 'corrected'
}

function capLeads(scene: Scene): Given | string {
  if (!scene.traits.twoWrenches) return OUT_OF_REACH
  heaterLeads(scene.tub, 'off-and-capped')
  return 'capped'
}

function leadsBack(scene: Scene): void {
  heaterLeads(scene.tub, 'on')
}

function runMinutes(scene: Scene): number {
  return scene.tub.build.heaterRatedW < 3900 ? 120 : 60
}

function runWithout(scene: Scene): Given {
  setCover(scene.tub, 'on')
  demandLowest(scene)
  circulateMinutes(scene, 10)
  const series = circulatingSeries(scene, runMinutes(scene), 10)
  scene.notes.withoutHeater = series
  return { readings: { water: series } }
}

function runWith(scene: Scene): Given {
  demandLowest(scene)
  circulateMinutes(scene, 10)
  const series = circulatingSeries(scene, runMinutes(scene), 10)
  return { readings: { without: scene.notes.withoutHeater ?? [], with: series } }
}

function swapSeen(scene: Scene): Given {
  circulateMinutes(scene, 2)
  const waterC = stringThermometer(scene)
  const displayF = displayReading(scene.tub) ?? 0
  scene.notes.swapped = { waterC, displayF }
  return { form: { form: 'text', fields: { display: `${displayF} F`, thermometer: typedF(waterC).typed, message: 'none' } } }
}

/** Copied from what was written down before and with the plugs changed over. */
function swapWay({ notes }: Scene): Given {
  const { compared, swapped } = notes
  if (compared === undefined || swapped === undefined) return { not_done: 'not-known' }
  const display = (displayF: number) => ({ typed: String(displayF), unit: 'degF', instrument: 'display' })
  const water = (waterC: number) => typedF(waterC, { instrument: 'thermometer-digital' })
  return {
    readings: {
      'water-before': water(compared.waterC),
      'display-before': display(compared.displayF),
      'water-swapped': water(swapped.waterC),
      'display-swapped': display(swapped.displayF),
    },
  }
}

export const INSIDE_ANSWERS: Answers = {
  'dead-look.look': look,
  'dead-feed.test': feed,
  'overheating.water-path': waterPath,
  'overheating.limit-flow': (scene) => {
    if (scene.tub.hydraulics.filterLoss <= 3) return 'free'
    cleanFilter(scene.tub)
    scene.repairs.push('filter')
    return 'blocked'
  },
  'bleed-air.test': bled,
  'sensor-seat.test': (scene) => seating(scene.tub),
  'overheating.reseat': (scene) => {
    reseat(scene.tub)
    scene.repairs.push('reseat')
    return 'seated'
  },
  'sensor-resistance.curve': factsForm,
  'sensor-resistance.test': bothSensors,
  'overheating.one-cup': oneCup,
  'overheating.truly-off': (scene) => {
    const ohm = sensorResistance(scene.tub, 'temperature', 37)
    const limit = sensorResistance(scene.tub, 'high-limit', 37)
    return ohm === null || limit === null || Math.abs(ohm / limit - 1) > 0.06 ? 'truly-off' : 'good'
  },
  'plug-clean-compare.clean': cleanPlugs,
  'plug-clean-compare.measure': plugMeasure,
  'plug-clean-compare.judge': plugJudge,
  'configuration-check.test': (scene) => switchesMatch(scene.tub),
  'overheating.put-to-diagram': toDiagram,
  'sensor-swap.same-type': (scene) => {
    if (!scene.tub.build.hasDiagram) return 'differ'
    return scene.traits.twoWrenches ? 'same' : 'one-wrench'
  },
  'sensor-swap.leads-off': capLeads,
  'sensor-swap.swap-plugs': (scene) => {
    exchangeSensorPlugs(scene.tub)
    return 'swapped'
  },
  'sensor-swap.watch': swapSeen,
  'sensor-swap.put-back': (scene) => {
    exchangeSensorPlugs(scene.tub)
    leadsBack(scene)
    return 'restored'
  },
  'sensor-swap.put-back-untested': (scene) => {
    if (scene.tub.sensorsSwapped) exchangeSensorPlugs(scene.tub)
    leadsBack(scene)
    return 'restored'
  },
  'sensor-swap.which-way': swapWay,
  'relay-contacts-dead.diagram': factsForm,
  'relay-contacts-dead.measure': contacts,
  'heater-out-comparison.leads-off': capLeads,
  'heater-out-comparison.run-without': runWithout,
  'heater-out-comparison.leads-on': (scene) => {
    leadsBack(scene)
    return 'on'
  },
  'heater-out-comparison.run-with': runWith,
  'heater-out-comparison.leads-back': (scene) => {
    leadsBack(scene)
    return 'on'
  },
  'overheating.isolate-heater': (scene) => {
    if (!scene.traits.twoWrenches) return 'locked'
    heaterLeads(scene.tub, 'off-and-capped')
    return 'capped'
  },
  'frost-heater-isolated.leads-off': (scene) => {
    if (!scene.traits.twoWrenches) return 'one-wrench'
    heaterLeads(scene.tub, 'off-and-capped')
    return 'capped'
  },
  'element-check.to-tube': (scene) => {
    if (!scene.traits.twoWrenches || !scene.traits.ohmmeter) return OUT_OF_REACH
    heaterLeads(scene.tub, 'off-and-capped')
    return { readings: { 'to-ground': { ...typedOhm(elementToGround(scene.tub).ohmmeterOhm, 'Mohm'), instrument: 'multimeter' } } }
  },
  'element-check.across': (scene) => ({
    readings: { element: { ...typedOhm(elementResistance(scene.tub), 'ohm'), instrument: 'multimeter' } },
  }),
  'element-check.leads-back': (scene) => {
    leadsBack(scene)
    return 'refitted'
  },
  'loads-sound.discharge': () => ({ readings: { capacitor: { typed: '0.3', unit: 'V', instrument: 'multimeter' } } }),
  'loads-sound.each-to-ground': () => ({ readings: { 'to-ground': { typed: 'OL', unit: 'Mohm', instrument: 'multimeter' } } }),
  'board-replacement.bench': (scene) => (scene.traits.twoWrenches ? 'ready' : 'one-wrench'),
  'board-replacement.second-wrench': () => 'none',
  'board-replacement.swap': () => 'fitted',
  'board-replacement.new-heater': () => 'fitted',
  'sensor-replacement.swap': () => 'fitted',
  'frozen-tub.thaw': (scene) => (airC(scene.tub, scene.tub.clockS) > 3 ? 'open' : 'still-frozen'),
}

/** A part goes in when the program has taken the answer: without evidence it takes none. */
export const FITTED: { readonly [step: string]: (scene: Scene, step: StepView) => void } = {
  'board-replacement.swap': (scene) => {
    replaceBoard(scene.tub, 'as-old')
    leadsBack(scene)
    scene.repairs.push('board')
  },
  'board-replacement.new-heater': (scene) => {
    replaceElement(scene.tub)
    leadsBack(scene)
    scene.repairs.push('element')
  },
  'sensor-replacement.swap': (scene, step) => {
    // By its place in the edition the new part is a water sensor or a limit sensor.
    const which = step.block.includes('high-limit') ? 'high-limit' : 'temperature'
    replaceSensor(scene.tub, which)
    scene.repairs.push(`sensor:${which}`)
  },
}
