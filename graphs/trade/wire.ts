// Copper conductors: resistance, ampacity and voltage drop. For reading a finding, not for designing a feed.
// Feed work belongs to a licensed electrician; local codes come first.

export type Gauge = {
  readonly kohm: number
  readonly ampacity60: number
  readonly ampacity75: number
  readonly ampacity90: number
  readonly most?: number
  readonly mils: number
}

/** By AWG: ohm per 1000 ft (stranded, 75 degC), ampacity at 60/75/90 degC, largest protection, circular mils. Source: NEC tables, seen second-hand. */
export const GAUGES: { readonly [awg: number]: Gauge } = {
  14: { kohm: 3.14, ampacity60: 15, ampacity75: 20, ampacity90: 25, most: 15, mils: 4110 },
  12: { kohm: 1.98, ampacity60: 20, ampacity75: 25, ampacity90: 30, most: 20, mils: 6530 },
  10: { kohm: 1.24, ampacity60: 30, ampacity75: 35, ampacity90: 40, most: 30, mils: 10380 },
  8: { kohm: 0.778, ampacity60: 40, ampacity75: 50, ampacity90: 55, mils: 16510 },
  6: { kohm: 0.491, ampacity60: 55, ampacity75: 65, ampacity90: 75, mils: 26240 },
  4: { kohm: 0.308, ampacity60: 70, ampacity75: 85, ampacity90: 95, mils: 41740 },
}

/** Single-phase drop over a run. Units: ft one way, ohm per 1000 ft, A; V out. Source: 2 L R I / 1000. */
export function voltageDrop(input: { readonly feet: number; readonly ohmPerThousand: number; readonly ampere: number }): number {
  return (2 * input.feet * input.ohmPerThousand * input.ampere) / 1000
}

/** The same by K = 12.9 for copper. Units: ft, circular mils, A; V out. Source: 2 K I L / CM. */
export function voltageDropByMils(input: { readonly feet: number; readonly mils: number; readonly ampere: number }): number {
  return (2 * 12.9 * input.ampere * input.feet) / input.mils
}

/** Resistance at a temperature as a share of the 75 degC figure. Source: 1 + 0.00323 (T - 75), from memory. */
export function resistanceShare(degC: number): number {
  return 1 + 0.00323 * (degC - 75)
}

/** Current to size for when it flows three hours or more: 125 %. Units: A. */
export function continuous(ampere: number): number {
  return ampere * 1.25
}
