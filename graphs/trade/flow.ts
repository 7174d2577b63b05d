// Flow through the heater and the rise across it.
// Whether a flow is enough is the maker's business and is not judged here.
import { density, heatCapacity } from './water.ts'

/** Rise across the heater. Units: W, L/min, degC in; K out. Source: dT = P / (rho c Q). */
export function riseAcross(input: { readonly power: number; readonly flow: number; readonly water?: number }): number {
  return input.power / (heatPerKelvin(input.water) * (input.flow / 60))
}

/** Flow from the rise across the heater. Units: W, K, degC in; L/min out. Usable below about 20 L/min, see `flowRange`. */
export function flowOf(input: { readonly power: number; readonly rise: number; readonly water?: number }): number {
  return (input.power / (heatPerKelvin(input.water) * input.rise)) * 60
}

/**
 * Flows that a rise allows when the rise has an error.
 *
 * Units:  W, K in; L/min out. `high` is Infinity when the error swallows the rise: two sensors must be zeroed against each other first.
 */
export function flowRange(input: { readonly power: number; readonly rise: number; readonly error: number }): {
  readonly low: number
  readonly high: number
} {
  const { power, rise, error } = input
  return { low: flowOf({ power, rise: rise + error }), high: rise > error ? flowOf({ power, rise: rise - error }) : Infinity }
}

/** Warming of water inside a pump. Units: shaft W, efficiency 0 to 1, m3/s in; K out. Source: dT = Ps (1 - eta) / (rho c q). */
export function riseInPump(input: { readonly shaft: number; readonly efficiency: number; readonly flow: number }): number {
  return (input.shaft * (1 - input.efficiency)) / (heatPerKelvin(20) * 1000 * input.flow)
}

/** J per litre and kelvin. */
function heatPerKelvin(water = 40): number {
  return density(water) * heatCapacity(water)
}
