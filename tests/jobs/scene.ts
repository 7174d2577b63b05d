// The place of one job: the model tub, the clock that runs with it, what the technician has along, and what was noted down.
// Which step is answered how stands in the answer tables; here is only how a reading is taken and typed.
import type { StepView, TypedReading } from '#graphs/contract'
import {
  advance,
  changeSetPoint,
  cupThermometer,
  displayReading,
  panelMessage,
  pass,
  pressPump,
  SET_POINT_RANGE_C,
} from '../model/index.ts'
import type { Tub } from '../model/index.ts'
import type { Clock } from './driver.ts'

/** What is true of this visit and has nothing to do with the fault. */
export type Traits = {
  readonly phoneFirst: boolean
  readonly ownThermometer: boolean
  /** The house meter can be read, and its app knows what the house takes while the tub is off. */
  readonly houseMeter: boolean
  readonly twoWrenches: boolean
  readonly ohmmeter: boolean
  /** True history: somebody fitted a new water sensor nine days ago. */
  readonly sensorReplaced: boolean
  readonly refilled: boolean
  readonly filterOld: boolean
  readonly settingsTouched: boolean
  /** Hours from the call to the visit. */
  readonly travelHours: number
  /** How long the technician stays with a rise that has to be slow or flat, minutes. */
  readonly patienceMinutes: number
}

/** What the technician wrote down on the way and looks up again. */
export type Notes = {
  /** Display and thermometer of the same minute, as last read. */
  compared?: { readonly waterC: number; readonly displayF: number }
  beforeCleaningK?: number
  setFoundC?: number
  returnFlow?: string
  heardAir?: boolean
  jetsHeard?: boolean
  swapped?: { readonly waterC: number; readonly displayF: number }
  withoutHeater?: TypedReading[]
  lastWaterC?: number
}

export type Scene = {
  readonly tub: Tub
  readonly clock: Clock
  readonly traits: Traits
  readonly notes: Notes
  /** Repairs made on the model, in order. */
  readonly repairs: string[]
  readonly startClock: number
  readonly startTubS: number
  /** Seconds that went by in talk, without the tub. */
  talkS: number
  onSite: boolean
}

/** The clock of the phone follows the clock of the tub, and never stands still. */
export function tick(scene: Scene): void {
  scene.talkS += 5
  scene.clock.now = clockOf(scene)
}

function clockOf({ tub, startClock, startTubS, talkS }: Scene): number {
  return Math.round(startClock + (tub.clockS - startTubS + talkS) * 1000)
}

export function isPowered(scene: Scene): boolean {
  return displayReading(scene.tub) !== null
}

/** A thermometer on a string, held mid-depth for two minutes: no hand in the water. degC. */
export function stringThermometer(scene: Scene): number {
  pass(scene.tub, 2)
  const readC = cupThermometer(scene.tub, scene.tub.waterC)
  scene.notes.lastWaterC = readC
  return readC
}

/** Low speed by the button, as far as the panel obeys. */
export function circulateMinutes(scene: Scene, minutes: number): void {
  if (!isPowered(scene)) return pass(scene.tub, minutes)
  pressPump(scene.tub, 'low')
  pass(scene.tub, minutes)
  pressPump(scene.tub, 'off')
}

export function demandLowest(scene: Scene): void {
  changeSetPoint(scene.tub, SET_POINT_RANGE_C.low)
}

export function toF(degC: number): number {
  return degC * 1.8 + 32
}

export function toC(degF: number): number {
  return (degF - 32) / 1.8
}

export function typedF(degC: number, more: { readonly at?: number; readonly instrument?: string } = {}): TypedReading {
  return { typed: toF(degC).toFixed(1), unit: 'degF', ...more }
}

export function typedOhm(ohm: number | null, unit: string): TypedReading {
  if (ohm === null) return { typed: 'OL', unit }
  const factor = unit === 'Mohm' ? 1e6 : unit === 'kohm' ? 1e3 : 1
  return { typed: String(Number((ohm / factor).toFixed(4))), unit }
}

/** Thermometer, display and set point of one minute; undefined with a dark panel. */
export function waterDisplaySet(scene: Scene): { [name: string]: TypedReading } | undefined {
  circulateMinutes(scene, 5)
  const waterC = stringThermometer(scene)
  const displayF = displayReading(scene.tub)
  if (displayF === null) return undefined
  scene.notes.compared = { waterC, displayF }
  return {
    water: typedF(waterC, { instrument: 'thermometer-digital' }),
    display: { typed: String(displayF), unit: 'degF', instrument: 'display' },
    setpoint: { typed: String(Math.round(toF(scene.tub.settings.setC))), unit: 'degF' },
  }
}

/** Reads the thermometer every so many minutes; stops where the work stops at 110 degF. */
export function waterSeries(scene: Scene, minutes: number, every: number, isOver: (read: number) => boolean = () => false): TypedReading[] {
  const readings: TypedReading[] = []
  for (let at = 0; at <= minutes; at += every) {
    if (at > 0) advance(scene.tub, every * 60)
    const readC = cupThermometer(scene.tub, scene.tub.waterC)
    scene.notes.lastWaterC = readC
    scene.clock.now = clockOf(scene)
    readings.push(typedF(readC, { at: scene.clock.now, instrument: 'thermometer-digital' }))
    if (readC >= 43.3 || isOver(readings.length)) break
  }
  return readings
}

/** The pump kept on low by its button while the thermometer is read; nothing else is asked for. */
export function circulatingSeries(scene: Scene, minutes: number, every: number): TypedReading[] {
  const readings: TypedReading[] = []
  for (let at = 0; at <= minutes; at += every) {
    pressPump(scene.tub, 'low')
    if (at > 0) advance(scene.tub, every * 60)
    const readC = cupThermometer(scene.tub, scene.tub.waterC)
    scene.notes.lastWaterC = readC
    scene.clock.now = clockOf(scene)
    readings.push(typedF(readC, { at: scene.clock.now, instrument: 'thermometer-digital' }))
    if (readC >= 43.3) break
  }
  pressPump(scene.tub, 'off')
  return readings
}

export function seriesOf(step: StepView): { minutes: number; every: number } {
  const series = step.readings.find((field) => field.series !== undefined)?.series
  return { minutes: series?.span_minutes ?? 30, every: series?.every_minutes ?? 10 }
}

export function messageNow(scene: Scene): string {
  return panelMessage(scene.tub)
}
