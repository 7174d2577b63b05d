// The laws of motion: water, heater chamber, pipe, air, flow, electrical power. One step is at most 30 s.
// The controller decides what is commanded; this file says what then really happens.
import { control } from './controller.ts'
import { airC, cabinetC, flowLpm, heaterPowerW, leakageMa, pumpInputW, sunW } from './plant.ts'
import type { Tub } from './state.ts'
import { isBoardFed } from './supply.ts'
import { LITRES_PER_GALLON } from './units.ts'
import { densityKgM3, evaporationKgSM2, latentHeatKjKg, specificHeatJKgK } from './water.ts'

/** Heater tube of about 1.5 litres (assumption); with the pump off it stirs itself about 1.5 L/min (assumption). */
export const CHAMBER_JK = 1.5 * 4180
const SELF_STIRRING_LPM = 1.5
const BOILING_C = 100
/** Sensor pipe: follows the water in seconds when flowing, the cabinet in about 1.5 h when not (assumption). */
const PIPE_FLOWING_S = 20
const PIPE_RESTING_S = 5400
/** Welds that let go do so after this long without current (assumption). */
const WELD_COOLS_S = 900

/** Run the tub. Time is simulated: nothing waits. */
export function advance(tub: Tub, seconds: number, stepS = 30): void {
  if (!(seconds >= 0) || !(stepS > 0)) throw new RangeError('advance needs seconds of zero or more and a positive step')
  let leftS = seconds
  while (leftS > 1e-9) {
    const dtS = Math.min(stepS, leftS)
    control(tub, dtS)
    step(tub, dtS)
    tub.clockS += dtS
    leftS -= dtS
  }
}

function step(tub: Tub, dtS: number): void {
  restRelays(tub, dtS)
  const { gfci } = tub.feed
  if (gfci.health !== 'does-not-trip' && leakageMa(tub) >= gfci.tripMa) gfci.tripped = true
  tub.heaterW = heaterPowerW(tub)
  const flowing = flowLpm(tub, tub.pump) > 1
  const fromHeaterJ = stepChamber(tub, dtS)
  const pumpJ = pumpInputW(tub, tub.pump) * tub.build.pumpHeatShare * dtS
  const sunJ = sunW(tub) * dtS
  const gainJ = fromHeaterJ + pumpJ + sunJ
  const roughK = (gainJ - lossW(tub, tub.waterC) * dtS) / heatCapacityJK(tub, tub.waterC)
  // Losses and capacity at mid-step: second order, and the ledger gets the same joules the water gets.
  const middleC = tub.waterC + roughK / 2
  const dryJ = dryLossW(tub, middleC) * dtS
  const wetJ = evaporationW(tub, middleC) * dtS
  tub.waterC += (gainJ - dryJ - wetJ) / heatCapacityJK(tub, middleC)
  tub.ledger.heaterJ += tub.heaterW * dtS
  tub.ledger.pumpJ += pumpJ
  tub.ledger.sunJ += sunJ
  tub.ledger.lossJ += dryJ
  tub.ledger.evaporationJ += wetJ
  const target = flowing ? tub.waterC : cabinetC(tub)
  tub.pipeC += (target - tub.pipeC) * (1 - Math.exp(-dtS / (flowing ? PIPE_FLOWING_S : PIPE_RESTING_S)))
}

/** Moves the heater chamber and returns the heat it handed to the water, J. */
function stepChamber(tub: Tub, dtS: number): number {
  const litresPerMinute = Math.max(flowLpm(tub, tub.pump), SELF_STIRRING_LPM)
  const pathWK = (litresPerMinute / 60_000) * densityKgM3(tub.waterC) * specificHeatJKgK(tub.waterC)
  const settledC = tub.waterC + tub.heaterW / pathWK
  const before = tub.chamberC
  const after = settledC + (before - settledC) * Math.exp((-dtS * pathWK) / CHAMBER_JK)
  // Boiling carries the rest of the heat into the tub as steam bubbles.
  tub.chamberC = Math.min(after, BOILING_C)
  if (tub.build.separateLimit && tub.chamberC >= tub.build.separateLimitC) tub.heater.separateLimitOpen = true
  return tub.heaterW * dtS - CHAMBER_JK * (tub.chamberC - before)
}

export function waterMassKg(tub: Tub): number {
  return ((tub.build.gallons * LITRES_PER_GALLON) / 1000) * densityKgM3(tub.build.volumeReadAtC)
}

/** The tub without its heater chamber, which is stepped by itself. */
export function heatCapacityJK(tub: Tub, atC: number): number {
  return waterMassKg(tub) * specificHeatJKgK(atC) + tub.build.shellJK - CHAMBER_JK
}

export function lossW(tub: Tub, waterC: number): number {
  return dryLossW(tub, waterC) + evaporationW(tub, waterC)
}

function dryLossW(tub: Tub, waterC: number): number {
  const covered = tub.build.uaWK * (waterC - airC(tub, tub.clockS))
  if (tub.cover === 'on') return covered
  // Open water: evaporation is about 65 % of what leaves the surface outdoors (Smith, Lof, Jones 1998: 60-70 %).
  return covered + evaporationW(tub, waterC) * (0.35 / 0.65)
}

function evaporationW(tub: Tub, waterC: number): number {
  if (tub.cover === 'on') return 0
  const { relativeHumidity, windMS } = tub.weather
  const rate = evaporationKgSM2({ waterC, airC: airC(tub, tub.clockS), relativeHumidity, windMS, stillPool: true })
  return rate * tub.build.waterAreaM2 * latentHeatKjKg(waterC) * 1000
}

function restRelays(tub: Tub, dtS: number): void {
  tub.isolatedForS = isBoardFed(tub.feed) ? 0 : tub.isolatedForS + dtS
  for (const pole of tub.board.poles) {
    if (pole.contact !== 'welded' || !pole.weldsLetGo) continue
    if (tub.controller.heaterCommand) pole.released = false
    else if (tub.isolatedForS >= WELD_COOLS_S) pole.released = true
  }
}
