// Units of the trade, and how a number that a person typed becomes a reading.
// Temperature and temperature difference are two quantities on purpose. No judgement lives here.
import { failed, ok } from '../result.ts'
import type { Result } from '../result.ts'
import type { Quantity, Reading } from './verdict.ts'

export type Unit = {
  readonly id: string
  readonly quantity: Quantity
  /** SI = (number - zero) * factor. */
  readonly factor: number
  readonly zero: number
  /** As shown on the screen. */
  readonly label: string
  /** Other spellings met inside typed text, lower case; `exact` ones must match upper and lower case. */
  readonly spellings: readonly string[]
  readonly exact?: readonly string[]
}

const UNIT_TABLE: readonly Unit[] = [
  unit('degF', 'temperature', 5 / 9, '°F', ['f', 'deg f', 'fahrenheit'], 32),
  unit('degC', 'temperature', 1, '°C', ['c', 'deg c', 'celsius']),
  unit('dF', 'temperature-difference', 5 / 9, '°F', ['f', 'deg f', 'degf']),
  unit('dK', 'temperature-difference', 1, '°C', ['c', 'k', 'deg c', 'degc', '°k']),
  unit('degF/h', 'temperature-rate', 5 / 9, '°F/h', ['f/h']),
  unit('K/h', 'temperature-rate', 1, '°C/h', ['c/h', 'degc/h']),
  unit('ohm', 'resistance', 1, 'Ω', ['ohms', 'ω', 'r']),
  unit('kohm', 'resistance', 1e3, 'kΩ', ['k', 'kohms', 'kω', 'k ohm', 'k ohms']),
  { ...unit('Mohm', 'resistance', 1e6, 'MΩ', ['megohm', 'megohms', 'megaohm', 'meg']), exact: ['M', 'MΩ', 'MΩ', 'Mohm', 'Mohms', 'M ohm'] },
  unit('V', 'voltage', 1, 'V', ['volt', 'volts', 'vac', 'vdc', 'v ac', 'v dc']),
  unit('A', 'current', 1, 'A', ['amp', 'amps', 'ampere']),
  { ...unit('mA', 'current', 1e-3, 'mA', ['milliamp', 'milliamps']), exact: ['mA', 'ma'] },
  unit('W', 'power', 1, 'W', ['watt', 'watts']),
  unit('kW', 'power', 1e3, 'kW', ['k', 'kilowatt', 'kilowatts']),
  unit('gal', 'volume', 3.785411784, 'gal', ['gallon', 'gallons', 'us gal']),
  unit('L', 'volume', 1, 'L', ['litre', 'litres', 'liter', 'liters']),
  unit('gpm', 'flow', 3.785411784, 'gpm', ['gal/min']),
  unit('L/min', 'flow', 1, 'L/min', ['lpm']),
  unit('uF', 'capacitance', 1e-6, 'µF', ['μf', 'µf', 'mfd', 'microfarad']),
  unit('s', 'duration', 1, 's', ['sec', 'second', 'seconds']),
  unit('min', 'duration', 60, 'min', ['mins', 'minute', 'minutes']),
  unit('h', 'duration', 3600, 'h', ['hr', 'hrs', 'hour', 'hours']),
  unit('m', 'length', 1, 'm', ['metre', 'metres', 'meter', 'meters']),
  unit('ft', 'length', 0.3048, 'ft', ['foot', 'feet']),
  unit('1', 'count', 1, '', ['', 'x', 'times']),
]

/** Every unit by its ASCII id. */
export const UNITS: { readonly [id: string]: Unit } = Object.fromEntries(UNIT_TABLE.map((row) => [row.id, row]))

/** What a quantity can be at all, SI; outside of it the number is refused. Assumed widths, wider than any tub. */
export const RANGES: { readonly [quantity in Quantity]: { readonly low: number; readonly high: number } } = {
  temperature: { low: -60, high: 150 },
  'temperature-difference': { low: -120, high: 120 },
  'temperature-rate': { low: -120, high: 120 },
  resistance: { low: 0, high: 1e11 },
  voltage: { low: -1000, high: 1000 },
  current: { low: -200, high: 200 },
  power: { low: -100_000, high: 100_000 },
  volume: { low: 0, high: 20_000 },
  flow: { low: 0, high: 2000 },
  capacitance: { low: 0, high: 0.01 },
  duration: { low: 0, high: 31_536_000 },
  length: { low: 0, high: 1000 },
  count: { low: 0, high: 1_000_000 },
}

/**
 * A number in one of our units, in SI.
 *
 * Shape:  `(number, unit id)`; throws on an id that no table holds, which only our own code can cause.
 * Units:  any id of UNITS to the SI unit of its quantity (temperature degC).
 * Source: 1 US gal = 3.785411784 L, 1 ft = 0.3048 m, degF = degC * 9/5 + 32 (definitions).
 */
export function toSi(value: number, id: string): number {
  const { zero, factor } = known(id)
  return (value - zero) * factor
}

/** The way back of `toSi`; same shape, units and source. */
export function fromSi(si: number, id: string): number {
  const { zero, factor } = known(id)
  return si / factor + zero
}

/** Units that fit a quantity, in the order of the table. */
export function unitsOf(quantity: Quantity): readonly Unit[] {
  return UNIT_TABLE.filter((row) => row.quantity === quantity)
}

/** Whether a person wrote that the meter showed an open circuit (`OL`, `open`), which a resistance reading may be. */
export function isOpenText(typed: string): boolean {
  return /^\s*(o\.?l\.?|over ?load|over ?limit|open|infinite|inf|∞)\s*$/i.test(typed)
}

/** Whether the unit stands in the typed text itself, which is how a person insists on an unlikely number. */
export function isUnitTyped(typed: string): boolean {
  return /\d\s*[^\d\s.,'’]/.test(typed)
}

export type TypedReading = {
  readonly quantity: Quantity
  readonly typed: string
  /** Unit chosen beside the field; a unit inside the text outranks it. */
  readonly unit: string
  readonly instrument?: string
  readonly at?: number
}

/**
 * A reading from what a person typed.
 *
 * Shape:  `typed` stays as it was; `unit` is the one inside the text, else the chosen one. "OL" or "open" is an infinite resistance.
 * Units:  any id of UNITS; `si` in the SI unit of the quantity.
 * Errors: CALC_NOT_A_NUMBER, CALC_UNIT_UNKNOWN, CALC_INPUT_OUT_OF_RANGE, CALC_READING_DOUBTFUL (one comma, two meanings). Never throws.
 * Source: number forms are common practice; ranges are RANGES.
 */
export function parseReading(input: TypedReading): Result<Reading> {
  const { quantity, typed } = input
  const rest = {
    ...(input.instrument === undefined ? {} : { instrument: input.instrument }),
    ...(input.at === undefined ? {} : { at: input.at }),
  }
  if (quantity === 'resistance' && isOpenText(typed)) {
    const unitId = UNITS[input.unit]?.quantity === 'resistance' ? input.unit : 'ohm'
    return ok({ quantity, typed, unit: unitId, si: Infinity, ...rest })
  }
  const text = typed
    .normalize('NFC')
    .trim()
    .replace(/[\u2212\u2013]/g, '-')
    .replaceAll('º', '°')
  const split = /^([+-]?[\d.,'’\s\u00a0\u2009\u202f]*\d[.,]?)\s*(.*)$/su.exec(text)
  if (!split) return notANumber(text, quantity)
  const [, digits = '', tail = ''] = split
  const odd = oddity(digits.trim(), tail.trim())
  if (odd) return failed('CALC_NOT_A_NUMBER', odd, { details: { typed } })
  const number = parseNumber(digits.trim())
  if (!number.ok) return number
  const found = findUnit(quantity, tail.trim(), input.unit)
  if (!found) {
    const offered = unitsOf(quantity).map((row) => row.id)
    const message = `That unit does not fit here. Use ${
      offered
        .map((id) => known(id).label)
        .filter(Boolean)
        .join(' or ') || 'a plain number'
    }.`
    return failed('CALC_UNIT_UNKNOWN', message, { details: { typed, unit: tail.trim() || input.unit, offered } })
  }
  const si = toSi(number.value, found.id)
  const { low, high } = RANGES[quantity]
  if (!(si >= low && si <= high)) {
    const [from, to] = [low, high].map((end) => plain(fromSi(end, found.id)))
    const message = `That number is too far out. Look again: it lies between ${from} and ${to} ${found.label}`.trim() + '.'
    return failed('CALC_INPUT_OUT_OF_RANGE', message, { details: { typed, unit: found.id, low, high } })
  }
  return ok({ quantity, typed, unit: found.id, si, ...rest })
}

/**
 * A number as people of different countries write it: "5,3", "1 234.5", "1,234.5", "1.234,5".
 *
 * Shape:  text without unit; one comma before exactly three digits has two meanings and is asked again.
 * Errors: CALC_NOT_A_NUMBER, CALC_READING_DOUBTFUL. Never throws.
 * Source: ISO 80000-1 allows comma and point as the decimal sign and thin spaces between groups of three.
 */
export function parseNumber(text: string): Result<number> {
  const clean = text.trim().replace(/[\u00a0\u2009\u202f]/g, ' ')
  const grouped = /^[+-]?\d{1,3}([ '’]\d{3})+([.,]\d+)?$/.test(clean)
  const compact = grouped ? clean.replace(/[ '’]/g, '') : clean
  if (/^[+-]?[1-9]\d{0,2},\d{3}$/.test(compact) && !grouped) {
    const whole = compact.replace(',', '')
    const message = `${compact} has two meanings. Type ${whole} or ${compact.replace(',', '.')}.`
    return failed('CALC_READING_DOUBTFUL', message, { details: { typed: text } })
  }
  let normal = compact
  if (/^[+-]?\d{1,3}(,\d{3})+\.\d+$/.test(compact) || /^[+-]?\d{1,3}(,\d{3}){2,}$/.test(compact)) normal = compact.replaceAll(',', '')
  else if (/^[+-]?\d{1,3}(\.\d{3})+,\d+$/.test(compact) || /^[+-]?\d{1,3}(\.\d{3}){2,}$/.test(compact))
    normal = compact.replaceAll('.', '').replace(',', '.')
  else normal = compact.replace(',', '.')
  if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(normal)) {
    return failed('CALC_NOT_A_NUMBER', 'Type one plain number, for example 5.3.', { details: { typed: text } })
  }
  const value = Number(normal)
  if (!Number.isFinite(value)) return failed('CALC_NOT_A_NUMBER', 'Type one plain number, for example 5.3.', { details: { typed: text } })
  return ok(value)
}

function unit(id: string, quantity: Quantity, factor: number, label: string, spellings: readonly string[], zero = 0): Unit {
  return { id, quantity, factor, zero, label, spellings: [id.toLowerCase(), label.toLowerCase(), ...spellings] }
}

function known(id: string): Unit {
  const row = UNITS[id]
  if (!row) throw new RangeError(`No unit is called "${id}".`)
  return row
}

function findUnit(quantity: Quantity, tail: string, chosen: string): Unit | undefined {
  const fitting = unitsOf(quantity)
  if (tail === '') return fitting.find((row) => row.id === chosen) ?? (quantity === 'count' ? fitting[0] : undefined)
  const exact = fitting.find((row) => row.exact?.includes(tail))
  if (exact) return exact
  // A small m before ohm would be milli, a factor of a thousand million: it is never guessed.
  if (quantity === 'resistance' && /^m($|[ oω])/.test(tail.toLowerCase())) return undefined
  const lower = tail.toLowerCase().replace(/\.$/, '').replace(/\s+/g, ' ')
  const bare = lower.replace(/^°\s*/, '').replace(/^degrees? ?/, 'deg ')
  return fitting.find((row) => row.id === tail || row.spellings.includes(lower) || row.spellings.includes(bare))
}

/** A sentence that mends what looks like a number but is none; undefined = nothing odd. */
function oddity(digits: string, tail: string): string | undefined {
  if (/^e[+-]?\d/i.test(tail)) return 'Write the number out in full, or choose a larger unit.'
  if (/^x[0-9a-f]/i.test(tail) && digits === '0') return 'Type one plain number, for example 5.3.'
  if (/^[/⁄]\s*\d/.test(tail) || /^\s*[¼½¾⅓⅔⅛⅜⅝⅞]/.test(tail)) return 'Write fractions with a point, for example 1.5.'
  if (/^:\d/.test(tail)) return 'Write the time as one number, for example 1.5 h or 90 min.'
  if (/^['′"″]/.test(tail)) return 'Write feet with a point, for example 5.5 ft.'
  if (/\d/.test(tail.replace(/^\D*$/, ''))) return 'Type one number at a time.'
  return undefined
}

function notANumber(text: string, quantity: Quantity): Result<Reading> {
  const open = quantity === 'resistance' ? ' If the meter shows OL, type OL.' : ''
  const fraction = /[¼½¾⅓⅔⅛⅜⅝⅞]/.test(text)
  const message = fraction ? 'Write fractions with a point, for example 0.5.' : `Type the number that the meter shows.${open}`
  return failed('CALC_NOT_A_NUMBER', message, { details: { typed: text } })
}

function plain(value: number): string {
  return String(Number(value.toPrecision(4)))
}
