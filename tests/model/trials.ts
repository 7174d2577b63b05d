// Trials that take time: rise series, heater in and out, and the three proofs after a repair (heats, stops, holds).
// Each gives the readings a person writes down and, apart from them, what was true.
import { pressPump } from './controller.ts'
import { heaterLeads } from './box.ts'
import { readHeaterAmps, readHouseKw, readThermometerC } from './instruments.ts'
import { changeSetPoint, demandOff, displayReading, heatingSymbol, panelMessage, SET_POINT_RANGE_C } from './person.ts'
import { advance } from './physics.ts'
import { isolate, restorePower } from './power.ts'
import type { Message, Speed, Tub } from './state.ts'
import { SECONDS_PER_HOUR } from './units.ts'

export type RisePoint = {
  minute: number
  thermometerC: number
  displayF: number | null
  symbol: 'on' | 'off'
  pump: Speed
  message: Message
}

export type RiseSeries = {
  points: RisePoint[]
  /** The pump ran at every reading, and on low. */
  circulatedOnLow: boolean
  stoppedEarly: boolean
}

/**
 * Thermometer every so many minutes, jets off, cover on, low speed kept running by its button.
 * With demand off the set point goes to its lowest, otherwise to its highest; it stays there.
 */
export function riseSeries(tub: Tub, run: { demandOff: boolean; minutes: number; every: number; stopAtC?: number }): RiseSeries {
  if (!(run.every > 0) || !(run.minutes >= run.every)) throw new RangeError('a series needs a step, and at least one of it')
  tub.cover = 'on'
  if (run.demandOff) demandOff(tub)
  else changeSetPoint(tub, SET_POINT_RANGE_C.high)
  // Ten minutes to mix and, with demand on, to get through sampling.
  pressPump(tub, 'low')
  advance(tub, 600)
  const points = [risePoint(tub, 0)]
  let stoppedEarly = false
  for (let minute = run.every; minute <= run.minutes; minute += run.every) {
    pressPump(tub, 'low')
    advance(tub, run.every * 60)
    const point = risePoint(tub, minute)
    points.push(point)
    stoppedEarly = run.stopAtC !== undefined && point.thermometerC >= run.stopAtC
    if (stoppedEarly) break
  }
  pressPump(tub, 'off')
  return { points, circulatedOnLow: points.every((point) => point.pump === 'low'), stoppedEarly }
}

function risePoint(tub: Tub, minute: number): RisePoint {
  return {
    minute,
    thermometerC: readThermometerC(tub, tub.waterC),
    displayF: displayReading(tub),
    symbol: heatingSymbol(tub),
    pump: tub.pump,
    message: panelMessage(tub),
  }
}

/** Two runs with demand off, same pump speed and cover: first without the heater, then with it. Power is on at the end. */
export function heaterOutComparison(
  tub: Tub,
  run: { minutes: number; every: number; stopAtC?: number },
): { without: RiseSeries; connected: RiseSeries } {
  isolate(tub)
  heaterLeads(tub, 'off-and-capped')
  restorePower(tub)
  const without = riseSeries(tub, { ...run, demandOff: true })
  isolate(tub)
  heaterLeads(tub, 'on')
  restorePower(tub)
  return { without, connected: riseSeries(tub, { ...run, demandOff: true }) }
}

export type HeatOn = { symbol: 'on' | 'off'; message: Message; heaterAmps: number; houseKw: number; riseK: number; truth: boolean }

/** Set point to its highest, then half an hour. True when the element took its power for most of it. */
export function heatOnTrial(tub: Tub): HeatOn {
  changeSetPoint(tub, SET_POINT_RANGE_C.high)
  const startC = readThermometerC(tub, tub.waterC)
  const startJ = tub.ledger.heaterJ
  advance(tub, 900)
  const seen = {
    symbol: heatingSymbol(tub),
    message: panelMessage(tub),
    heaterAmps: readHeaterAmps(tub),
    houseKw: readHouseKw(tub),
  }
  advance(tub, 900)
  const riseK = readThermometerC(tub, tub.waterC) - startC
  const wholeJ = tub.build.heaterRatedW * supplyShare(tub) ** 2 * 1800
  return { ...seen, riseK, truth: tub.ledger.heaterJ - startJ > 0.6 * wholeJ }
}

/** Site voltage over the heater's rated voltage. */
function supplyShare(tub: Tub): number {
  const nominalV = tub.build.supply === 'cord-120' ? 120 : tub.build.supply === 'wye-208-4wire' ? 120 * Math.sqrt(3) : 240
  return (nominalV * tub.feed.level) / tub.build.heaterRatedV
}

export type HeatOff = { symbol: 'on' | 'off'; heaterAmps: number; houseKw: number; truth: boolean }

/** Set point to its lowest, five minutes. True when the element is then without current. */
export function heatOffTrial(tub: Tub): HeatOff {
  demandOff(tub)
  advance(tub, 300)
  const startJ = tub.ledger.heaterJ
  advance(tub, 60)
  return {
    symbol: heatingSymbol(tub),
    heaterAmps: readHeaterAmps(tub),
    houseKw: readHouseKw(tub),
    truth: tub.ledger.heaterJ === startJ,
  }
}

export type Hold = { setC: number; thermometerC: number[]; highestAboveSetK: number; endsAboveSetK: number; truth: boolean }

/**
 * Leaves the tub at a set point. True when the water ends within 1 K of it (sensor 0.41 K, hysteresis 0.56 K), or is
 * still on its way towards it from the side where it began.
 */
export function holdTrial(tub: Tub, hold: { setC: number; hours: number }): Hold {
  changeSetPoint(tub, hold.setC)
  const { setC } = tub.settings
  const startC = tub.waterC
  const thermometerC = [readThermometerC(tub, tub.waterC)]
  let highestAboveSetK = startC - setC
  for (let hour = 0; hour < hold.hours; hour += 1) {
    advance(tub, SECONDS_PER_HOUR)
    thermometerC.push(readThermometerC(tub, tub.waterC))
    highestAboveSetK = Math.max(highestAboveSetK, tub.waterC - setC)
  }
  const endsAboveSetK = tub.waterC - setC
  const nearer = Math.sign(endsAboveSetK) === Math.sign(startC - setC) && Math.abs(endsAboveSetK) < Math.abs(startC - setC) - 0.05
  return { setC, thermometerC, highestAboveSetK, endsAboveSetK, truth: Math.abs(endsAboveSetK) <= 1 || nearer }
}
