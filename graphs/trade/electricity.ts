// Resistive heaters, leakage, ground-fault devices, capacitors, contacts and motors: the arithmetic.
// Supply profiles live in supply.ts, conductors in wire.ts.
import { failed, ok } from '../result.ts'
import type { Result } from '../result.ts'

/** Resistance of a heater from its label. Units: W, V; ohm out. Source: R = V² / P. */
export function elementResistance(power: number, voltage: number): number {
  return voltage ** 2 / power
}

/** Current of a resistive load. Units: W, V; A out. Source: I = P / V. */
export function elementCurrent(power: number, voltage: number): number {
  return power / voltage
}

/** Leakage to ground. Units: V, ohm; A out. Source: each leg is 120 V to ground on 120/240 V. */
export function leakage(ohm: number, volts = 120): number {
  return volts / ohm
}

/** Voltage to ground at a share of the way along a 240 V element, both legs on. Units: share 0 to 1, V out. Source: 120 (1 - 2x). */
export function voltsAlongElement(share: number): number {
  return Math.abs(120 * (1 - 2 * share))
}

/** Whether insulation passes the one-megohm rule: 1 Mohm per 1000 V, never under 1 Mohm. Units: ohm, V. */
export function passesMegohmRule(ohm: number, volts: number): boolean {
  return ohm >= Math.max(1e6, volts * 1000)
}

/** Whether a class A ground-fault device holds, may trip or must trip. Units: A. Source: UL 943, holds below 4 mA, trips from 6 mA. */
export function gfciBand(ampere: number): 'holds' | 'either' | 'must-trip' {
  const milli = Number((ampere * 1000).toFixed(6))
  if (milli < 4) return 'holds'
  return milli < 6 ? 'either' : 'must-trip'
}

/**
 * Longest time a class A ground-fault device may take.
 *
 * Units:  A in, s out. Errors: CALC_INPUT_OUT_OF_RANGE outside 6 to 264 mA, where the formula says nothing.
 * Source: T = (20 / I[mA])^1.43, UL 943.
 */
export function gfciTripTime(ampere: number): Result<number> {
  const milli = Number((ampere * 1000).toFixed(6))
  if (!(milli >= 6 && milli <= 264)) {
    return failed('CALC_INPUT_OUT_OF_RANGE', 'The trip time is defined from 6 to 264 mA. No time is shown outside of it.', {
      details: { milli },
    })
  }
  return ok((20 / milli) ** 1.43)
}

/** Time for a capacitor to fall to a voltage through a resistor. Units: F, ohm, V; s out. Source: t = RC ln(V0 / V). */
export function dischargeTime(input: { readonly farad: number; readonly ohm: number; readonly from: number; readonly to: number }): number {
  return input.ohm * input.farad * Math.log(input.from / input.to)
}

/** Energy in a capacitor at a peak voltage. Units: F, V peak; J out. Source: C V² / 2. */
export function capacitorEnergy(farad: number, peak: number): number {
  return (farad * peak ** 2) / 2
}

/** Capacitance under load. Units: A, V, Hz; F out. Source: I = 2 pi f C V. */
export function capacitanceUnderLoad(input: { readonly ampere: number; readonly volts: number; readonly hertz: number }): number {
  return input.ampere / (2 * Math.PI * input.hertz * input.volts)
}

/** Whether a capacitor lies inside the tolerance printed on its can (10 % when none is printed). Units: F, share. */
export function isCapacitorGood(input: { readonly farad: number; readonly rated: number; readonly share?: number }): boolean {
  const off = Math.abs(input.farad - input.rated)
  return off <= input.rated * (input.share ?? 0.1) * (1 + 1e-9)
}

/** Whether a bleeder met the published figure: 50 V or less one minute after off. Below it is still not safe to touch. Units: V. */
export function meetsBleedRule(volts: number): boolean {
  return Math.abs(volts) <= 50
}

/** Drop across a closed contact under load that calls for replacement. Units: V. Source: 3 % of the line, a trade textbook. */
export function contactDropLimit(lineVolts: number): number {
  return lineVolts * 0.03
}

/** Heat in a contact. Units: V, A; W out. */
export function contactHeat(drop: number, ampere: number): number {
  return drop * ampere
}

export type RelayState = 'stuck' | 'contact-open' | 'control-fault' | 'good' | 'off' | 'unclear'

/**
 * State of a relay from voltages, command known. Energized work: a qualified person only.
 *
 * Shape:  `coil` true when the coil has its voltage. Units: V.
 * Source: relay state table, electrical-safety section 8; closed reads about 0 V, open reads line voltage.
 */
export function relayState(input: {
  readonly commandOn: boolean
  readonly coil: boolean
  readonly line: number
  readonly load: number
  readonly across: number
}): RelayState {
  const { line } = input
  const isLine = (volts: number): boolean => Math.abs(volts - line) <= line * 0.1
  if (!input.commandOn) return isLine(input.load) ? 'stuck' : input.load < 0.1 * line ? 'off' : 'unclear'
  if (!input.coil) return 'control-fault'
  if (isLine(input.across) && input.load < 0.1 * line) return 'contact-open'
  return input.across <= contactDropLimit(line) && isLine(input.load) ? 'good' : 'unclear'
}

/** Voltage window of a motor. Units: V nameplate in, V out. Source: NEMA MG 1-12.44, ±10 %. */
export function motorWindow(nameplate: number): { readonly low: number; readonly high: number } {
  return { low: nameplate * 0.9, high: nameplate * 1.1 }
}
