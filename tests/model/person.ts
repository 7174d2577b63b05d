// What a person standing at the tub observes with every cover on: look, listen, thermometer, panel, house meter.
// Readings are numbers with instrument error; looks are words. No verdicts: judging is for whoever asked.
import { commandedSpeed, filterHoursPerDay, isFilterDue, pressPump, SAMPLING_REST_S } from './controller.ts'
import { readDisplayF, readHouseKw, readThermometerC } from './instruments.ts'
import { advance } from './physics.ts'
import { airC, cabinetC, CLEAN_FILTER_LOSS, flowLpm } from './plant.ts'
import { isolate, restorePower, touchPump, touchWater } from './power.ts'
import { chance, normal } from './random.ts'
import type { FilterCycle, Message, Speed, Tub } from './state.ts'
import { isBoardFed } from './supply.ts'
import { celsiusToFahrenheit, fahrenheitDifferenceToKelvin, fahrenheitToCelsius, SECONDS_PER_DAY } from './units.ts'

export { airC } from './plant.ts'
export { pressPump } from './controller.ts'

/** Range of the panel's set point: 80 to 104 degF, the ceiling being the long-standing maximum (CPSC 1979). */
export const SET_POINT_RANGE_C = { low: fahrenheitToCelsius(80), high: 40 }

/** As found, nothing changed. */
export function heatingSymbol(tub: Tub): 'on' | 'off' {
  return slip(tub, tub.controller.symbol) ? 'on' : 'off'
}

export function panelMessage(tub: Tub): Message {
  return isBoardFed(tub.feed) ? tub.controller.message : 'none'
}

/** The number on the panel, degF; null with no power. */
export function displayReading(tub: Tub): number | null {
  return isBoardFed(tub.feed) ? readDisplayF(tub) : null
}

/** Circulates five minutes where the tub allows it, then holds the thermometer mid-depth for two. Result in degC. */
export function thermometer(tub: Tub): number {
  touchWater(tub, 'thermometer')
  circulate(tub, 5)
  return readThermometerC(tub, tub.waterC)
}

/** Both numbers in the same minute, and the set point on the sheet. */
export function thermometerAndDisplay(tub: Tub): { thermometerC: number; displayF: number | null; setF: number; message: Message } {
  const thermometerC = thermometer(tub)
  return {
    thermometerC,
    displayF: displayReading(tub),
    setF: Math.round(celsiusToFahrenheit(tub.settings.setC)),
    message: panelMessage(tub),
  }
}

export function setCover(tub: Tub, cover: 'on' | 'off'): void {
  tub.cover = cover
}

/** Low speed by the button. False when the tub will not run its pump (a message, no power). */
export function circulate(tub: Tub, minutes: number): boolean {
  const was = tub.controller.button
  pressPump(tub, 'low')
  advance(tub, minutes * 60)
  const runs = tub.pump !== 'off'
  pressPump(tub, was)
  return runs
}

export type SettingsSheet = {
  setF: number
  believedSetF: number
  heating: 'always' | 'filter-hours-only'
  cycles: FilterCycle[]
  filterHoursPerDay: number
  /** What differs from what the customer thinks. */
  differs: ('set-point' | 'heating-mode')[]
}

export function settings(tub: Tub): SettingsSheet {
  const { setC, believedSetC, heating, filterCycles } = tub.settings
  const setF = Math.round(celsiusToFahrenheit(setC))
  const believedSetF = Math.round(celsiusToFahrenheit(believedSetC))
  const differs: SettingsSheet['differs'] = []
  if (setF !== believedSetF) differs.push('set-point')
  if (heating !== 'always') differs.push('heating-mode')
  return { setF, believedSetF, heating, cycles: filterCycles, filterHoursPerDay: filterHoursPerDay(tub), differs }
}

export function changeSetPoint(tub: Tub, setC: number): void {
  tub.settings.setC = Math.min(SET_POINT_RANGE_C.high, Math.max(SET_POINT_RANGE_C.low, setC))
  // A press at the panel makes the control look at the water at once.
  tub.controller.phaseS = Math.max(tub.controller.phaseS, SAMPLING_REST_S)
}

/** Set point to its lowest: demand off, unless the control does not obey. */
export function demandOff(tub: Tub): void {
  changeSetPoint(tub, SET_POINT_RANGE_C.low)
  advance(tub, 60)
}

export type PumpBehaviour = { heard: Speed; expected: Speed; asExpected: boolean }

/** Ears at the tub. A pump that runs for no visible reason is listened to for five more minutes: it may only be sampling. */
export function pumpBehaviour(tub: Tub): PumpBehaviour {
  if (tub.pump !== expectedSpeed(tub)) advance(tub, 300)
  const expected = expectedSpeed(tub)
  return { heard: tub.pump, expected, asExpected: slip(tub, tub.pump === expected) }
}

/** What panel, schedule and frost would explain. */
function expectedSpeed(tub: Tub): Speed {
  const c = tub.controller
  if (!isBoardFed(tub.feed) || c.message === 'over-temperature') return 'off'
  if (c.message === 'heater-too-hot' || c.message === 'flow') return commandedSpeed(tub)
  if (c.buttonS > 0 && c.button !== 'off') return c.button
  const frost = cabinetC(tub) < 4
  const priming = c.primingS > 0
  const always = tub.build.circulation === 'always'
  return always || c.symbol || c.phase === 'heating' || isFilterDue(tub) || frost || priming ? 'low' : 'off'
}

/** Each pump button in turn: what is heard after low, after high and after off. */
export function outputWalk(tub: Tub): { low: Speed; high: Speed; off: Speed } {
  const heard = (['low', 'high', 'off'] as const).map((speed): Speed => {
    pressPump(tub, speed)
    advance(tub, 30)
    return tub.pump
  })
  const [low = 'off', high = 'off', off = 'off'] = heard
  return { low, high, off }
}

/** Filter out for five minutes, pumps off before and after, then in again. */
export function filterOutImproves(tub: Tub): 'improves' | 'no-change' | 'not-done' {
  const runs = circulate(tub, 2)
  const withFilter = flowLpm(tub, tub.pump)
  stopPump(tub)
  touchPump(tub, 'filter pulled')
  tub.hydraulics.filterIn = false
  circulate(tub, 5)
  const withoutFilter = flowLpm(tub, tub.pump)
  stopPump(tub)
  touchPump(tub, 'filter refitted')
  tub.hydraulics.filterIn = true
  if (!runs) return 'not-done'
  // A difference of a fifth is what a hand at the return notices (assumption); a clean filter gives 7 %.
  return slip(tub, withoutFilter > 1.2 * withFilter) ? 'improves' : 'no-change'
}

/** Hand at the heater return, pump on low. Steps a hand can tell apart are an assumption. */
export function returnFlow(tub: Tub): 'strong' | 'weak' | 'none-or-surging' | 'not-done' {
  touchWater(tub, 'hand at the return')
  if (!circulate(tub, 2)) return 'not-done'
  const share = flowLpm(tub, tub.pump) / cleanFlowLpm(tub)
  if (share > 0.7) return 'strong'
  return share > 0.12 ? 'weak' : 'none-or-surging'
}

function cleanFlowLpm(tub: Tub): number {
  const clean: Tub['hydraulics'] = { filterLoss: CLEAN_FILTER_LOSS, filterIn: true, airLocked: false, pumpHealth: 1 }
  return flowLpm({ ...tub, hydraulics: clean }, tub.pump === 'off' ? 'low' : tub.pump)
}

function stopPump(tub: Tub): void {
  pressPump(tub, 'off')
  advance(tub, 60)
}

/** House meter, kW, with the tub as it runs now. */
export function houseMeter(tub: Tub, house: 'quiet' | 'busy' = 'quiet'): number {
  return readHouseKw(tub, house)
}

/** The same meter with the tub's breaker open for a minute: what the house takes by itself. */
export function houseMeterWithTubOff(tub: Tub, house: 'quiet' | 'busy' = 'quiet'): number {
  isolate(tub)
  const kw = readHouseKw(tub, house)
  restorePower(tub)
  return kw
}

/** Set five degrees Fahrenheit above the water shown, wait five minutes, put it back. */
export function heatingSymbolOnRequest(tub: Tub): 'on' | 'off' | 'message' {
  const was = tub.settings.setC
  const shownC = fahrenheitToCelsius(displayReading(tub) ?? 0)
  changeSetPoint(tub, shownC + fahrenheitDifferenceToKelvin(5))
  advance(tub, 300)
  const seen = panelMessage(tub) !== 'none' ? 'message' : heatingSymbol(tub)
  tub.settings.setC = was
  advance(tub, 30)
  return seen
}

/** Mean outside air of the last seven days, degC, as a person gets it from a forecast page (within about 1 K: assumption). */
export function airWeekMean(tub: Tub): number {
  const hours = Array.from({ length: 168 }, (_, at) => airC(tub, Math.max(0, tub.clockS - at * 3600)))
  return hours.reduce((sum, value) => sum + value, 0) / hours.length + errorOnce(tub, 'air-week-mean', 0.5)
}

/** Lowest outside air of the last three days, degC. */
export function nightLow(tub: Tub): number {
  const hours = Array.from({ length: 72 }, (_, at) => airC(tub, Math.max(0, tub.clockS - at * 3600)))
  return Math.min(...hours) + errorOnce(tub, 'night-low', 0.5)
}

export function sunOnTub(tub: Tub): 'full' | 'some' | 'none' {
  const { sunPeakW } = tub.weather
  if (sunPeakW > 45) return 'full'
  return sunPeakW > 10 ? 'some' : 'none'
}

/** The test button of the ground-fault device; the tub loses power for a moment and starts afresh. */
export function gfciTestButton(tub: Tub): 'trips-and-resets' | 'does-not-trip' | 'trips-no-reset' {
  const { gfci } = tub.feed
  if (gfci.health === 'does-not-trip') return 'does-not-trip'
  gfci.tripped = true
  advance(tub, 30)
  if (gfci.health === 'will-not-reset') return 'trips-no-reset'
  gfci.tripped = false
  advance(tub, 180)
  return gfci.tripped ? 'trips-no-reset' : 'trips-and-resets'
}

export type Night = { bedtimeC: number; wakingC: number }

/** Filtration three hours at night, thermometer at 22 h and 7 h. The programme stays changed, as the customer leaves it. */
export function coolDownTrial(tub: Tub, nights: number): Night[] {
  tub.settings.filterCycles = [{ startHour: 2, hours: 3 }]
  return Array.from({ length: nights }, () => {
    advanceToHour(tub, 22)
    const bedtimeC = thermometer(tub)
    advanceToHour(tub, 7)
    return { bedtimeC, wakingC: thermometer(tub) }
  })
}

function advanceToHour(tub: Tub, hour: number): void {
  const nowS = tub.clockS % SECONDS_PER_DAY
  advance(tub, (hour * 3600 - nowS + SECONDS_PER_DAY) % SECONDS_PER_DAY, 60)
}

/** A yes-or-no seen wrongly now and then, if the tub was made with slips. */
function slip(tub: Tub, truth: boolean): boolean {
  return tub.slips > 0 && chance(tub.random, tub.slips) ? !truth : truth
}

/** The same source asked twice gives the same error. */
function errorOnce(tub: Tub, key: string, deviation: number): number {
  tub.looks[key] ??= String(normal(tub.random, 0, deviation))
  return Number(tub.looks[key])
}
