// Open risks, and the cautions that go with them. Signal words by severity; local codes and licensed practice come before all of it.
// What a homeowner reads is customer.ts.
import type { HazardSlug } from '../edition/compiled.ts'
import type { JobState } from '../engine/state.ts'
import { HAZARD_WORDS, unitsOfShop } from '../engine/words.ts'
import { HOT_WATER_DEGC } from '../safety/tub.ts'
import { fillText } from '../trade/placeholder.ts'
import { nameOf } from './answers.ts'
import type { NoteCaution, NotePartIn } from './note-data.ts'
import { isProved } from './proof-of-repair.ts'

/** Standing hazards first, then what stands open, then what nobody looked at. */
export function risksOf(state: JobState, partsIn: readonly NotePartIn[]): readonly string[] {
  return [...standing(state), ...leftOpen(state, partsIn), ...unchecked(state)].map((text) => fillText(text, unitsOfShop(state)))
}

function standing(state: JobState): string[] {
  return Object.keys(state.tub.hazards).map((hazard) => {
    const words = HAZARD_WORDS[hazard as HazardSlug]
    const label = words?.label ?? hazard
    return words?.sticky === true ? `${label}. It stands until it is cleared, on the next job too.` : `${label}.`
  })
}

function leftOpen(state: JobState, partsIn: readonly NotePartIn[]): string[] {
  const { tub } = state
  const open = [
    tub.covers === 'off' && 'An electrical cover is off.',
    tub.energy === 'unknown' && 'Nobody knows whether the power is on.',
    tub.leads === 'capped' && 'Both heater leads are off and capped: the tub has no heat.',
    state.path.flags['insulation-weak'] !== undefined &&
      'The insulation to ground is weak: it reads in the megohms. Measure it again at the next visit.',
    tub.resets > 0 && `Breaker resets used on this job: ${tub.resets}. No further one.`,
    (tub.hottest ?? 0) > HOT_WATER_DEGC && 'Water above {temp 42.2} was seen by a thermometer.',
    partsIn.some((part) => part.trial) && 'A part was fitted on trial.',
    partsIn.some((part) => !part.consumable) && !isProved(state) && 'The repair is not proved.',
    state.path.flags['red-unknown'] !== undefined && 'Not every red question has an answer: unknown counts as unsafe.',
  ]
  const locks = tub.locks.map((lock) => `A lock is on: ${nameOf(state, lock.owner)}, at the ${lock.point}.`)
  return [...open.filter((text) => text !== false), ...locks]
}

function unchecked(state: JobState): string[] {
  const { tub } = state
  if (state.visit === 0) return ['Nobody has been on site: nothing was checked there.']
  return [
    tub.marks['suction-covers-seen'] === undefined && 'The suction covers were not seen.',
    tub.gfci === undefined && 'The GFCI was not tested on this job.',
    tub.water === undefined && 'The water was not measured with a thermometer.',
  ].filter((text) => text !== false)
}

/** For staff: by severity, the worst first. */
export function cautionsOf(state: JobState): readonly NoteCaution[] {
  const { tub } = state
  const live = ['shock', 'voltage', 'flood', 'wet-electrics', 'heat'].some((hazard) => tub.hazards[hazard] !== undefined)
  const list: (NoteCaution | false)[] = [
    live && { word: 'danger', text: 'Parts may be live. Keep out until a licensed electrician has cleared it in writing.' },
    { word: 'danger', text: 'Parts inside are live until proved dead. Lock it, and prove every place again at every visit.' },
    state.facts['relay-fixed-leg']?.value === true && {
      word: 'danger',
      text: 'One heater leg is not switched: the element is live to ground with the heat off.',
    },
    tub.hazards['heat-without-demand'] !== undefined && {
      word: 'warning',
      text: 'It heats with nothing asking for heat. It stays off until that is mended and proved.',
    },
    tub.hazards['suction-cover'] !== undefined && {
      word: 'danger',
      text: 'A broken suction cover can hold a person under water. No pump runs.',
    },
    { word: 'warning', text: 'Water above {temp 40} can cause heat stroke and drowning. Nobody in above that, by a thermometer.' },
    tub.energy === 'off' && { word: 'notice', text: 'A tub that is off can freeze and burst. Keep to the frost plan.' },
    { word: 'caution', text: 'Local codes and licensed practice come first. Where they differ from this note, follow them.' },
  ]
  return list.filter((one) => one !== false).map((one) => ({ ...one, text: fillText(one.text, unitsOfShop(state)) }))
}
