// Properties of water and of the air above it, from formulas that are not the tables they are checked against.
// No tub and no control logic here.

/** Density at 1 atm, kg/m3. Source: Kell 1975 (coefficients from memory), checked against handbook rows in the tests. */
export function densityKgM3(waterC: number): number {
  const t = waterC
  const top = 999.83952 + t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))))
  return top / (1 + 16.87985e-3 * t)
}

/** Specific heat at 1 atm, J/(kg K). Source: a five-term handbook fit for 0-100 degC (from memory), checked in the tests. */
export function specificHeatJKgK(waterC: number): number {
  const t = Math.max(0, waterC)
  const root = Math.sqrt(t)
  return 1000 * (4.2174356 - 5.6181625e-3 * t + 1.2992528e-3 * t * root - 1.1535353e-4 * t * t + 4.14964e-6 * t * t * root)
}

/** Saturation pressure over liquid water, kPa. Source: Hyland-Wexler form of the ASHRAE handbook (from memory), 0-200 degC. */
export function saturationPressureKpa(temperatureC: number): number {
  const k = temperatureC + 273.15
  const log = -5.8002206e3 / k + 1.3914993 - 4.8640239e-2 * k + 4.1764768e-5 * k * k - 1.4452093e-8 * k ** 3 + 6.5459673 * Math.log(k)
  return Math.exp(log) / 1000
}

/** Latent heat, kJ/kg: straight line through the IF97 rows at 25 and 40 degC (heat-sensors-water section 6). */
export function latentHeatKjKg(waterC: number): number {
  return 2501.2 - 2.38 * waterC
}

/**
 * Evaporation from open water, kg/(s m2), by the Carrier equation in SI form (Smith, Lof, Jones 1998).
 * Measured still pools evaporate 74 % of it (same source): pass `stillPool`.
 */
export function evaporationKgSM2(air: {
  waterC: number
  airC: number
  relativeHumidity: number
  windMS: number
  stillPool: boolean
}): number {
  const differenceKpa = saturationPressureKpa(air.waterC) - air.relativeHumidity * saturationPressureKpa(air.airC)
  const carrier = ((0.0885 + 0.0779 * air.windMS) * differenceKpa) / latentHeatKjKg(air.waterC)
  return Math.max(0, carrier * (air.stillPool ? 0.74 : 1))
}

/**
 * Highest standby power the efficiency rule allows, W, at 37 degF (20.556 K) between water and air.
 * Source: Washington State 2021 bill text, Table G-5 (standard and inflatable spas); volume in US gallons.
 */
export function standbyLimitW(gallons: number, kind: 'standard' | 'inflatable' = 'standard'): number {
  const size = gallons ** (2 / 3)
  return kind === 'standard' ? 3.75 * size + 40 : 7 * size
}

/** The loss coefficient of a tub that exactly meets that rule, W/K. */
export function standbyLimitUaWK(gallons: number): number {
  return standbyLimitW(gallons) / (37 / 1.8)
}

/** Rise of the water across a heater, K. */
export function heaterRiseK(flow: { powerW: number; litresPerMinute: number; waterC: number }): number {
  const kgPerS = (flow.litresPerMinute / 60_000) * densityKgM3(flow.waterC)
  return flow.powerW / (kgPerS * specificHeatJKgK(flow.waterC))
}
