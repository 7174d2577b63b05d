// Repairs: each removes causes, never symptoms. Whether the tub then heats, stops and holds is for the physics to show.
// A repair that does not touch the fault leaves it in place.
import { CLEAN_FILTER_LOSS } from './plant.ts'
import { touchBox, touchPump } from './power.ts'
import type { SensorName, Tub } from './state.ts'
import type { CurveName } from './thermistor.ts'
import { drawnSensor } from './tub.ts'

/** A new board: contacts, outputs and logic. Its switches are set by the label unless the old setting is copied. */
export function replaceBoard(tub: Tub, configuration: 'by-label' | 'as-old' = 'by-label'): void {
  touchBox(tub, 'board replaced')
  tub.board.fault = 'none'
  tub.board.misreadK = 0
  tub.board.pumpOutputWelded = 'off'
  for (const pole of tub.board.poles) Object.assign(pole, { contact: 'good', released: false })
  if (configuration === 'by-label') tub.board.speedLeadsSwapped = false
}

/** Where relay or contactor is a part of its own. */
export function replaceRelay(tub: Tub): void {
  touchBox(tub, 'relay replaced')
  for (const pole of tub.board.poles) Object.assign(pole, { contact: 'good', released: false })
}

/** Both halves cleaned, dried, reseated. */
export function cleanPlug(tub: Tub, which: SensorName = 'temperature'): void {
  touchBox(tub, `plug cleaned: ${which}`)
  tub.sensors[which].plugSeriesOhm = 0
  tub.sensors[which].plugLeakOhm = Number.POSITIVE_INFINITY
}

/** A new sensor, bottomed in its well. The old plug on the board side keeps its corrosion. */
export function replaceSensor(tub: Tub, which: SensorName, curve: CurveName = tub.board.curve): void {
  touchBox(tub, `sensor replaced: ${which}`)
  const { plugSeriesOhm, plugLeakOhm } = tub.sensors[which]
  tub.sensors[which] = { ...drawnSensor(tub.random, curve, 0.01), plugSeriesOhm, plugLeakOhm }
}

export function reseat(tub: Tub, which: SensorName = 'temperature'): void {
  touchBox(tub, `sensor reseated: ${which}`)
  tub.sensors[which].seat = 1
}

/** The set point the customer meant, heating at any hour. */
export function correctSettings(tub: Tub): void {
  tub.settings.setC = tub.settings.believedSetC
  tub.settings.heating = 'always'
}

/** Two short filter cycles at the cool hours. */
export function shortenFiltration(tub: Tub, hoursPerCycle = 2): void {
  tub.settings.filterCycles = [
    { startHour: 5, hours: hoursPerCycle },
    { startHour: 21, hours: hoursPerCycle },
  ]
}

export function cleanFilter(tub: Tub): void {
  touchPump(tub, 'filter cleaned')
  tub.hydraulics.filterLoss = CLEAN_FILTER_LOSS
}

/** A union cracked until solid water comes: air leaves if there was air. */
export function bleedAir(tub: Tub): 'flow-returns' | 'no' {
  touchBox(tub, 'union cracked')
  const hadAir = tub.hydraulics.airLocked
  tub.hydraulics.airLocked = false
  return hadAir ? 'flow-returns' : 'no'
}

/** Switches, sensor type and speed leads by the label. */
export function correctConfiguration(tub: Tub): void {
  touchBox(tub, 'configuration corrected')
  tub.board.speedLeadsSwapped = false
  for (const which of ['temperature', 'high-limit'] as const) {
    if (tub.sensors[which].curve !== tub.board.curve) replaceSensor(tub, which)
  }
}

export function replaceCirculationPump(tub: Tub): void {
  touchBox(tub, 'circulation pump replaced')
  tub.hydraulics.pumpHealth = 1
}

/** A new element of the rated power. */
export function replaceElement(tub: Tub): void {
  touchBox(tub, 'element replaced')
  tub.heater.elementOhm = tub.build.heaterRatedV ** 2 / tub.build.heaterRatedW
  tub.heater.elementToGroundOhm = 1e9
}

/** The separate thermostat's button. It stays in only when its cause has cooled. */
export function resetSeparateLimit(tub: Tub): boolean {
  touchBox(tub, 'limit reset')
  tub.heater.separateLimitOpen = tub.chamberC >= tub.build.separateLimitC - 10
  return !tub.heater.separateLimitOpen
}
