// Engine facts in words for the screens: answers, power states, hazards, endings. English of the product; quantities in the shop's units.
// What may be shown to whom is view.ts.
import type { Form, TypedReading } from '../contract/index.ts'
import type { Edition, Ending, HandPlace, HazardSlug, Step, TubState } from '../edition/compiled.ts'
import type { PowerState } from '../safety/power.ts'
import { FACTS } from '../trade/facts.ts'
import { fillText, formatQuantity } from '../trade/placeholder.ts'
import type { ShopUnits } from '../trade/placeholder.ts'
import { UNITS } from '../trade/quantity.ts'
import type { Entry, JobFact, JobState } from './state.ts'

/** The shop's units: a fact of the job, US customary until it says otherwise. */
export function unitsOfShop(state: JobState): ShopUnits {
  return state.facts.units?.value === 'si' ? 'si' : 'us'
}

export const HAZARD_WORDS: { readonly [hazard in HazardSlug]: { readonly label: string; readonly sticky: boolean } } = {
  shock: { label: 'A shock or tingle was felt', sticky: true },
  voltage: { label: 'Voltage was found after switching off', sticky: true },
  flood: { label: 'Water reached the electrics', sticky: true },
  heat: { label: 'Heat, smoke or burning at the electrics', sticky: true },
  'heat-without-demand': { label: 'The heater heats with nothing asking for heat', sticky: true },
  'hot-water': { label: 'Water was far above the bathing limit', sticky: true },
  'suction-cover': { label: 'A suction cover is broken or missing', sticky: true },
  'gfci-failed': { label: 'The GFCI is missing or failed its test', sticky: true },
  'bridged-device': { label: 'A safety device was bridged', sticky: true },
  'wet-electrics': { label: 'Electrical parts are wet or damaged', sticky: false },
}

export const POWER_WORDS: { readonly [power in PowerState]: string } = {
  closed: 'Closed, power as found',
  'live-shut': 'Power on, covers on',
  proving: 'Off and locked, not proved dead',
  locked: 'Locked, proved dead',
  'live-open': 'Open and not proved dead',
}

export const PART_WORDS: { readonly [part: string]: string } = {
  phone: 'to finish this part',
  arrive: 'to see the tub as found',
  'make-dead': 'to make it safe to work on',
  find: 'to find it',
  mend: 'to mend it',
  prove: 'to prove the repair',
  close: 'to close the job',
}

export const PLACE_WORDS: { readonly [place in HandPlace]: string } = {
  terminals: 'Feed terminals',
  board: 'Control board',
  heater: 'Heater posts',
  pump: 'Pump plug',
}

export const ENDING_WORDS: { readonly [ending in Ending]: string } = {
  'solved-by-phone': 'Solved without a visit',
  normal: 'Nothing is broken',
  repaired: 'Repaired and proved',
  'repaired-to-confirm': 'Repaired, still to be confirmed',
  'made-safe': 'Made safe, not repaired yet',
  'for-electrician': 'For a licensed electrician',
  'second-visit': 'A second visit is needed',
  declined: 'Declined by the customer',
  specialist: 'For a specialist',
  'not-proved': 'Not proved',
}

export const TUB_WORDS: { readonly [tub in TubState]: string } = {
  'safe-to-use': 'The tub is safe to use.',
  'usable-with-limits': 'The tub may be used within the limits written here.',
  'off-out-of-service-lock': 'The tub is off, with the shop’s out-of-service lock on.',
  off: 'The tub is off and stays off.',
  'not-checked-on-site': 'We have not checked the tub on site.',
}

/** The label of a unit, as shown. */
export function unitLabel(unit: string): string {
  return UNITS[unit]?.label ?? unit
}

export function typedWords(reading: TypedReading): string {
  return /[a-zΩ°]/i.test(reading.typed) ? reading.typed : `${reading.typed} ${unitLabel(reading.unit)}`.trim()
}

/** The readings of an answer as they were typed, a series as "first → last". */
export function typedList(step: Step, entry: Entry): { label: string; value: string }[] {
  const list: { label: string; value: string }[] = []
  for (const spec of step.readings ?? []) {
    const given = entry.readings?.[spec.name]
    if (given === undefined) continue
    const choice = Array.isArray(given) ? undefined : spec.choices?.find((one) => one.typed === given.typed)
    const value = choice?.label ?? (Array.isArray(given) ? given.map(typedWords).join(' → ') : typedWords(given))
    list.push({ label: spec.label, value })
  }
  return [...list, ...formLines(entry.form)]
}

function formLines(form: Form | undefined): { label: string; value: string }[] {
  if (form === undefined) return []
  switch (form.form) {
    case 'facts':
      return Object.entries(form.facts).map(([slug, value]) => ({ label: factLabel(slug), value: factAnswer(slug, value) }))
    case 'pairs':
      return [
        { label: 'Tester proved before', value: form.tester_before ? 'yes' : 'no' },
        ...Object.entries(form.volts).map(([pair, reading]) => ({ label: pairWords(pair), value: typedWords(reading) })),
        { label: 'Tester proved after', value: form.tester_after ? 'yes' : 'no' },
      ]
    case 'switches':
      return [
        { label: 'Switches', value: switchWords(form.positions) },
        ...(form.jumpers === '' ? [] : [{ label: 'Jumpers', value: form.jumpers }]),
      ]
    case 'conductors':
      return form.conductors.map((one) => ({ label: `${one.from} → ${one.to}`, value: [one.colour, one.meter].filter(Boolean).join(', ') }))
    case 'loads':
      return form.loads.map((one) => ({ label: one.load, value: [one.outlet, one.volts].filter(Boolean).join(', ') }))
    case 'settings':
      return Object.entries(form.settings).map(([name, value]) => ({ label: sentence(name), value }))
    case 'checklist':
      return form.ticked.map((item) => ({ label: item, value: 'yes' }))
    case 'text':
      return Object.entries(form.fields).map(([name, value]) => ({ label: sentence(name), value }))
    default:
      return []
  }
}

export function pairWords(pair: string): string {
  const [place = '', ...rest] = pair.split(':')
  return `${PLACE_WORDS[place as HandPlace] ?? place}, ${rest.join(':')}`
}

/** "1 on, 2 off, 3 not there". */
export function switchWords(positions: string): string {
  return [...positions]
    .map((position, index) => `${index + 1} ${position === '1' ? 'on' : position === '0' ? 'off' : 'not there'}`)
    .join(', ')
}

export function sentence(slug: string): string {
  return slug.charAt(0).toUpperCase() + slug.slice(1).replaceAll('-', ' ')
}

export function factLabel(slug: string): string {
  return FACTS.find((fact) => fact.slug === slug)?.label ?? sentence(slug)
}

function factAnswer(slug: string, value: TypedReading | string | boolean | null): string {
  if (value === null) return 'not known'
  if (typeof value === 'object') return typedWords(value)
  const choice = FACTS.find((fact) => fact.slug === slug)?.choices?.find((one) => one.value === value)
  return choice?.label ?? (value === true ? 'yes' : value === false ? 'no' : String(value))
}

/** A fact as a person reads it: typed figure first, never converted twice; a figure kept without its unit in the shop's. */
export function factWords(fact: JobFact, units: ShopUnits): string {
  const definition = FACTS.find((one) => one.slug === fact.slug)
  const choice = definition?.choices?.find((one) => one.value === fact.value)
  if (choice !== undefined) return choice.label
  if (typeof fact.value !== 'number') return fact.value === true ? 'yes' : fact.value === false ? 'no' : String(fact.value)
  const isBare = definition?.quantity !== undefined && /^[\d.,+-]+$/.test(fact.typed?.trim() ?? '')
  if (fact.typed !== undefined && !isBare) {
    const [number = '', unit = ''] = fact.typed.split(' ')
    return `${number} ${unitLabel(unit)}`.trim()
  }
  return definition?.quantity === undefined ? String(fact.value) : formatQuantity(definition.quantity, fact.value, units)
}

/** The answer in words: the label of its outcome, or why it was not done. */
export function answerWords(edition: Edition, step: Step, entry: Entry, units: ShopUnits): string {
  if (entry.outcome === 'not-done') {
    const reason = edition.not_done.find((one) => one.slug === entry.reason)?.label
    return reason === undefined ? 'Not done' : `Not done: ${reason}`
  }
  return fillText(step.outcomes[entry.outcome]?.label ?? sentence(entry.outcome), units)
}
