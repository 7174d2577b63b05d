// What instruments show, with their errors. Each error limit carries its mark from the fact sheets:
// V seen in a cited document, D derived there, M from memory, A an engineering assumption.
import { boardReadingC, sensorTipC } from './controller.ts'
import { elementVolts, heaterAmps, heaterPowerW, isPoleClosed, pumpInputW } from './plant.ts'
import { normal, within } from './random.ts'
import type { SensorName, Tub } from './state.ts'
import { isBoxLive, pairsOf, pairVolts } from './supply.ts'
import type { Conductor, Pair } from './supply.ts'
import { sensorOhm } from './thermistor.ts'
import { celsiusToFahrenheit, roundTo } from './units.ts'

/** Below this no ohmmeter shows a steady number on insulation (A: common 20 to 40 Mohm ranges). */
const OHMMETER_END_OHM = 20e6
/** Board, lights and the like, W (A). */
const STANDBY_W = 12

/** Thermometer: constant error within 1.0 K (D, trade C1), repeats to 0.1 K (A, heat 3.5), shows 0.1 K. */
export function readThermometerC(tub: Tub, trueC: number): number {
  const { thermometerOffsetK, thermometerRepeatK } = tub.tools
  return roundTo(trueC + thermometerOffsetK + normal(tub.random, 0, thermometerRepeatK), 0.1)
}

/** The panel shows whole degrees Fahrenheit of what the board makes of its sensor, never the water itself. */
export function readDisplayF(tub: Tub): number {
  return Math.round(celsiusToFahrenheit(boardReadingC(tub, 'temperature')))
}

/** Ohmmeter: 0.9 % constant gain (D, heat section 7) and two counts of the range's last digit. Null is "no reading". */
export function readOhm(tub: Tub, trueOhm: number): number | null {
  if (trueOhm > OHMMETER_END_OHM) return null
  const count = trueOhm < 400 ? 0.1 : trueOhm < 4000 ? 1 : trueOhm < 40_000 ? 10 : trueOhm < 400_000 ? 100 : 10_000
  return Math.max(0, roundTo(trueOhm * (1 + tub.tools.ohmmeterGain) + within(tub.random, 2 * count), count))
}

/** On the unplugged sensor: a bad plug is out of the circuit and cannot show. */
export function readSensorOhm(tub: Tub, which: SensorName, tipC = sensorTipC(tub, which)): number | null {
  return readOhm(tub, sensorOhm(tub.sensors[which], tipC))
}

/** Element, both leads off. Shorted test leads of 0.2 ohm (A) are already subtracted by the person. */
export function readElementOhm(tub: Tub): number | null {
  return readOhm(tub, tub.heater.elementOhm)
}

/** Plain ohmmeter from element to tube: "no reading" is weak, it never clears (trade C1). */
export function readElementToGroundOhm(tub: Tub): number | null {
  return readOhm(tub, tub.heater.elementToGroundOhm)
}

/** 500 V insulation tester, within 10 % (A), megohm, end of range 1000. */
export function readInsulationMegohm(tub: Tub): number {
  return Math.min(1000, roundTo((tub.heater.elementToGroundOhm / 1e6) * (1 + within(tub.random, 0.1)), 0.01))
}

/** Contact of one pole, dead and leads off: a closed contact is tens of milliohm (M), an open one no reading. */
export function readContactOhm(tub: Tub, leg: Conductor): number | null {
  const pole = tub.board.poles.find((one) => one.leg === leg)
  if (pole === undefined) throw new RangeError(`the heater has no pole on ${leg}`)
  return isPoleClosed(tub, pole) ? readOhm(tub, 0.05) : null
}

/** Voltmeter: 1 % gain and 3 counts of 0.1 V (V, S32 of heat-sensors-water). */
export function readVolts(tub: Tub, trueV: number): number {
  return Math.max(0, roundTo(trueV * (1 + tub.tools.voltmeterGain) + within(tub.random, 0.3), 0.1))
}

/** Loading tester on one pair: dead parts show a few tenths at most (common practice, no source). */
export function readProofVolts(tub: Tub, pair: Pair): number {
  if (tub.tools.testerDies) return 0
  const trueV = pairVolts(tub.feed, pair)
  return trueV > 0 ? readVolts(tub, trueV) : roundTo(Math.abs(normal(tub.random, 0, 0.1)), 0.1)
}

export function readAllPairs(tub: Tub): Record<Pair, number> {
  const readings = pairsOf(tub.build.supply).map((pair): [Pair, number] => [pair, readProofVolts(tub, pair)])
  return Object.fromEntries(readings) as Record<Pair, number>
}

/** Clamp on one heater lead: 2 % and 5 counts of 0.1 A (A, heat 3.5). */
export function readHeaterAmps(tub: Tub): number {
  return Math.max(0, roundTo(heaterAmps(tub) * (1 + tub.tools.clampGain) + within(tub.random, 0.5), 0.1))
}

export function readElementVolts(tub: Tub): { across: number; firstToGround: number; secondToGround: number } {
  const { across, firstToGround, secondToGround } = elementVolts(tub)
  return {
    across: readVolts(tub, across),
    firstToGround: readVolts(tub, firstToGround),
    secondToGround: readVolts(tub, secondToGround),
  }
}

/** House meter, kW to two digits: the tub on top of a house whose loads wander (A: 80 W spread, 15 % when kept quiet). */
export function readHouseKw(tub: Tub, house: 'quiet' | 'busy' = 'quiet'): number {
  const { houseW } = tub.tools
  const others = house === 'quiet' ? normal(tub.random, houseW, 0.15 * houseW) : normal(tub.random, 4 * houseW, 2 * houseW)
  return roundTo(Math.max(50, others) / 1000 + tubPowerW(tub) / 1000, 0.01)
}

/** True electrical power of the tub now, W. */
export function tubPowerW(tub: Tub): number {
  if (!isBoxLive(tub.feed)) return 0
  return heaterPowerW(tub) + pumpInputW(tub, tub.pump) + STANDBY_W
}
