// The tub's own control: what it reads, asks for, shows and refuses. It knows only its sensors, never the true water.
// Limits here belong to an invented control; a driver must not take them for limits of a diagnosis.
import { cabinetC, flowLpm } from './plant.ts'
import type { SensorName, Speed, Tub } from './state.ts'
import { sensorAtInput } from './state.ts'
import { isBoardFed } from './supply.ts'
import { curveCelsius, sensorOhmAtBoard } from './thermistor.ts'
import { SECONDS_PER_DAY, SECONDS_PER_HOUR } from './units.ts'

const SAMPLING_S = 120
/** Rest between two looks at moving water, unless a button was pressed (assumption). */
export const SAMPLING_REST_S = 1800
const COOLING_S = 300
const PRIMING_S = 120
const FLOW_ALARM_S = 20
/** Share of clean low-speed flow at which the flow switch opens (assumption). */
const FLOW_SWITCH_SHARE = 0.35
const LOW_BUTTON_S = 2 * SECONDS_PER_HOUR
const HIGH_BUTTON_S = 20 * 60
const RECOVER_K = 1.5
const FREEZE_C = 4

/** Temperature at a sensor's tip. */
export function sensorTipC(tub: Tub, name: SensorName): number {
  const wellC = name === 'temperature' ? tub.pipeC : tub.chamberC
  const { seat } = tub.sensors[name]
  return wellC * seat + cabinetC(tub) * (1 - seat)
}

/** The temperature the board makes of one of its inputs. */
export function boardReadingC(tub: Tub, input: SensorName): number {
  const name = sensorAtInput(tub, input)
  const ohm = sensorOhmAtBoard(tub.sensors[name], sensorTipC(tub, name))
  const misreadK = input === 'temperature' && tub.board.fault === 'misreads' ? tub.board.misreadK : 0
  return curveCelsius(tub.board.curve, ohm) + misreadK
}

export function control(tub: Tub, dtS: number): void {
  const c = tub.controller
  if (!isBoardFed(tub.feed)) {
    forget(tub)
    return
  }
  c.primingS = Math.max(0, c.primingS - dtS)
  c.buttonS = Math.max(0, c.buttonS - dtS)
  c.coolingS = Math.max(0, c.coolingS - dtS)
  if (c.buttonS === 0) c.button = 'off'
  const readingC = boardReadingC(tub, 'temperature')
  watchLimits(tub, readingC, boardReadingC(tub, 'high-limit'))
  decideDemand(tub, readingC, dtS)
  tub.pump = actualSpeed(tub)
  watchFlow(tub, dtS)
  const blocked = c.overTemperature || c.limitTripped || c.flowLost || c.message === 'sensor' || c.primingS > 0
  c.symbol = c.phase === 'heating' && !blocked
  // A shorted output driver obeys nobody: neither demand nor any limit of the board.
  c.heaterCommand = c.symbol || tub.board.fault === 'output-on'
  if (c.message !== 'sensor') c.message = messageOf(tub)
}

function messageOf(tub: Tub): 'none' | 'over-temperature' | 'heater-too-hot' | 'flow' {
  const c = tub.controller
  if (c.limitTripped) return 'heater-too-hot'
  if (c.overTemperature) return 'over-temperature'
  return c.flowLost ? 'flow' : 'none'
}

function watchLimits(tub: Tub, readingC: number, limitC: number): void {
  const c = tub.controller
  if (readingC >= tub.build.overTemperatureC) c.overTemperature = true
  else if (readingC < tub.build.overTemperatureC - RECOVER_K) c.overTemperature = false
  if (limitC >= tub.build.limitTripC) c.limitTripped = true
  if (c.limitTripped && limitC > tub.build.limitTripC - 3) c.coolingS = COOLING_S
  const sane = readingC > -15 && readingC < 90
  c.message = sane ? (c.message === 'sensor' ? 'none' : c.message) : 'sensor'
}

/** Demand with hysteresis. Before it heats, the control circulates to read moving water. */
function decideDemand(tub: Tub, readingC: number, dtS: number): void {
  const c = tub.controller
  const allowed = tub.settings.heating === 'always' || isFilterDue(tub)
  const cold = readingC <= tub.settings.setC - tub.build.hysteresisK
  const warm = readingC >= tub.settings.setC
  c.phaseS += dtS
  if (tub.board.fault === 'demand-never-ends' && c.demandStays) return
  if (!allowed || (c.phase !== 'idle' && warm)) enter(tub, 'idle')
  else if (c.phase === 'idle' && cold && c.phaseS >= SAMPLING_REST_S) enter(tub, 'sampling')
  else if (c.phase === 'sampling' && c.phaseS >= SAMPLING_S) enter(tub, cold ? 'heating' : 'idle')
  if (c.phase === 'heating') c.demandStays = true
}

function enter(tub: Tub, phase: 'idle' | 'sampling' | 'heating'): void {
  if (tub.controller.phase === phase) return
  tub.controller.phase = phase
  tub.controller.phaseS = 0
}

/** What the control would run, by its own rules, if every output obeyed. */
export function commandedSpeed(tub: Tub): Speed {
  const c = tub.controller
  if (!isBoardFed(tub.feed)) return 'off'
  if (c.coolingS > 0) return 'low'
  if (c.overTemperature) return 'off'
  if (c.buttonS > 0 && c.button !== 'off') return c.button
  if (c.limitTripped) return 'off'
  const runs = tub.build.circulation === 'always' || c.primingS > 0 || c.phase !== 'idle' || isFilterDue(tub) || cabinetC(tub) < FREEZE_C
  return runs ? 'low' : 'off'
}

/** What the pump really does: swapped speed leads exchange low and high, a welded output never lets go. */
function actualSpeed(tub: Tub): Speed {
  const commanded = commandedSpeed(tub)
  const wired = tub.board.speedLeadsSwapped ? swap(commanded) : commanded
  const welded = tub.board.pumpOutputWelded
  if (welded === 'high' || wired === 'high') return 'high'
  return welded === 'low' || wired === 'low' ? 'low' : 'off'
}

function swap(speed: Speed): Speed {
  if (speed === 'off') return 'off'
  return speed === 'low' ? 'high' : 'low'
}

function watchFlow(tub: Tub, dtS: number): void {
  const c = tub.controller
  if (tub.pump === 'off') return
  const poor = flowLpm(tub, tub.pump) < FLOW_SWITCH_SHARE * tub.build.flowLowLpm
  c.poorFlowS = poor ? c.poorFlowS + dtS : 0
  c.flowLost = c.poorFlowS >= FLOW_ALARM_S
}

export function isFilterDue(tub: Tub): boolean {
  const hour = (tub.clockS % SECONDS_PER_DAY) / SECONDS_PER_HOUR
  return tub.settings.filterCycles.some(({ startHour, hours }) => (hour - startHour + 24) % 24 < hours)
}

/** Hours a day in which at least one cycle runs: overlapping cycles count once. */
export function filterHoursPerDay(tub: Tub): number {
  const slots = Array.from({ length: 96 }, (_, at) => at / 4)
  const due = slots.filter((hour) => tub.settings.filterCycles.some((cycle) => (hour - cycle.startHour + 24) % 24 < cycle.hours))
  return due.length / 4
}

export function pressPump(tub: Tub, speed: Speed): void {
  tub.controller.button = speed
  tub.controller.buttonS = speed === 'off' ? 0 : speed === 'low' ? LOW_BUTTON_S : HIGH_BUTTON_S
}

/** Loss of power clears every latch; the next start primes the pump first. */
function forget(tub: Tub): void {
  const c = tub.controller
  tub.pump = 'off'
  Object.assign(c, {
    phase: 'idle',
    phaseS: SAMPLING_REST_S,
    demandStays: false,
    heaterCommand: false,
    symbol: false,
    message: 'none',
    overTemperature: false,
    limitTripped: false,
    flowLost: false,
    poorFlowS: 0,
    primingS: PRIMING_S,
    coolingS: 0,
    button: 'off',
    buttonS: 0,
  })
}
