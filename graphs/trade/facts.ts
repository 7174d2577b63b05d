// The facts about tub and job that a computation may look at: slug, question, unit, and what is taken while nobody knows.
// No judgement lives here; evaluators say which of these facts they used.
import type { Quantity } from './verdict.ts'

export type FactChoice = { readonly value: string | boolean; readonly label: string }

/** What is taken while a fact is unknown: a middle and a half-width, in the SI unit of the quantity. */
export type WideDefault = { readonly value: number; readonly uncertainty: number; readonly words: string }

export type FactDefinition = {
  readonly slug: string
  readonly label: string
  /** A number has a quantity, a choice has choices, free text has neither. */
  readonly quantity?: Quantity
  readonly choices?: readonly FactChoice[]
  /** Units offered on the form; ids of quantity.ts, the likely one first. */
  readonly units?: readonly string[]
  readonly question: string
  readonly help?: string
  /** Half-width taken when a stated number comes without one: a share of the value, or absolute in SI. */
  readonly usual?: { readonly share: number } | { readonly absolute: number }
  readonly wide?: WideDefault
  /** What the number can be at all, SI. */
  readonly range?: { readonly low: number; readonly high: number }
}

const YES_NO: readonly FactChoice[] = [
  { value: true, label: 'Yes' },
  { value: false, label: 'No' },
]

/**
 * Every fact the computations know.
 *
 * Shape:  one row a fact; `filter-hours` is hours a day and `tub-age` is years, both plain counts.
 * Units:  SI of the quantity (temperature degC, volume L, power W).
 * Source: widths are engineering assumptions (volume 7 %, heater 5 %, pump 10 %, air 2 K) unless `help` says otherwise.
 */
export const FACTS: readonly FactDefinition[] = [
  {
    slug: 'supply-profile',
    label: 'Power supply',
    choices: [
      { value: 'split-240-4wire', label: '240 V, four wires (two hots, neutral, ground)' },
      { value: 'split-240-3wire', label: '240 V, three wires (two hots, ground)' },
      { value: 'wye-208', label: '208 V (two legs of a three-phase building)' },
      { value: 'cord-120', label: '120 V cord and plug' },
      { value: 'single-230', label: '230 V single-phase (outside North America)' },
      { value: 'unknown', label: 'Not known' },
    ],
    question: 'Which power supply does the label of the tub show?',
    help: 'Look at the rating label, not at the breaker. Not known is a safe answer.',
  },
  {
    slug: 'volume',
    label: 'Water volume',
    quantity: 'volume',
    units: ['gal', 'L'],
    question: 'How much water does the tub hold?',
    help: 'The rating label or the manual gives it.',
    usual: { share: 0.07 },
    wide: { value: 1325, uncertainty: 465, words: 'a tub of {litre 860} to {litre 1790}' },
    range: { low: 150, high: 12000 },
  },
  {
    slug: 'heater-power',
    label: 'Heater power',
    quantity: 'power',
    units: ['kW', 'W'],
    question: 'How many kilowatts does the heater label show?',
    help: 'Power at the rated voltage of the heater.',
    usual: { share: 0.05 },
    wide: { value: 3250, uncertainty: 2250, words: 'a heater of {watt 1000} to {watt 5500}' },
    range: { low: 300, high: 15000 },
  },
  {
    slug: 'heater-rated-voltage',
    label: 'Rated voltage of the heater',
    quantity: 'voltage',
    units: ['V'],
    question: 'Which voltage stands on the heater label?',
    usual: { absolute: 0 },
    range: { low: 100, high: 480 },
  },
  {
    slug: 'supply-voltage',
    label: 'Measured supply voltage',
    quantity: 'voltage',
    units: ['V'],
    question: 'What does the meter show across the heater supply, with the heater on?',
    usual: { share: 0.015 },
    range: { low: 80, high: 500 },
  },
  {
    slug: 'pump-power',
    label: 'Pump power',
    quantity: 'power',
    units: ['W', 'kW'],
    question: 'How many watts does the pump draw at the speed that runs?',
    help: 'From a wattmeter or the label. Amps times volts reads too high.',
    usual: { share: 0.1 },
    wide: { value: 250, uncertainty: 150, words: 'a pump of {watt 100} to {watt 400} on low' },
    range: { low: 10, high: 5000 },
  },
  {
    slug: 'sensor-curve',
    label: 'Sensor curve',
    choices: [
      { value: 'S', label: '10 kΩ, curve S ({ohm 5325} at {temp 40})' },
      { value: 'E', label: '10 kΩ, curve E ({ohm 5825} at {temp 40})' },
      { value: 'X', label: '10 kΩ, curve X ({ohm 5762} at {temp 40})' },
      { value: '30k', label: '30 kΩ family ({ohm 15975} at {temp 40})' },
      { value: 'table', label: 'The maker’s own table' },
      { value: 'unknown', label: 'Not known' },
    ],
    question: 'Which curve does the maker give for the sensors?',
    help: 'Only from the maker’s sheet. Sensors that look alike can differ by several degrees.',
  },
  {
    slug: 'sensor-table',
    label: 'The maker’s sensor table',
    question: 'Type the maker’s table: temperature in °C, a colon, ohms. Put a comma between the rows.',
    help: 'Example, invented: 0:32000, 25:10000, 40:5300. At least three rows.',
  },
  {
    slug: 'sensor-limit',
    label: 'Tolerance of the sensor',
    quantity: 'temperature-difference',
    units: ['dF', 'dK'],
    question: 'How far off may a good sensor be, by the maker’s sheet?',
    wide: { value: 1, uncertainty: 0, words: 'a tolerance of {dtemp 1}' },
    range: { low: 0.05, high: 5 },
  },
  {
    slug: 'relay-fixed-leg',
    label: 'One heater leg is not switched',
    choices: YES_NO,
    question: 'Does the wiring diagram show one heater leg that no relay switches?',
    help: 'Leave it open when there is no diagram.',
  },
  {
    slug: 'air-mean',
    label: 'Mean air of the last days',
    quantity: 'temperature',
    units: ['degF', 'degC'],
    question: 'What was the mean air temperature, day and night, over the last several days?',
    help: 'The mean of several days counts, not the air right now.',
    usual: { absolute: 2 },
    range: { low: -40, high: 50 },
  },
  {
    slug: 'night-lows',
    label: 'Night lows',
    quantity: 'temperature',
    units: ['degF', 'degC'],
    question: 'How low did the air get at night in the last days?',
    usual: { absolute: 2 },
    range: { low: -50, high: 45 },
  },
  {
    slug: 'filter-hours',
    label: 'Hours of filtering a day',
    quantity: 'count',
    units: ['1'],
    question: 'How many hours a day does the pump run for filtering?',
    usual: { absolute: 1 },
    range: { low: 0, high: 24 },
  },
  { slug: 'full-sun', label: 'Tub stands in full sun', choices: YES_NO, question: 'Does the tub stand in full sun most of the day?' },
  {
    slug: 'water-target',
    label: 'Set point',
    quantity: 'temperature',
    units: ['degF', 'degC'],
    question: 'To which temperature is the tub set?',
    usual: { absolute: 0 },
    wide: { value: 40, uncertainty: 0, words: 'a set point of {temp 40}' },
    range: { low: 4, high: 43 },
  },
  {
    slug: 'region',
    label: 'Region',
    choices: [
      { value: 'north-america', label: 'North America, 60 Hz' },
      { value: 'elsewhere', label: 'Outside North America, 230 V' },
      { value: 'unknown', label: 'Not known' },
    ],
    question: 'Where does the tub stand?',
    help: 'Local codes come first. Where the region is not known, feed work belongs to a licensed electrician.',
  },
  {
    slug: 'tub-age',
    label: 'Age of the tub',
    quantity: 'count',
    units: ['1'],
    question: 'How many years old is the tub?',
    usual: { absolute: 1 },
    range: { low: 0, high: 60 },
  },
  {
    slug: 'units',
    label: 'Units on the screen',
    choices: [
      { value: 'us', label: '°F and gallons' },
      { value: 'si', label: '°C and litres' },
    ],
    question: 'Which units shall the screen show?',
  },
]
