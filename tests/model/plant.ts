// What air, sun, pump, pipes and heater circuit give at this moment. Nothing here changes the tub.
// The step in time is in physics.ts, the control that commands outputs in controller.ts.
import { fractionOf } from './random.ts'
import type { Pole, Speed, Tub } from './state.ts'
import { EARTH, isBoardFed, potential, voltsBetween } from './supply.ts'
import type { Phasor } from './supply.ts'
import { SECONDS_PER_DAY, SECONDS_PER_HOUR } from './units.ts'

export const CLEAN_FILTER_LOSS = 0.15
/** Heat path from cabinet to outside, W/K (assumption). */
const CABINET_WK = 15

/** Outside air: mean, daily swing with its peak at 15 h, and a level of its own for each day. */
export function airC(tub: Tub, atS: number): number {
  const { meanC, swingC, dayToDayK } = tub.weather
  const hour = (atS % SECONDS_PER_DAY) / SECONDS_PER_HOUR
  const day = Math.floor(atS / SECONDS_PER_DAY)
  return meanC + swingC * Math.cos((2 * Math.PI * (hour - 15)) / 24) + dayToDayK * (2 * fractionOf(tub.seed, day) - 1)
}

export function sunW(tub: Tub): number {
  const hour = (tub.clockS % SECONDS_PER_DAY) / SECONDS_PER_HOUR
  return hour > 6 && hour < 18 ? tub.weather.sunPeakW * Math.sin((Math.PI * (hour - 6)) / 12) : 0
}

/** Cabinet air: warmed by the motor's losses and a little by the tub. */
export function cabinetC(tub: Tub): number {
  const outsideC = airC(tub, tub.clockS)
  const motorW = pumpInputW(tub, tub.pump) * (1 - tub.build.pumpHeatShare)
  return outsideC + 0.15 * (tub.waterC - outsideC) + motorW / CABINET_WK
}

export function pumpInputW(tub: Tub, speed: Speed): number {
  if (speed === 'off' || !isBoardFed(tub.feed)) return 0
  return speed === 'low' ? tub.build.pumpLowW : tub.build.pumpHighW
}

/** Flow through the heater, L/min: pump strength against the square-law loss of pipes and filter. */
export function flowLpm(tub: Tub, speed: Speed): number {
  if (speed === 'off' || !isBoardFed(tub.feed)) return 0
  const full = speed === 'low' ? tub.build.flowLowLpm : tub.build.flowHighLpm
  const { filterLoss, filterIn, airLocked, pumpHealth } = tub.hydraulics
  const loss = filterIn ? filterLoss : 0
  return full * pumpHealth * Math.sqrt((1 + CLEAN_FILTER_LOSS) / (1 + loss)) * (airLocked ? 0.02 : 1)
}

/** The contact as current would find it now. */
export function isPoleClosed(tub: Tub, pole: Pole): boolean {
  if (!pole.switched) return true
  if (pole.contact === 'stuck-open') return false
  if (pole.contact === 'welded' && !pole.released) return true
  return tub.controller.heaterCommand
}

/** Potentials of the two heater terminals. One closed pole puts its voltage on both, and no current flows. */
function elementEnds(tub: Tub): readonly [Phasor, Phasor] {
  if (tub.heater.leads !== 'on' || tub.heater.separateLimitOpen) return [EARTH, EARTH]
  const ends = tub.board.poles.filter((pole) => isPoleClosed(tub, pole)).map((pole) => potential(tub.feed, pole.leg))
  const one = ends[0] ?? EARTH
  return [one, ends[1] ?? one]
}

export function elementVolts(tub: Tub): { across: number; firstToGround: number; secondToGround: number } {
  const [one, other] = elementEnds(tub)
  return {
    across: voltsBetween(one, other),
    firstToGround: voltsBetween(one, EARTH),
    secondToGround: voltsBetween(other, EARTH),
  }
}

/** Current from the element through its sheath to earth, mA. It depends on where the fault sits. */
export function leakageMa(tub: Tub): number {
  const [one, other] = elementEnds(tub)
  const { leakAt, elementToGroundOhm } = tub.heater
  const spot: Phasor = {
    real: one.real + leakAt * (other.real - one.real),
    imaginary: one.imaginary + leakAt * (other.imaginary - one.imaginary),
  }
  return (1000 * voltsBetween(spot, EARTH)) / elementToGroundOhm
}

/** Heater power, V squared over R: a fixed resistance. */
export function heaterPowerW(tub: Tub): number {
  return elementVolts(tub).across ** 2 / tub.heater.elementOhm
}

export function heaterAmps(tub: Tub): number {
  return elementVolts(tub).across / tub.heater.elementOhm
}
