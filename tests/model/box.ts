// What a person finds with the box open and proved dead, and what a qualified person measures with it live.
// Hands in a live box are recorded as exposures; the order of work is the asker's business.
import { boardReadingC, sensorTipC } from './controller.ts'
import {
  readContactOhm,
  readElementOhm,
  readElementToGroundOhm,
  readElementVolts,
  readHeaterAmps,
  readOhm,
  readInsulationMegohm,
  readProofVolts,
  readSensorOhm,
  readThermometerC,
} from './instruments.ts'
import { advance } from './physics.ts'
import { isPoleClosed } from './plant.ts'
import { circulate, displayReading, demandOff } from './person.ts'
import { restorePower, touchBox } from './power.ts'
import { pickWeighted } from './random.ts'
import { cleanPlug } from './repairs.ts'
import type { SensorName, Tub } from './state.ts'
import type { Conductor, Pair } from './supply.ts'
import { pairsOf } from './supply.ts'
import { celsiusToFahrenheit } from './units.ts'

/** Tester proved, every pair, tester proved again. The tester may die in between. */
export function proofVoltages(
  tub: Tub,
  pairs: readonly Pair[] = pairsOf(tub.build.supply),
): { provedBefore: boolean; volts: Partial<Record<Pair, number>>; provedAfter: boolean } {
  const volts: Partial<Record<Pair, number>> = {}
  for (const pair of pairs) volts[pair] = readProofVolts(tub, pair)
  return { provedBefore: true, volts, provedAfter: !tub.tools.testerDies }
}

type Look = 'burnt' | 'wet-corroded' | 'clean'

/** What is found on a dead look, by fault: estimates from memory (trade C3), the one place where the model has no physics. */
const LOOKS: Readonly<Record<string, Readonly<Record<Look, number>>>> = {
  'flow-low': { burnt: 0.05, 'wet-corroded': 0.06, clean: 0.89 },
  'circ-pump-weak': { burnt: 0.05, 'wet-corroded': 0.06, clean: 0.89 },
  'air-lock': { burnt: 0.03, 'wet-corroded': 0.06, clean: 0.91 },
  'tsensor-bad': { burnt: 0.04, 'wet-corroded': 0.4, clean: 0.56 },
  'tsensor-seat': { burnt: 0.04, 'wet-corroded': 0.1, clean: 0.86 },
  'plug-corroded': { burnt: 0.04, 'wet-corroded': 0.8, clean: 0.16 },
  'highlimit-sensor-bad': { burnt: 0.05, 'wet-corroded': 0.35, clean: 0.6 },
  'relay-stuck': { burnt: 0.45, 'wet-corroded': 0.1, clean: 0.45 },
  'relay-one-pole': { burnt: 0.45, 'wet-corroded': 0.1, clean: 0.45 },
  'board-logic': { burnt: 0.25, 'wet-corroded': 0.25, clean: 0.5 },
  'pump-stuck-on': { burnt: 0.2, 'wet-corroded': 0.1, clean: 0.7 },
  'config-wrong': { burnt: 0.08, 'wet-corroded': 0.12, clean: 0.8 },
}
const NOTHING_TO_SEE: Readonly<Record<Look, number>> = { burnt: 0.03, 'wet-corroded': 0.05, clean: 0.92 }

/** The same tub shows the same thing when looked at twice. */
export function deadLook(tub: Tub): Look {
  touchBox(tub, 'dead look')
  const row = tub.faults.map((fault) => LOOKS[fault.slug]).find((one) => one !== undefined) ?? NOTHING_TO_SEE
  tub.looks['dead-look'] ??= pickWeighted(tub.random, row)
  return tub.looks['dead-look'] as Look
}

/** Ohm of one unplugged sensor, in a cup at `bathC` or, without it, where it sits. Null is "no reading". */
export function sensorResistance(tub: Tub, which: SensorName, bathC?: number): number | null {
  touchBox(tub, `sensor unplugged: ${which}`)
  return readSensorOhm(tub, which, bathC ?? sensorTipC(tub, which))
}

/** Thermometer in a cup whose true temperature is given. */
export function cupThermometer(tub: Tub, cupC: number): number {
  return readThermometerC(tub, cupC)
}

/** Push gently: is it bottomed? A sensor that takes 3 % or more of its warmth from cabinet air is visibly out (assumption). */
export function seating(tub: Tub, which: SensorName = 'temperature'): 'seated' | 'out' {
  touchBox(tub, `sensor pushed: ${which}`)
  return tub.sensors[which].seat > 0.97 ? 'seated' : 'out'
}

export type PlugComparison = {
  /** Display minus sensor-tip temperature before and after, as two thermometers of the same error would give it, degF. */
  before: { displayF: number; thermometerC: number }
  after: { displayF: number | null; thermometerC: number }
}

/** Cleans and reseats the temperature sensor's plug with power off, powers up, circulates, reads again. Power stays on. */
export function plugCleanedChangesReading(tub: Tub): PlugComparison {
  const tipC = sensorTipC(tub, 'temperature')
  const before = {
    displayF: Math.round(celsiusToFahrenheit(boardReadingC(tub, 'temperature'))),
    thermometerC: readThermometerC(tub, tipC),
  }
  cleanPlug(tub, 'temperature')
  restorePower(tub)
  circulate(tub, 5)
  return { before, after: { displayF: displayReading(tub), thermometerC: readThermometerC(tub, tub.waterC) } }
}

/** Sensor plugs exchanged at the board; call again to put them back. */
export function exchangeSensorPlugs(tub: Tub): void {
  touchBox(tub, 'sensor plugs exchanged')
  tub.sensorsSwapped = !tub.sensorsSwapped
}

/** Switches, sensor type and speed leads against the label. */
export function switchesMatch(tub: Tub): 'match' | 'mismatch' | 'no-diagram' {
  touchBox(tub, 'switches compared')
  if (!tub.build.hasDiagram) return 'no-diagram'
  const rightSensors = Object.values(tub.sensors).every((sensor) => sensor.curve === tub.board.curve)
  return rightSensors && !tub.board.speedLeadsSwapped ? 'match' : 'mismatch'
}

export type PoleReading = { leg: Conductor; switched: boolean; ohm: number | null }

/** Supply terminal to heater post, each pole by itself; null is an open contact. */
export function relayContacts(tub: Tub): PoleReading[] {
  touchBox(tub, 'relay contacts')
  return tub.board.poles.map(({ leg, switched }) => ({ leg, switched, ohm: readContactOhm(tub, leg) }))
}

export function heaterLeads(tub: Tub, leads: 'on' | 'off-and-capped'): void {
  touchBox(tub, `heater leads ${leads}`)
  tub.heater.leads = leads
}

export function elementResistance(tub: Tub): number | null {
  touchBox(tub, 'element resistance')
  return readElementOhm(tub)
}

/** Plain ohmmeter (null: no reading, which is weak) and the qualified person's 500 V test. */
export function elementToGround(tub: Tub): { ohmmeterOhm: number | null; insulationMegohm: number } {
  touchBox(tub, 'element to ground')
  return { ohmmeterOhm: readElementToGroundOhm(tub), insulationMegohm: readInsulationMegohm(tub) }
}

export type LiveHeater = { amps: number; volts: { across: number; firstToGround: number; secondToGround: number } }

/** A transformer primary across the feed, ohm (assumption: tens of ohms). */
const TRANSFORMER_OHM = 45

/** Dead feed before covers close: each hot to ground, and the two feed conductors of the heater to each other. */
export function deadFeed(tub: Tub): { hotToGroundOhm: (number | null)[]; lineToLineOhm: number | null } {
  touchBox(tub, 'dead feed check')
  const connected = tub.heater.leads === 'on' && !tub.heater.separateLimitOpen
  const closed = tub.board.poles.map((pole) => connected && isPoleClosed(tub, pole))
  const elementAcross = closed.every(Boolean)
  const lineOhm = elementAcross ? 1 / (1 / TRANSFORMER_OHM + 1 / tub.heater.elementOhm) : TRANSFORMER_OHM
  return {
    // An element with a leaking sheath shows on the hot whose pole is closed.
    hotToGroundOhm: closed.map((isClosed) => (isClosed ? readElementToGroundOhm(tub) : null)),
    lineToLineOhm: readOhm(tub, lineOhm),
  }
}

/** Qualified person, energized: clamp and voltmeter at the heater, set point at its lowest, pump settled on low. */
export function heaterWithDemandOff(tub: Tub): LiveHeater {
  demandOff(tub)
  advance(tub, 120)
  return liveHeater(tub)
}

/** The same without touching the panel. */
export function liveHeater(tub: Tub): LiveHeater {
  return { amps: readHeaterAmps(tub), volts: readElementVolts(tub) }
}

/** Qualified person, energized: one pair at the terminal block under whatever load runs. */
export function supplyVolts(tub: Tub, pair: Pair): number {
  return readProofVolts(tub, pair)
}
