// Puts faults into a tub, by slug, with a drawn size; remembers what was put in.
// A fault changes causes only (a resistance, a contact, a setting, the weather): every symptom comes from the physics.
import { filterHoursPerDay } from './controller.ts'
import { chance, pick, uniform } from './random.ts'
import type { Tub } from './state.ts'
import { SECONDS_PER_HOUR } from './units.ts'
import { advance } from './physics.ts'

export const FAULT_SLUGS = [
  'none',
  'heat-creep',
  'set-mode',
  'filter-hours',
  'flow-low',
  'circ-pump-weak',
  'air-lock',
  'tsensor-bad',
  'tsensor-seat',
  'plug-corroded',
  'highlimit-sensor-bad',
  'relay-stuck',
  'relay-one-pole',
  'board-logic',
  'pump-stuck-on',
  'config-wrong',
] as const

export type FaultSlug = (typeof FAULT_SLUGS)[number]

/** Force one form or size of a fault; without it both are drawn. */
export type FaultForm = { variant?: string; size?: number }

type Insert = (tub: Tub, form: FaultForm) => { variant: string; size: number }

const INSERTS: Readonly<Record<FaultSlug, Insert>> = {
  none: () => ({ variant: 'nothing', size: 0 }),
  'heat-creep': insertCreep,
  'set-mode': insertSetMode,
  'filter-hours': insertFilterHours,
  'flow-low': (tub, form) => {
    // Flow falls to 1/sqrt of the loss: 5 is half the clean flow, 40 a sixth.
    const size = form.size ?? uniform(tub.random, 5, 40)
    tub.hydraulics.filterLoss = size
    return { variant: 'dirty-filter', size }
  },
  'circ-pump-weak': (tub, form) => {
    const size = form.size ?? uniform(tub.random, 0, 0.5)
    tub.hydraulics.pumpHealth = size
    return { variant: size < 0.05 ? 'stopped' : 'weak', size }
  },
  'air-lock': (tub) => {
    tub.hydraulics.airLocked = true
    return { variant: 'after-refill', size: 1 }
  },
  'tsensor-bad': (tub, form) => {
    // Drift to higher resistance reads cold: 10 % is about 2.5 K at 40 degC.
    const size = form.size ?? uniform(tub.random, 0.1, 0.25)
    tub.sensors.temperature.scale *= 1 + size
    return { variant: 'drifted-high', size }
  },
  'tsensor-seat': (tub, form) => {
    const size = form.size ?? uniform(tub.random, 0.78, 0.92)
    tub.sensors.temperature.seat = size
    return { variant: 'out-of-well', size }
  },
  'plug-corroded': insertPlug,
  'highlimit-sensor-bad': (tub, form) => {
    // Drift to lower resistance reads hot: the control sees an overheated heater in a cool tub.
    const size = form.size ?? uniform(tub.random, 0.3, 0.5)
    tub.sensors['high-limit'].scale *= 1 - size
    return { variant: 'drifted-low', size }
  },
  'relay-stuck': (tub) => {
    for (const pole of tub.board.poles) if (pole.switched) pole.contact = 'welded'
    return { variant: 'every-switched-pole', size: tub.build.switchedPoles }
  },
  'relay-one-pole': (tub) => {
    const switched = tub.board.poles.filter((pole) => pole.switched)
    const [first] = switched
    if (first === undefined || switched.length < 2) throw new RangeError('relay-one-pole needs a heater with two switched poles')
    first.contact = 'welded'
    return { variant: first.leg, size: 1 }
  },
  'board-logic': insertBoardLogic,
  'pump-stuck-on': insertPumpStuck,
  'config-wrong': insertConfiguration,
}

export function insertFault(tub: Tub, slug: FaultSlug, form: FaultForm = {}): void {
  tub.faults.push({ slug, ...INSERTS[slug](tub, form) })
}

/** Mean pump and sun heat over a day, W, with the filter programme as set. */
function dailyHeatW(tub: Tub): number {
  const hours = tub.build.circulation === 'always' ? 24 : filterHoursPerDay(tub)
  const pumpW = (tub.build.pumpLowW * tub.build.pumpHeatShare * hours) / 24
  // A half sine over 12 of 24 hours averages 1/pi of its peak.
  return pumpW + tub.weather.sunPeakW / Math.PI
}

/** Warm the weather until pump heat alone would carry the water this far above its set point. */
function warmUntilCreeping(tub: Tub, aboveSetK: number, airC: { low: number; high: number }): number {
  const wanted = tub.settings.setC + aboveSetK - dailyHeatW(tub) / tub.build.uaWK
  tub.weather.meanC = Math.min(airC.high, Math.max(airC.low, wanted))
  return tub.weather.meanC + dailyHeatW(tub) / tub.build.uaWK - tub.settings.setC
}

function insertCreep(tub: Tub, form: FaultForm): { variant: string; size: number } {
  const hours = uniform(tub.random, 5, 9)
  useTwoSpeedPump(tub)
  tub.settings.filterCycles = [
    { startHour: 8, hours },
    { startHour: 20, hours },
  ]
  tub.build.uaWK *= 0.75
  const size = warmUntilCreeping(tub, form.size ?? uniform(tub.random, 4, 7), { low: 15, high: 34 })
  return { variant: 'hot-spell', size }
}

function insertFilterHours(tub: Tub, form: FaultForm): { variant: string; size: number } {
  useTwoSpeedPump(tub)
  const variant = form.variant ?? pick(tub.random, ['all-day', 'overlapping'])
  tub.settings.filterCycles =
    variant === 'all-day'
      ? [{ startHour: 0, hours: 24 }]
      : [
          { startHour: 6, hours: 14 },
          { startHour: 14, hours: 14 },
        ]
  const size = warmUntilCreeping(tub, form.size ?? uniform(tub.random, 4, 7), { low: 14, high: 30 })
  return { variant, size }
}

/** Filter hours and a welded low speed mean nothing on a tub whose small pump never rests. */
function useTwoSpeedPump(tub: Tub): void {
  if (tub.build.circulation === 'on-demand') return
  tub.build.circulation = 'on-demand'
  tub.build.pumpLowW = uniform(tub.random, 200, 400)
}

function insertSetMode(tub: Tub, form: FaultForm): { variant: string; size: number } {
  const size = form.size ?? uniform(tub.random, 2.2, 4)
  tub.settings.setC = Math.min(40, tub.settings.believedSetC + size)
  tub.settings.believedSetC = tub.settings.setC - size
  // The tub does what it was told: the water stands at the real set point.
  tub.waterC = tub.chamberC = tub.pipeC = tub.settings.setC
  return { variant: 'set-point-not-what-customer-thinks', size }
}

function insertPlug(tub: Tub, form: FaultForm): { variant: string; size: number } {
  const variant = form.variant ?? 'series'
  if (variant === 'leak') {
    const size = form.size ?? uniform(tub.random, 20_000, 80_000)
    tub.sensors.temperature.plugLeakOhm = size
    return { variant, size }
  }
  const size = form.size ?? uniform(tub.random, 450, 1400)
  tub.sensors.temperature.plugSeriesOhm = size
  return { variant, size }
}

function insertBoardLogic(tub: Tub, form: FaultForm): { variant: string; size: number } {
  const variant = form.variant ?? pick(tub.random, ['output-on', 'misreads', 'demand-never-ends'])
  if (variant === 'output-on') tub.board.fault = 'output-on'
  else if (variant === 'demand-never-ends') tub.board.fault = 'demand-never-ends'
  else {
    tub.board.fault = 'misreads'
    tub.board.misreadK = -(form.size ?? uniform(tub.random, 2.2, 5))
  }
  return { variant, size: tub.board.misreadK }
}

function insertPumpStuck(tub: Tub, form: FaultForm): { variant: string; size: number } {
  const variant = form.variant ?? (chance(tub.random, 0.7) ? 'high' : 'low')
  tub.board.pumpOutputWelded = variant === 'high' ? 'high' : 'low'
  if (variant === 'low') {
    useTwoSpeedPump(tub)
    // A low speed that never stops overheats a tub only in mild or warm weather.
    const wanted = tub.settings.setC + (form.size ?? uniform(tub.random, 4, 7))
    const heatW = tub.build.pumpLowW * tub.build.pumpHeatShare + tub.weather.sunPeakW / Math.PI
    tub.weather.meanC = Math.min(30, Math.max(10, wanted - heatW / tub.build.uaWK))
  }
  return { variant, size: variant === 'high' ? tub.build.pumpHighW : tub.build.pumpLowW }
}

function insertConfiguration(tub: Tub, form: FaultForm): { variant: string; size: number } {
  const variant = form.variant ?? pick(tub.random, ['sensor-type', 'speed-leads'])
  if (variant === 'speed-leads') {
    useTwoSpeedPump(tub)
    tub.board.speedLeadsSwapped = true
    const hours = uniform(tub.random, 3, 6)
    tub.settings.filterCycles = [
      { startHour: 8, hours },
      { startHour: 20, hours },
    ]
    return { variant, size: tub.build.pumpHighW }
  }
  // A part of another published 10 kohm curve: 5825 ohm at 40 degC read as 37.8 degC on curve S.
  tub.sensors.temperature.curve = 'E'
  tub.sensors['high-limit'].curve = 'E'
  return { variant: 'sensor-type', size: 2.2 }
}

/** `hot`: at that moment the water was above what they believe is set, whatever made them call. */
export type Complaint = { kind: 'hotter-than-set' | 'message' | 'none'; hot: boolean; afterHours: number }

/**
 * Runs the tub until somebody would call: water clearly above what they believe is set, or a message that stays an hour.
 * "Clearly" is drawn between 1.2 and 2.5 K, and they look every 2 to 12 hours (assumptions). `lookEveryHours` overrides:
 * a short step finds a tub on its way up, a long one finds it settled.
 */
export function bringToComplaint(tub: Tub, limits: { maxDays?: number; lookEveryHours?: number } = {}): Complaint {
  const noticeK = uniform(tub.random, 1.2, 2.5)
  const lookS = (limits.lookEveryHours ?? uniform(tub.random, 2, 12)) * SECONDS_PER_HOUR
  const maxHours = (limits.maxDays ?? 12) * 24
  const startS = tub.clockS
  let nextLookS = startS + lookS
  let messageS = 0
  while (tub.clockS - startS < maxHours * SECONDS_PER_HOUR) {
    advance(tub, 600, 60)
    const afterHours = (tub.clockS - startS) / SECONDS_PER_HOUR
    const looks = tub.clockS >= nextLookS
    if (looks) nextLookS += lookS
    const hot = tub.waterC > tub.settings.believedSetC + noticeK
    if (looks && hot) return { kind: 'hotter-than-set', hot, afterHours }
    messageS = tub.controller.message === 'none' ? 0 : messageS + 600
    if (messageS >= SECONDS_PER_HOUR) return { kind: 'message', hot, afterHours }
  }
  return { kind: 'none', hot: false, afterHours: maxHours }
}
