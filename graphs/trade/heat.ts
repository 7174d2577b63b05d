// Heat into and out of a tub: heat-up, standby loss, balance, creep, and what a rise of the water can decide.
// Outcomes of tests are not named here; evaporation lives in evaporation.ts.
import { quadrature } from './instrument.ts'
import { density, heatCapacity, heatOfVolume } from './water.ts'

const HOUR = 3600
/** The difference of water to air of the standby rule: 37 degF. */
export const STANDBY_DIFFERENCE = (37 * 5) / 9
const GALLON = 3.785411784

/** Power of a resistive heater at another voltage. Units: W and V. Source: P = V²/R, resistance taken as constant. */
export function powerAt(input: { readonly ratedPower: number; readonly ratedVoltage: number; readonly voltage: number }): number {
  return input.ratedPower * (input.voltage / input.ratedVoltage) ** 2
}

/** Rate of rise of a mixed tub without losses. Units: W, L, degC in; K/h out. Source: dT/dt = P / (rho c V). */
export function riseRate(input: { readonly power: number; readonly volume: number; readonly water?: number }): number {
  return (input.power * HOUR) / heatOfVolume(input.volume, input.water ?? 40)
}

/** Heat to warm a tub that was filled at `from`. Units: L, degC in; J out. Losses are left out. Source: Q = m c dT, c at the mean. */
export function heatFor(input: { readonly volume: number; readonly from: number; readonly to: number }): number {
  const { volume, from, to } = input
  return volume * density(from) * heatCapacity((from + to) / 2) * (to - from)
}

/** Time to warm a tub. Units: L, degC, W in; s out. Losses are left out, the power goes wholly into the water. */
export function heatUpTime(input: { readonly volume: number; readonly from: number; readonly to: number; readonly power: number }): number {
  return heatFor(input) / input.power
}

/** Heater size by the published sizing rule, which hides a margin of 9 %: never for diagnosis. Units: L, K, h in; W out. */
export function sizingRule(input: { readonly volume: number; readonly rise: number; readonly hours: number }): number {
  return ((input.volume / GALLON) * input.rise * 1.8 * 1000) / (375 * input.hours)
}

export type StandbyRule = 'standard' | 'rule-2006' | 'inflatable'

/**
 * Most standby power a rule allows at 37 degF water to air. Units: L in, W out.
 * Source: Washington 2021 bill text (3.75 V^(2/3) + 40; inflatable 7 V^(2/3)); California 2006 (5 V^(2/3)); V in US gallons.
 */
export function standbyLimit(volume: number, rule: StandbyRule = 'standard'): number {
  const area = (volume / GALLON) ** (2 / 3)
  if (rule === 'inflatable') return 7 * area
  return rule === 'rule-2006' ? 5 * area : 3.75 * area + 40
}

/** Measured standby power brought to 37 degF. Units: W and K in, W out. Source: Pnorm = (E/t) * 37 degF / dT. */
export function normalisedStandby(power: number, difference: number): number {
  return (power * STANDBY_DIFFERENCE) / difference
}

/** Loss per kelvin of a tub at the standby limit. Units: L in, W/K out. */
export function lossAtLimit(volume: number, rule: StandbyRule = 'standard'): number {
  return standbyLimit(volume, rule) / STANDBY_DIFFERENCE
}

/** Time constant of a covered tub. Units: L, W/K in; s out. */
export function timeConstant(volume: number, loss: number): number {
  return heatOfVolume(volume) / loss
}

export type Balance = { readonly volume: number; readonly loss: number; readonly air: number; readonly heat: number }

/** Temperature a covered tub ends at with constant heat. Units: L, W/K, degC, W in; degC out. Source: Tinf = Ta + P/UA. */
export function equilibrium(balance: Balance): number {
  return balance.air + balance.heat / balance.loss
}

/** Water after a time, closed form. Units: as `equilibrium`, start degC, seconds in; degC out. Source: exponential approach, losses linear. */
export function waterAfter(balance: Balance, start: number, seconds: number): number {
  const end = equilibrium(balance)
  return end + (start - end) * Math.exp(-seconds / timeConstant(balance.volume, balance.loss))
}

/** Time until the water reaches a temperature; Infinity when it never does. Units: as `waterAfter`; s out. */
export function timeToReach(balance: Balance, start: number, target: number): number {
  const end = equilibrium(balance)
  const share = (end - target) / (end - start)
  if (share > 1 && start !== target) return Infinity
  return share > 0 ? timeConstant(balance.volume, balance.loss) * Math.log(1 / share) : Infinity
}

/** Loss measured by cooling, all off, cover on. Units: L, degC, s in; W/K out. Source: UA = (C/t) ln[(T1-Ta)/(T2-Ta)]. */
export function lossByCooling(input: {
  readonly volume: number
  readonly from: number
  readonly to: number
  readonly air: number
  readonly seconds: number
}): number {
  return (heatOfVolume(input.volume) / input.seconds) * Math.log((input.from - input.air) / (input.to - input.air))
}

/**
 * Mean air of several days above which pump heat alone can carry the water above a temperature.
 *
 * Shape:  `share` is the pump's share of the standby heat, 0 to 1; 1 is the most a tub as tested can have.
 * Units:  degC in and out. Source: Ta > T - 20.556 * phi, from the standby rule; needs no volume and no loss.
 */
export function creepBound(water: number, share = 1): number {
  return water - STANDBY_DIFFERENCE * share
}

/** Gain with which a daily swing of the air reaches the water. Units: s in. Source: 1 / √(1 + (w tau)²), 24 h. */
export function dailyGain(tau: number): number {
  return 1 / Math.sqrt(1 + ((2 * Math.PI * tau) / (24 * HOUR)) ** 2)
}

export type Point = { readonly seconds: number; readonly degC: number }
export type Slope = { readonly rate: number; readonly u: number; readonly span: number; readonly mean: number }

/**
 * Straight line through a series of readings.
 *
 * Shape:  two points or more at different times, else NaN. `scatter` is the standard deviation of one reading; a constant offset cancels.
 * Units:  s and degC in; rate and its standard uncertainty in K/h, span in s, mean in degC.
 * Source: least squares; us = uT / √Σ(t - t̄)². For two points that is √2 uT / t.
 */
export function slopeThrough(points: readonly Point[], scatter: number): Slope {
  const n = points.length
  const meanTime = points.reduce((sum, point) => sum + point.seconds, 0) / n
  const mean = points.reduce((sum, point) => sum + point.degC, 0) / n
  const spread = points.reduce((sum, point) => sum + (point.seconds - meanTime) ** 2, 0)
  const product = points.reduce((sum, point) => sum + (point.seconds - meanTime) * (point.degC - mean), 0)
  const times = points.map((point) => point.seconds)
  return { rate: (product / spread) * HOUR, u: (scatter / Math.sqrt(spread)) * HOUR, span: Math.max(...times) - Math.min(...times), mean }
}

/** A number with its standard uncertainty. */
export type Uncertain = { readonly value: number; readonly u: number }
export type RiseInput = {
  readonly volume: Uncertain // L
  readonly heater: Uncertain // W, at the voltage of the tub
  readonly pump: Uncertain // W drawn
  /** Share of the pump's power that ends in the water. */
  readonly fraction: Uncertain
  readonly loss: Uncertain // W/K
  /** Water above the air, K. */
  readonly above: Uncertain
  readonly water?: number
}

/**
 * Rates of rise without and with the heater, with the full error budget.
 *
 * Units:  K/h for value and standard uncertainty.
 * Source: u² = (g f uP)² + (g P uf)² + (g dT uUA)² + (g UA uTa)² + (r uV/V)² (+ (g uPh)²), g = 3600/C; heat-sensors-water 3.5.
 */
export function predictRise(input: RiseInput): { readonly off: Uncertain; readonly on: Uncertain } {
  const g = HOUR / heatOfVolume(input.volume.value, input.water ?? 40)
  const off = g * (input.fraction.value * input.pump.value - input.loss.value * input.above.value)
  const on = off + g * input.heater.value
  const common = quadrature(
    g * input.fraction.value * input.pump.u,
    g * input.pump.value * input.fraction.u,
    g * input.above.value * input.loss.u,
    g * input.loss.value * input.above.u,
  )
  const shareV = input.volume.u / input.volume.value
  return {
    off: { value: off, u: quadrature(common, off * shareV) },
    on: { value: on, u: quadrature(common, on * shareV, g * input.heater.u) },
  }
}

/**
 * How far apart "heater off" and "heater on" lie after a time, in standard uncertainties: below 2 the test cannot decide.
 *
 * Units:  s, K. `readings` evenly spread over the time, 2 by default.
 * Source: (r1 - r0) / (u0 + u1), heat-sensors-water 3.5.
 */
export function separation(
  rise: { readonly off: Uncertain; readonly on: Uncertain },
  run: { readonly seconds: number; readonly scatter: number; readonly readings?: number },
): number {
  const n = run.readings ?? 2
  const points = Array.from({ length: n }, (_, index) => ({ seconds: (run.seconds * index) / (n - 1), degC: 0 }))
  const us = slopeThrough(points, run.scatter).u
  return (rise.on.value - rise.off.value) / (quadrature(rise.off.u, us) + quadrature(rise.on.u, us))
}

/** Shortest time after which the rise can decide, s; undefined when a day is not enough. Looked for in steps of one minute. */
export function decidingTime(rise: { readonly off: Uncertain; readonly on: Uncertain }, scatter: number): number | undefined {
  for (let minutes = 1; minutes <= 1440; minutes += 1) {
    if (separation(rise, { seconds: minutes * 60, scatter }) >= 2) return minutes * 60
  }
  return undefined
}

/** Difference of two runs, without and with the heater. Units: K/h. Source: r2 - r1 cancels pump, loss, air and volume. */
export function runDifference(without: Slope, withHeater: Slope): Uncertain {
  return { value: withHeater.rate - without.rate, u: quadrature(without.u, withHeater.u) }
}
