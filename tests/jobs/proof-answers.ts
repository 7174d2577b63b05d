// The proof after a repair, measured on the model step by step: it heats, it stops, it holds.
// What the readings mean is for the program to say.
import {
  changeSetPoint,
  correctConfiguration,
  cupThermometer,
  displayReading,
  heatingSymbol,
  houseMeter,
  pass,
  pressPump,
  returnFlow,
  setCover,
} from '../model/index.ts'
import type { StepView } from '#graphs/contract'
import type { Given } from './driver.ts'
import type { Answers } from './phone-answers.ts'
import { messageNow, seriesOf, stringThermometer, toC, toF, typedF, waterDisplaySet, waterSeries } from './scene.ts'
import type { Scene } from './scene.ts'
import { isFrosty } from './site-answers.ts'

/** 102 degF: the most for the heat-on run and the hold. */
const MOST_C = toC(102)

function firstLook(scene: Scene): string {
  pass(scene.tub, 4)
  if (displayReading(scene.tub) === null) return 'dark'
  const message = messageNow(scene)
  if (message === 'none') return 'normal'
  if (message === 'flow') return 'flow-message'
  return message === 'sensor' ? 'sensor-message' : 'hot-message'
}

function circulation(scene: Scene): string {
  if ((scene.notes.lastWaterC ?? 0) > 42) return 'good'
  const seen = returnFlow(scene.tub)
  return seen === 'strong' ? 'good' : 'no-flow'
}

function setF(degC: number): number {
  return toC(Math.round(toF(degC)))
}

/** Water as thermometer and panel say it: whoever turns the set point up goes by the higher of the two, and down by the lower. */
function waterSeen(scene: Scene): { lowC: number; highC: number; thermometerC: number } {
  const thermometerC = stringThermometer(scene)
  const displayF = displayReading(scene.tub)
  const displayC = displayF === null ? thermometerC : toC(displayF)
  return { lowC: Math.min(thermometerC, displayC), highC: Math.max(thermometerC, displayC), thermometerC }
}

function askForHeat(scene: Scene): string {
  setCover(scene.tub, 'on')
  changeSetPoint(scene.tub, MOST_C)
  pass(scene.tub, 6)
  return heatingSymbol(scene.tub) === 'on' ? 'symbol-on' : 'symbol-off'
}

/** Both must agree first; then the set point goes below the lower of them, and the symbol is looked at ten minutes later. */
function demandEnds(scene: Scene): Given | string {
  const { lowC, highC } = waterSeen(scene)
  if (highC - lowC > 1.67) return { not_done: 'not-known' }
  changeSetPoint(scene.tub, setF(lowC - 2))
  pass(scene.tub, 10)
  return heatingSymbol(scene.tub) === 'on' ? 'does-not-end' : 'ends'
}

/** Reads on until the symbol goes out at the set point: then the run is over. */
function heatOnSeries(scene: Scene, step: StepView): Given {
  const { minutes, every } = seriesOf(step)
  const least = step.readings.find((field) => field.series !== undefined)?.series?.least ?? 4
  const isOver = (read: number): boolean => read >= least && heatingSymbol(scene.tub) === 'off'
  return { readings: { water: waterSeries(scene, minutes, every, isOver) } }
}

function takeHeatAway(scene: Scene): string {
  changeSetPoint(scene.tub, setF(waterSeen(scene).lowC - 1.7))
  pass(scene.tub, 5)
  return heatingSymbol(scene.tub) === 'on' ? 'symbol-on' : 'symbol-off'
}

/** Minutes of heat that a thermometer can see, about 0.7 K by the label, with the start of the pump. */
function heatMinutes({ tub }: Scene): number {
  const perHour = tub.build.heaterRatedW / (tub.build.gallons * 4.36)
  return 4 + Math.min(40, Math.max(8, (0.7 / perHour) * 60))
}

/** How much warmer the stream at the return is than the tub, by the same thermometer on its string. */
function returnWarmerK({ tub }: Scene): number {
  return cupThermometer(tub, tub.chamberC) - cupThermometer(tub, tub.waterC)
}

/** Twice on and off: by the house meter where it can be read, otherwise by a warmer return or a rise that bends. */
function cycleDemand(scene: Scene): string {
  const { tub } = scene
  let seen = true
  for (let time = 0; time < 2; time += 1) {
    const { thermometerC: startC, lowC, highC } = waterSeen(scene)
    changeSetPoint(tub, Math.min(MOST_C, setF(highC + 1.7)))
    pass(tub, 5)
    const onKw = houseMeter(tub)
    const onK = returnWarmerK(scene)
    pass(tub, scene.traits.houseMeter ? 3 : heatMinutes(scene) - 5)
    const heatedC = stringThermometer(scene)
    changeSetPoint(tub, setF(lowC - 1.7))
    pass(tub, 3)
    const offKw = houseMeter(tub)
    pressPump(tub, 'low')
    pass(tub, scene.traits.houseMeter ? 2 : 12)
    const offK = returnWarmerK(scene)
    pressPump(tub, 'off')
    const restedC = stringThermometer(scene)
    if (heatingSymbol(tub) === 'on') return 'sticks'
    const byMeter = onKw - offKw > (0.5 * tub.build.heaterRatedW) / 1000
    const byReturn = onK > 0.4 && onK - offK > 0.35
    const bends = heatedC - startC > 0.3 && restedC - heatedC < 0.5 * (heatedC - startC)
    seen &&= scene.traits.houseMeter ? byMeter : byReturn || bends
  }
  return seen ? 'follows' : 'not-seen'
}

/** Water is not drained above the bathing limit, and not in frost: then it cools by itself, with somebody beside it. */
function cool(scene: Scene): string {
  if ((scene.notes.lastWaterC ?? 0) <= 40 && !isFrosty(scene)) return 'exchange'
  setCover(scene.tub, 'off')
  for (let hour = 0; hour < 4 && stringThermometer(scene) > 35.5; hour += 1) pass(scene.tub, 60)
  return 'cooled'
}

/** As the customer wants it: a set point that nobody wanted is put right here at the latest. */
function restoreSettings(scene: Scene): Given {
  const { tub, notes } = scene
  const foundC = notes.setFoundC ?? tub.settings.believedSetC
  if (Math.abs(foundC - tub.settings.believedSetC) > 0.5) scene.repairs.push('settings')
  tub.settings.heating = 'always'
  changeSetPoint(tub, tub.settings.believedSetC)
  return { form: { form: 'settings', settings: { 'set-point': `${Math.round(toF(tub.settings.setC))} F`, 'heating-mode': 'always' } } }
}

/** The customer's set point where the water is near it; otherwise the water as it is, so that the hold can begin today. */
function holdSeries(scene: Scene): Given {
  const { tub } = scene
  const wantedC = tub.settings.setC
  const waterC = stringThermometer(scene)
  const holdC = Math.abs(waterC - wantedC) <= 0.6 ? setF(wantedC) : Math.min(MOST_C, setF(waterC))
  changeSetPoint(tub, holdC)
  pass(tub, 10)
  const readings = waterSeries(scene, 60, 10)
  const setpoint = { typed: String(Math.round(toF(tub.settings.setC))), unit: 'degF', instrument: 'display' }
  changeSetPoint(tub, wantedC)
  return { readings: { water: readings, setpoint } }
}

/** A series at the pace that the step asks for. */
function series(scene: Scene, step: StepView): Given {
  const { minutes, every } = seriesOf(step)
  return { readings: { water: waterSeries(scene, minutes, every) } }
}

export const PROOF_ANSWERS: Answers = {
  'prove-the-repair.first-look': firstLook,
  'prove-the-repair.circulation': circulation,
  'prove-the-repair.move-lead': (scene) => {
    if (!scene.tub.board.speedLeadsSwapped) return 'unclear'
    correctConfiguration(scene.tub)
    scene.repairs.push('configuration')
    return 'moved'
  },
  'prove-the-repair.wrong-load-off': () => 'off',
  'prove-the-repair.water-now': (scene) => ({
    readings: { water: typedF(stringThermometer(scene), { instrument: 'thermometer-digital' }) },
  }),
  'prove-the-repair.cool-it': cool,
  'prove-the-repair.cool-for-cycles': (scene) => cool(scene),
  'prove-the-repair.still-asked': (scene) => heatingSymbol(scene.tub),
  'prove-the-repair.heat-on': askForHeat,
  'prove-the-repair.heat-on-short': heatOnSeries,
  'prove-the-repair.heat-on-long': heatOnSeries,
  'prove-the-repair.display': (scene) => {
    const readings = waterDisplaySet(scene)
    return readings === undefined ? { not_done: 'no-access' } : { readings }
  },
  'prove-the-repair.heat-off': takeHeatAway,
  'demand-end.test': demandEnds,
  'prove-the-repair.heat-off-short': series,
  'prove-the-repair.heat-off-long': series,
  'prove-the-repair.demand-cycles': cycleDemand,
  'prove-the-repair.settings': restoreSettings,
  'prove-the-repair.hold': holdSeries,
}
