// Evaporation from open water. Every figure carries about a third of error; it explains, it decides nothing.
// Losses of a covered tub live in heat.ts.

/** Carrier's coefficients in SI, kg/(s m2) per kPa for 1 kJ/kg. Source: W = (95 + 0.425 v)(pw - pa)/Y, lb/(h ft2), inHg, Btu/lb, ft/min. */
export const CARRIER = { still: carrierInSi(95), perSpeed: carrierInSi(0.425) / 0.00508 } as const

/** Evaporation by Carrier. Units: m/s, kPa, kJ/kg in; kg/(m2 h) out. Still pools measure 74 % of it. */
export function evaporationByCarrier(input: {
  readonly speed: number
  readonly pressureWater: number
  readonly pressureAir: number
  readonly latent: number
}): number {
  return ((CARRIER.still + CARRIER.perSpeed * input.speed) * (input.pressureWater - input.pressureAir) * 3600) / input.latent
}

/** Evaporation by the activity form 4e-5 (pw - pa) Fa, from memory. Units: kPa in; kg/(m2 h) out. */
export function evaporationByActivity(input: {
  readonly pressureWater: number
  readonly pressureAir: number
  readonly activity: number
}): number {
  return 4e-5 * (input.pressureWater - input.pressureAir) * input.activity * 3600
}

/** Evaporation by Shah's natural convection, coefficients from memory. Units: kg dry air per m3, kg/kg in; kg/(m2 h) out. */
export function evaporationByShah(input: {
  readonly densityWater: number
  readonly densityAir: number
  readonly ratioWater: number
  readonly ratioAir: number
}): number {
  const lift = Math.max(0, input.densityAir - input.densityWater)
  return 35 * input.densityWater * Math.cbrt(lift) * (input.ratioWater - input.ratioAir)
}

/** Evaporation by (25 + 19 v) A (x_s - x). Units: m/s, m2, kg/kg in; kg/s out. */
export function evaporationBySpeed(input: {
  readonly speed: number
  readonly area: number
  readonly ratioWater: number
  readonly ratioAir: number
}): number {
  return ((25 + 19 * input.speed) * input.area * (input.ratioWater - input.ratioAir)) / 3600
}

function carrierInSi(coefficient: number): number {
  const [pound, squareFoot, inchMercury, btuPerPound] = [0.45359237, 0.09290304, 3.386389, 2.326]
  return ((coefficient * pound) / (3600 * squareFoot) / inchMercury) * btuPerPound
}
