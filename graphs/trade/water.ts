// Water: density, heat capacity, and the temperature at which nobody bathes any more.
// Heating and losses live in heat.ts.

/** Rows of IAPWS-IF97 at 101.325 kPa: degC, kg/m3, kJ/(kg K). */
const WATER: readonly (readonly [degC: number, density: number, cp: number])[] = [
  [5, 999.967, 4.2049],
  [10, 999.702, 4.1954],
  [15, 999.101, 4.1891],
  [20, 998.206, 4.1848],
  [25, 997.048, 4.1819],
  [30, 995.652, 4.18],
  [35, 994.039, 4.1789],
  [38, 992.973, 4.1786],
  [40, 992.224, 4.1786],
  [45, 990.223, 4.1788],
  [50, 988.047, 4.1796],
]

/** Water for bathing is never above this, degC. Source: product-safety agency 1979, CDC: 104 degF. */
export const BATHING_LIMIT = 40
/** From here on the tub is switched off and the cause is looked for, degC (108 degF, rounded to the safe side). */
export const FAR_ABOVE = 42.2
/** What a tub's display may be off, K: 4 degF. Source: product-safety rule, reprinted in equipment literature. */
export const DISPLAY_ALLOWANCE = 20 / 9

/** Density. Units: degC in (5 to 50, the ends hold beyond), kg/m3 out. Source: IAPWS-IF97, gap to handbook 0.002. */
export function density(degC: number): number {
  return interpolate(degC, 1)
}

/** Heat capacity. Units: degC in (5 to 50, the ends hold beyond), kJ/(kg K) out. Source: IAPWS-IF97, gap to handbook 0.08 %. */
export function heatCapacity(degC: number): number {
  return interpolate(degC, 2)
}

/** Heat that a volume of water takes up per kelvin. Units: L and degC in, J/K out. */
export function heatOfVolume(litres: number, degC = 40): number {
  return litres * density(degC) * heatCapacity(degC)
}

/** Whether the published bathing limit allows a temperature. Units: degC of the water itself, no instrument in between. */
export function isBathingAllowed(degC: number): boolean {
  return degC <= BATHING_LIMIT
}

function interpolate(degC: number, column: 1 | 2): number {
  const found = WATER.findIndex((row) => row[0] >= degC)
  const at = found === -1 ? WATER.length - 1 : found
  const [low, high] = [WATER[Math.max(0, at - 1)], WATER[at]]
  if (!low || !high) throw new RangeError('The water table is empty.')
  if (low === high || degC >= high[0]) return high[column]
  return low[column] + ((degC - low[0]) / (high[0] - low[0])) * (high[column] - low[column])
}
