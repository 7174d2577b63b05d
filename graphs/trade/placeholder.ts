// Numbers shown to people: one quantity in the shop's units, and the typed placeholders inside a text.
// Nothing is read from a person here, and nothing is judged.
import { fromSi, UNITS } from './quantity.ts'
import type { Quantity, Reading } from './verdict.ts'

/** us: °F, gallons, feet. si: °C, litres, metres. */
export type ShopUnits = 'us' | 'si'

/** Placeholder word to quantity. `min` holds minutes; all others hold SI. */
export const PLACEHOLDERS: { readonly [word: string]: Quantity } = {
  temp: 'temperature',
  dtemp: 'temperature-difference',
  rate: 'temperature-rate',
  ohm: 'resistance',
  volt: 'voltage',
  amp: 'current',
  watt: 'power',
  litre: 'volume',
  volume: 'volume',
  flow: 'flow',
  farad: 'capacitance',
  length: 'length',
  min: 'duration',
}

const SHOWN_IN: { readonly [quantity in Quantity]: { readonly us: string; readonly si: string } } = {
  temperature: { us: 'degF', si: 'degC' },
  'temperature-difference': { us: 'dF', si: 'dK' },
  'temperature-rate': { us: 'degF/h', si: 'K/h' },
  resistance: { us: 'ohm', si: 'ohm' },
  voltage: { us: 'V', si: 'V' },
  current: { us: 'A', si: 'A' },
  power: { us: 'W', si: 'W' },
  volume: { us: 'gal', si: 'L' },
  flow: { us: 'gpm', si: 'L/min' },
  capacitance: { us: 'uF', si: 'uF' },
  duration: { us: 'min', si: 'min' },
  length: { us: 'ft', si: 'm' },
  count: { us: '1', si: '1' },
}

/** Unit in which a shop sees a quantity; id of UNITS. */
export function shopUnit(quantity: Quantity, units: ShopUnits): string {
  return SHOWN_IN[quantity][units]
}

/**
 * A quantity as a person reads it.
 *
 * Shape:  `(quantity, si, units)`; `round` true = a round figure (104 °F, not 103.96 °F). An infinite resistance reads "open".
 * Units:  SI in (temperature degC, duration s), text with unit out.
 * Errors: none; a number that is none reads "no number".
 * Source: rounding is the house's: a tenth of a degree, three figures for ohms and amps.
 */
export function formatQuantity(quantity: Quantity, si: number, units: ShopUnits, round = false): string {
  if (Number.isNaN(si)) return 'no number'
  if (quantity === 'resistance' && si === Infinity) return 'open (OL)'
  if (quantity === 'resistance')
    return scaled(si, [
      ['MΩ', 1e6],
      ['kΩ', 1e3],
      ['Ω', 1],
    ])
  if (quantity === 'power')
    return scaled(si, [
      ['kW', 1e3],
      ['W', 1],
    ])
  if (quantity === 'duration') return span(si)
  const id = shopUnit(quantity, units)
  const label = UNITS[id]?.label ?? ''
  const converted = UNITS[id]?.factor !== 1
  return `${digits(quantity, fromSi(si, id), round && converted)} ${label}`.trim()
}

/**
 * A text with its typed placeholders filled: `{temp 40}` is "104 °F" for one shop and "40 °C" for another.
 *
 * Shape:  `(text, units)`; a figure written with at most one decimal is a round one, because authors write 42.2 for 108 °F.
 *         An unknown or broken placeholder stays as it is, so that a check can find it.
 * Units:  the list of verdict.ts; SI inside, `min` in minutes.
 */
export function fillText(text: string, units: ShopUnits): string {
  // Most texts hold none, and a look for the brace is much cheaper than the pattern.
  if (!text.includes('{')) return text
  return text.replace(/\{([a-z]+) (-?\d+(?:\.(\d+))?)\}/g, (whole, word: string, figure: string, decimals: string | undefined) => {
    const quantity = Object.hasOwn(PLACEHOLDERS, word) ? PLACEHOLDERS[word] : undefined
    if (!quantity) return whole
    const si = Number(figure) * (word === 'min' ? 60 : 1)
    return formatQuantity(quantity, si, units, (decimals ?? '').length <= 1)
  })
}

/** Placeholders of a text that `fillText` would leave standing. */
export function brokenPlaceholders(text: string): readonly string[] {
  return fillText(text, 'us').match(/\{[^}]*\}/g) ?? []
}

/**
 * A reading as it is shown: what was typed comes first and is never converted; the shop's unit follows when it differs.
 *
 * Shape:  "38.5 °C (101.3 °F)"; "OL" for an open circuit.
 */
export function showReading(reading: Reading, units: ShopUnits): string {
  const label = UNITS[reading.unit]?.label ?? ''
  const typed = reading.typed.trim()
  const first = /\p{L}|Ω|°/u.test(typed) ? typed : `${typed} ${label}`.trim()
  const id = shopUnit(reading.quantity, units)
  const converts = ['temperature', 'temperature-difference', 'temperature-rate', 'volume', 'flow', 'length'].includes(reading.quantity)
  return converts && id !== reading.unit ? `${first} (${formatQuantity(reading.quantity, reading.si, units)})` : first
}

/** A figure for a placeholder inside a reason: two decimals, so that it is shown to a tenth and not as a round figure. */
export function figure(si: number): string {
  if (!Number.isFinite(si)) return '0.00'
  const text = si.toFixed(2)
  return text === '-0.00' ? '0.00' : text
}

function digits(quantity: Quantity, value: number, round: boolean): string {
  if (quantity === 'current' || quantity === 'capacitance') return trim(Number(value.toPrecision(3)))
  if (quantity === 'voltage') return trim(Math.abs(value) < 20 ? Number(value.toFixed(2)) : Math.round(value))
  if (quantity === 'volume') return String(Math.round(value))
  if (quantity === 'count') return trim(Number(value.toFixed(3)))
  const shown = tenth(value)
  if (!round) return trim(shown)
  const whole = Math.round(shown)
  // One decimal of degC is worth up to 0.09 degF, so a figure this close to a whole number was meant as one.
  return trim(Math.abs(shown - whole) < 0.11 ? whole : shown)
}

function tenth(value: number): number {
  return (Math.sign(value) * Math.round(Math.abs(value) * 10)) / 10
}

function trim(value: number): string {
  return String(value === 0 ? 0 : value).replace('-', '\u2212')
}

function scaled(si: number, steps: readonly (readonly [label: string, factor: number])[]): string {
  const found = steps.find(([, factor]) => Math.abs(Number(si.toPrecision(3))) >= factor) ?? steps.at(-1)
  const [label, factor] = found ?? ['', 1]
  return `${trim(Number((si / factor).toPrecision(3)))} ${label}`
}

function span(seconds: number): string {
  if (seconds < 60) return `${trim(Number(seconds.toPrecision(3)))} s`
  const minutes = Math.round(seconds / 60)
  if (minutes < 120) return `${minutes} min`
  return `${trim(Number((minutes / 60).toPrecision(2)))} h`
}
