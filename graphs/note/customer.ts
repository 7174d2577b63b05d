// The customer's voice: plain cause, what was done, is it safe now, settings, what to watch, when to call. This alone may reach a homeowner.
// No probabilities, no jargon, no blame, no ohms, and nothing that was not proved written as a fact.
import type { Ending, HazardSlug, TubState } from '../edition/compiled.ts'
import type { JobState } from '../engine/state.ts'
import { sentence, unitsOfShop } from '../engine/words.ts'
import { fillText } from '../trade/placeholder.ts'
import { stepName } from './answers.ts'
import type { Answer } from './answers.ts'
import type { CustomerNote, NoteCaution, NoteCause, NoteData } from './note-data.ts'

/** Parts as a customer knows them; a part without a row goes by its label. */
const PART_PLAIN: { readonly [part: string]: string } = {
  'control-board': 'the control board',
  contactor: 'the switch of the heater',
  'water-sensor': 'the temperature sensor',
  'high-limit-sensor': 'the safety sensor of the heater',
  'heater-assembly': 'the heater',
  'terminal-hardware': 'the connections of the heater',
  'circulation-pump': 'the circulation pump',
  pump: 'the pump',
  'flow-switch': 'the flow switch',
  'filter-set': 'the filters',
  'suction-cover': 'a suction cover',
  'gate-valve': 'a valve',
}

/** What a step did, as a customer hears it. */
const DONE_PLAIN: { readonly [step: string]: string } = {
  'overheating.settings-right=right': 'The setting was changed and read back.',
  'overheating.schedule-right=right': 'We set the filtering hours anew and read them back.',
  'overheating.creep=done': 'We set the filtering to fewer and cooler hours. No part would cure this.',
  'overheating.shade=done': 'The set temperature was lowered and the tub was shaded.',
  'overheating.fill=filled': 'The tub was filled up.',
  'overheating.site-fill=filled': 'We filled the tub up.',
  'overheating.clean-filter=done': 'The filter was cleaned.',
  'overheating.water-path=mended': 'We put the flow of water right.',
  'overheating.limit-flow=blocked': 'We cleared the way of the water through the heater.',
  'overheating.reseat=seated': 'We put the temperature sensor back in its place.',
  'overheating.put-to-diagram=corrected': 'We set the controls as their diagram says.',
  'plug-clean-compare.clean=cleaned': 'We cleaned the plugs of the sensors.',
  'bleed-air.test=flow-returns': 'We let trapped air out of the pipes.',
  'exchange-water.drain-and-fill=filled': 'We changed some of the water to cool it.',
}

const HAZARD_PLAIN: { readonly [hazard in HazardSlug]: string } = {
  shock: 'Somebody felt a tingle or a shock. Stay away until an electrician has cleared the tub.',
  voltage: 'There is power where there should be none. Stay away until an electrician has cleared the tub.',
  flood: 'Water has reached the electrical parts. Stay away until an electrician has cleared the tub.',
  heat: 'Something electrical has overheated. Stay away until it is mended.',
  'heat-without-demand': 'The tub can heat by itself. It stays off until that is mended.',
  'hot-water': 'The water was far too hot. The tub is not used until the cause is mended.',
  'suction-cover': 'A cover over a suction opening is broken or missing. Nobody goes in, and no pump runs.',
  'gfci-failed': 'The safety breaker does not protect as it must. The tub is not used until it does.',
  'bridged-device': 'A safety device does not work as it must. The tub is not used until it does.',
  'wet-electrics': 'Electrical parts are wet. The tub stays off until they are put right.',
}

const SAFE: { readonly [tub in TubState]: CustomerNote['safe'] } = {
  'safe-to-use': { use: 'yes', says: 'Yes. The tub is safe to use.' },
  'usable-with-limits': { use: 'limits', says: 'Only within the limits written here.' },
  'off-out-of-service-lock': { use: 'no', says: 'No. The tub is off, and our lock is on it.' },
  off: { use: 'no', says: 'No. The tub is off and stays off.' },
  'not-checked-on-site': { use: 'not-checked', says: 'We have not checked the tub on site, so we cannot say that it is safe.' },
}

const LIMIT = 'Look at a thermometer before each use. Nobody goes in unless it shows {temp 40} or less.'
const SHUT = 'Keep the cover shut and latched, and keep children away.'
const STAYS_OFF = [
  'Nobody goes in, and nobody switches it on.',
  SHUT,
  'A tub that is off can freeze. Keep to what we agreed for frost, or call us before the first frost.',
]

export function customerNote(state: JobState, answers: readonly Answer[], data: Omit<NoteData, 'customer'>): CustomerNote {
  const { job, ending } = data
  const fill = (text: string): string => fillText(text, unitsOfShop(state))
  return {
    short: job.short,
    shop: job.shop,
    practice: job.practice,
    opened: job.opened,
    visits: job.visits.map((visit) => visit.at),
    ...(ending === undefined ? {} : { ended: ending.at }),
    title: data.complaint.label,
    words: data.complaint.words,
    cause: causeSays(data.cause),
    done: doneSays(state, answers, data).map(fill),
    safe: ending === undefined ? { use: 'no', says: 'The work is not finished. Nobody uses the tub until we say so.' } : SAFE[ending.tub],
    open: openSays(state),
    ...settingsNow(data),
    watch: watchSays(ending).map(fill),
    cautions: CAUTIONS.map((one) => ({ ...one, text: fill(one.text) })),
    call: callSays(state, ending?.ending).map(fill),
    who: data.people.filter((person) => person.role !== 'homeowner').map((person) => `${person.name}, ${person.role}`),
    link: job.link,
  }
}

function openSays(state: JobState): string[] {
  const standing = Object.keys(state.tub.hazards).map((hazard) => HAZARD_PLAIN[hazard as HazardSlug])
  return state.tub.covers === 'off' ? [...standing, 'The cabinet is open. Everybody stays away from it.'] : standing
}

function causeSays(cause: NoteCause): string {
  if (cause.state === 'found') return cause.plain
  return cause.state === 'points-to'
    ? 'There is a first sign of the cause, but it is not proved. So we do not name it yet.'
    : 'The cause is not found yet.'
}

function doneSays(state: JobState, answers: readonly Answer[], data: Omit<NoteData, 'customer'>): string[] {
  const standing = answers.filter((answer) => answer.struck === undefined)
  const did = new Set(
    standing.map((answer) => DONE_PLAIN[`${stepName(answer)}=${answer.entry.outcome}`]).filter((text) => text !== undefined),
  )
  const parts = data.partsIn
    .filter((part) => !part.consumable)
    .map((part) => `We replaced ${PART_PLAIN[part.part] ?? part.label.toLowerCase()}.`)
  const heated = ['heat-off-held', 'demand-cycled', 'hold-done'].every((mark) => state.tub.marks[mark] !== undefined)
  const mended = parts.length > 0 || data.proof.length > 0
  const list = [
    ...parts,
    ...did,
    heated && 'We watched it heat up, stop when told, and hold its temperature.',
    mended && !heated && 'We could not finish watching it heat up, stop and hold.',
    data.proof.some((check) => check.what.startsWith('GFCI') && check.state === 'done') && 'The safety breaker (GFCI) passed its test.',
    state.ended?.tub === 'off-out-of-service-lock' && 'We switched the tub off and put our lock on it.',
    state.ended?.tub === 'off' && state.visit > 0 && 'The tub was switched off.',
  ].filter((text) => text !== false)
  if (list.length > 0) return list
  return [state.visit > 0 ? 'We looked at the tub and wrote down what we found.' : 'We went through the questions by phone.']
}

/** As left where that was written down; as found is never passed off as now. */
function settingsNow(data: Omit<NoteData, 'customer'>): Pick<CustomerNote, 'settings' | 'settingsSay'> {
  const { found, left, differences } = data.settings
  const shown = (lines: typeof left): typeof left => lines.map((line) => ({ label: sentence(line.label), value: line.value }))
  if (left.length > 0) {
    return {
      settings: shown(left),
      settingsSay: differences.length > 0 ? `Changed: ${differences.join('; ')}.` : 'The settings are as they were before.',
    }
  }
  if (data.path.some((row) => row.step === 'overheating.settings-right' && row.answer !== 'Not done' && row.struck === undefined)) {
    return { settings: [], settingsSay: 'One setting was changed. The display shows what holds now.' }
  }
  if (found.length === 0) return { settings: [], settingsSay: 'The settings were not written down.' }
  return { settings: shown(found), settingsSay: 'This is how we found them. Settings at the end were not written down.' }
}

function watchSays(ending: NoteData['ending']): string[] {
  switch (ending?.tub) {
    case 'safe-to-use':
      return ['Leave the thermometer in the water for three days, and look at it before each use.', SHUT]
    case 'usable-with-limits':
      return [LIMIT, SHUT]
    case 'not-checked-on-site':
      return ending.ending === 'solved-by-phone' || ending.ending === 'normal'
        ? [LIMIT, SHUT]
        : ['Nobody goes in until somebody has looked at it on site.', ...STAYS_OFF.slice(1)]
    default:
      return STAYS_OFF
  }
}

const CAUTIONS: readonly NoteCaution[] = [
  { word: 'danger', text: 'Leave the cabinet shut: parts inside can kill. Work inside is for trained people, and local codes come first.' },
  {
    word: 'warning',
    text: 'Hot water can cause heat stroke and drowning. Nobody goes in above {temp 40}. Small children: cooler water, a short time, never alone.',
  },
  { word: 'warning', text: 'Ask a doctor first if you are pregnant, ill or on medicine. No alcohol in the tub, and nobody in alone.' },
]

function callSays(state: JobState, ending: Ending | undefined): string[] {
  const list = [
    'Somebody is hurt or unwell: call the emergency services first.',
    'Stay away and call us at once: a tingle, smoke, a burning smell, or a breaker that trips.',
    state.tub.energy !== 'off' && 'Call us when the water is {dtemp 1.7} or more above the set temperature.',
    ending === 'for-electrician' && 'A licensed electrician comes next. Call us for the day.',
    ending === 'second-visit' && 'We come again. Call us if the day does not suit you.',
    ending === 'declined' && 'Call us when you want the work done.',
    ending === 'not-proved' && 'We call you, and we come again if it comes back.',
    (ending === 'repaired' || ending === 'repaired-to-confirm') && 'We call you after one day and after three days.',
  ]
  return list.filter((text) => text !== false)
}
