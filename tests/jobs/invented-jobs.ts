// Invented jobs of an invented shop ("Example Spa Shop, Cedar Row"): one complete, and the awkward ones. Nothing in them happened.
// How a script is played is drive-job.ts; what comes of it is judged by the tests.
import type { Person } from '#graphs/contract'
import { allTicked, pairsForm } from './drive-job.ts'
import type { Disturbance, DrivenJob, Given, Script } from './drive-job.ts'

export const SHOP = 'Example Spa Shop, Cedar Row, invented'
export const DESK: Person = { id: 'desk-robin', name: 'Robin', role: 'dispatcher', signed: [] }
export const TECH: Person = { id: 'tech-sasha', name: 'Sasha', role: 'technician', signed: ['absence-of-voltage'] }
export const LEAD: Person = { id: 'tech-marlow', name: 'Marlow', role: 'technician', signed: ['absence-of-voltage', 'energized-work'] }
export const OWNER: Person = { id: 'home-owner', name: 'The owner', role: 'homeowner', signed: [] }

/** Mean air and filter hours, whatever the step calls them. */
function weather(air: string, hours: string): Given {
  return (step) => ({ readings: Object.fromEntries(step.readings.map(({ name }) => [name, name === 'filter-hours' ? hours : air])) })
}

const START = Date.UTC(2026, 2, 3, 8, 40)

/** The phone part up to "nobody in, a visit is booked". */
const PHONE: Script['answers'] = {
  'red-flags.reach-back': 'done',
  'red-flags.people': 'nobody',
  'red-flags.shock': 'none',
  'red-flags.burning': 'none',
  'red-flags.water-at-wiring': 'none',
  'red-flags.temperature': 'thermometer-below',
  'red-flags.power': 'running',
  'red-flags.suction': 'whole',
  'red-flags.fumes': 'none',
  'red-flags.standing-words': 'agreed',
  'overheating.connection': 'wired',
  'overheating.other-heat': 'none',
  'overheating.earlier-visit': 'first',
  'overheating.what-happens': 'running',
  'heating-symbol.test': 'off',
  'display-and-thermometer.test': { readings: { water: '102.2 degF', display: '102 degF', setpoint: '98 degF' } },
  'overheating.climbing': 'steady',
  'pump-behaviour.test': 'as-expected',
  'weather-and-hours.test': weather('46 degF', '4 1'),
  'house-meter.test': { not_done: 'no-tool', words: 'The meter is in a locked room.' },
}

/** From the booking on the phone to the first look on site. */
const BOOKING: Script['answers'] = {
  'overheating.tub-facts': {
    form: {
      form: 'facts',
      facts: {
        region: 'north-america',
        volume: { typed: '350', unit: 'gal' },
        'tub-age': { typed: '6', unit: '1' },
        'heater-power': { typed: '5.5', unit: 'kW' },
      },
    },
  },
  'overheating.message-words': {
    form: { form: 'text', fields: { 'display-words': 'none', 'stored-messages': 'none', 'still-works': 'jets and light' } },
  },
  'history-questions.work-done': 'nothing',
  'history-questions.place': 'none',
  'history-questions.events': 'none',
  'history-questions.weather-lately': 'cool',
  'history-questions.filter-age': 'recent',
  'overheating.book-next-day': 'booked',
  'overheating.before-visit': 'agreed',
}

const AS_FOUND_SETTINGS = { 'set-point': '98 °F', range: 'high', mode: 'ready', filtration: '20:00, 4 h' }

/** On site, covers on. */
const ON_SITE: Script['answers'] = {
  'overheating.site-history': 'read',
  'overheating.ground': 'dry',
  'overheating.rating-label': {
    form: {
      form: 'facts',
      facts: {
        'supply-profile': 'split-240-4wire',
        volume: { typed: '350', unit: 'gal' },
        'heater-power': { typed: '5.5', unit: 'kW' },
        'heater-rated-voltage': { typed: '240', unit: 'V' },
      },
    },
  },
  'overheating.as-found': 'running',
  'overheating.suction': 'whole',
  'water-clear.clear': 'yes',
  'gfci-button.test': 'trips-and-resets',
  'settings-sheet.write-down': { form: { form: 'settings', settings: AS_FOUND_SETTINGS } },
  'settings-sheet.compare': 'ok',
  'return-flow.test': 'strong',
  'overheating.site-water-side': 'good',
  'overheating.pump-sound': 'low',
  'rise-with-demand-off.test': { readings: { water: ['101.8 degF', '102.8 degF', '103.8 degF', '104.7 degF'] } },
}

/** Off, locked, proved dead. */
const MADE_DEAD: Script['answers'] = {
  'make-dead.find-disconnect': 'found',
  'make-dead.gfci-seen': 'seen',
  'make-dead.other-loads': 'agreed',
  'make-dead.switch-off': 'dead',
  'make-dead.lock': 'locked',
  'make-dead.try-buttons': 'nothing',
  'make-dead.let-it-settle': 'done',
  'make-dead.covers-off': 'off',
  'make-dead.prove': pairsForm(),
}

/** The record as found, and what is looked at with the cover off. */
const INSIDE: Script['answers'] = {
  'as-found-record.photos': allTicked,
  'as-found-record.look': 'neither',
  'as-found-record.switches': { form: { form: 'switches', positions: '100100', jumpers: 'J1 on the left pair' } },
  'as-found-record.conductors': {
    form: {
      form: 'conductors',
      conductors: [
        { from: 'block L1', to: 'board L1', colour: 'black' },
        { from: 'block L2', to: 'board L2', colour: 'red' },
        { from: 'block N', to: 'board N', colour: 'white' },
        { from: 'pump 1', to: 'outlet A', colour: 'blue, printed black' },
      ],
    },
  },
  'as-found-record.loads': {
    form: {
      form: 'loads',
      loads: [
        { load: 'pump 1', outlet: 'A', volts: '240' },
        { load: 'ozone', outlet: 'C', volts: '120' },
      ],
    },
  },
  'dead-look.look': 'burnt',
  'overheating.burnt-where': 'spa-side',
  'overheating.water-path': 'sound',
  'sensor-seat.test': 'seated',
  'sensor-resistance.curve': { form: { form: 'facts', facts: { 'sensor-curve': 'S', 'sensor-table': null, 'sensor-limit': null } } },
  'sensor-resistance.test': { readings: { 'temp-sensor': '5.32 kohm', 'limit-sensor': '5.36 kohm', bath: '104.0 degF' } },
  'configuration-check.test': 'match',
  'relay-contacts-dead.diagram': { form: { form: 'facts', facts: { 'relay-fixed-leg': false } } },
  'relay-contacts-dead.measure': { readings: { 'pole-1': '0.2 ohm', 'pole-2': '0.3 ohm' } },
}

const NEW_BOARD: Script['answers'] = {
  'board-replacement.match-list': {
    form: {
      form: 'text',
      fields: {
        supply: '240 V four wires, link as printed',
        heater: '5.5 kW at 240 V',
        'current-mode': '50 A, heat with jets',
        pumps: 'pump 1 two-speed, circulates on low',
        'small-loads': 'ozone 120 V, light 12 V',
        sensors: '10 kΩ family',
        panel: 'same panel',
        'set-up': 'six switches',
        boards: 'same printed name on both',
      },
    },
  },
  'board-replacement.all-known': 'known',
  'element-check.to-tube': { readings: { 'to-ground': 'OL Mohm' } },
  'element-check.across': { readings: { element: '10.6 ohm' } },
  'element-check.leads-back': 'left-off',
  'loads-sound.discharge': { readings: { capacitor: '0.4 V' } },
  'loads-sound.each-to-ground': { readings: { 'to-ground': 'OL Mohm' } },
  'loads-sound.capacitors': 'all-good',
  'board-replacement.price': 'approved',
  'board-replacement.bench': 'ready',
  'board-replacement.feed-lands': 'block',
  'board-replacement.copy-switches': { form: { form: 'switches', positions: '100100', jumpers: 'J1 on the left pair' } },
  'board-replacement.screws': 'out',
  'board-replacement.plugs': 'done',
  'board-replacement.swap': 'fitted',
  'load-voltage-map.test': 'match',
  'board-replacement.tidy': allTicked,
}

/** Closed, on, watched: the water is exchanged in part, heats, stops and holds. */
const PROVED: Script['answers'] = {
  'dead-feed.test': { readings: { 'hot-ground': 'OL Mohm', 'line-line': '34 ohm' } },
  'close-and-power-up.covers-on': 'closed',
  'close-and-power-up.fit-to-run': 'right',
  'close-and-power-up.tell-everybody': 'told',
  'close-and-power-up.locks-off': 'own',
  'close-and-power-up.power-on': 'starts',
  'prove-the-repair.first-look': 'normal',
  'prove-the-repair.read-back': 'same',
  'output-walk.test': 'all-right',
  'prove-the-repair.circulation': 'good',
  'prove-the-repair.water-now': [{ readings: { water: '103.6 degF' } }, { readings: { water: '96.4 degF' } }],
  'prove-the-repair.cool-it': 'exchange',
  'exchange-water.switch-off': 'off',
  'exchange-water.may-drain': 'yes',
  'exchange-water.drain-and-fill': 'filled',
  'prove-the-repair.heat-on': 'symbol-on',
  'prove-the-repair.heat-on-short': { readings: { water: ['96.4 degF', '97.4 degF', '98.4 degF', '99.4 degF'] } },
  'prove-the-repair.display': { readings: { water: '99.4 degF', display: '99 degF', setpoint: '99 degF' } },
  'prove-the-repair.heat-off': 'symbol-off',
  'prove-the-repair.heat-off-short': { readings: { water: ['99.4 degF', '99.4 degF', '99.3 degF', '99.3 degF'] } },
  'prove-the-repair.demand-cycles': 'follows',
  'prove-the-repair.what-was-mended': 'nothing-else',
  'prove-the-repair.settings': { form: { form: 'settings', settings: AS_FOUND_SETTINGS } },
  'prove-the-repair.hold': { readings: { water: ['99.2 degF', '99.1 degF', '99.0 degF', '99.0 degF'], setpoint: '98 degF' } },
  'prove-the-repair.cool-for-cycles': 'cooled',
  'prove-the-repair.last-round': 'done',
  'board-replacement.old-board': { form: { form: 'text', fields: { 'lies-at': 'warranty shelf', tag: 'job BW-1001' } } },
}

const AIR: readonly Disturbance[] = [
  { by: DESK, command: { type: 'state-fact', slug: 'air-mean', value: { typed: '84', unit: 'degF' }, source: 'told' } },
]

/** Next day: the technician joins and stands at the tub. */
const ARRIVAL: readonly Disturbance[] = [
  { minutes: 24 * 60 },
  { by: TECH, command: { type: 'join', person: TECH, on_site: false } },
  { by: TECH, command: { type: 'arrive' } },
]

export const completeJob: Script = {
  complaint: 'hotter-than-set',
  words: 'Set to 98, and it was 102 this morning with the heating light off.',
  short: 'BW-1001',
  start: START,
  opener: DESK,
  answers: { ...PHONE, ...BOOKING, ...ON_SITE, ...MADE_DEAD, ...INSIDE, ...NEW_BOARD, ...PROVED },
  waits: [ARRIVAL],
}

/** Off under the shop's lock, no frost near. */
export const LEFT_OFF: Script['answers'] = {
  'leave-tub.on-or-off': 'off',
  'leave-off.covers-back': 'closed',
  'leave-off.shop-lock': 'locked',
  'frost-plan.ice': 'none',
  'frost-plan.forecast': 'none',
  'leave-off.tell': 'told',
}

/** Switched off and locked, and there is still voltage at the terminals. */
export const voltageJob: Script = {
  complaint: 'hotter-than-set',
  words: 'It is hotter than I set it, and it keeps climbing.',
  short: 'BW-1002',
  start: START,
  opener: DESK,
  waits: [ARRIVAL],
  answers: {
    ...completeJob.answers,
    ...LEFT_OFF,
    'make-dead.prove': pairsForm({ 'terminals:L1-N': '118', 'terminals:L1-G': '117' }),
    'stop-for-electrician.hands-out': 'back',
    'leave-off.guard': 'took-over',
    'leave-off.own-lock-off': 'changed',
  },
}

/** Warm weather and long filtering; no part is fitted. */
export const creepJob: Script = {
  complaint: 'hotter-than-set',
  words: 'In this heat it creeps up to 102 by the evening.',
  short: 'BW-1003',
  start: Date.UTC(2026, 6, 14, 15, 0),
  opener: DESK,
  waits: [ARRIVAL],
  before: { 'weather-and-hours.test': AIR },
  answers: {
    ...completeJob.answers,
    'weather-and-hours.test': weather('84 degF', '12 1'),
    'overheating.trial-offer': 'visit',
    'history-questions.weather-lately': 'hot',
    'rise-with-demand-off.test': { readings: { water: ['101.4 degF', '101.4 degF', '101.5 degF', '101.5 degF'] } },
    'house-meter.test': [{ not_done: 'no-tool' }, { readings: { before: '900 W', after: '340 W' } }],
    'dead-look.look': 'clean',
    'plug-clean-compare.clean': 'cleaned',
    'plug-clean-compare.measure': { readings: { water: '101.4 degF', display: '101 degF', setpoint: '98 degF' } },
    'plug-clean-compare.judge': 'same',
    'overheating.creep': 'done',
    'prove-the-repair.settings': { form: { form: 'settings', settings: { ...AS_FOUND_SETTINGS, filtration: '02:00, 3 h' } } },
  },
}

const TAKE_OVER: readonly Disturbance[] = [{ by: LEAD, command: { type: 'take-tub' } }]

/** Half way through somebody else takes the tub over: the proof ends, and the new person proves it again. No board is on the van. */
export const handOverJob: Script = {
  complaint: 'hotter-than-set',
  words: 'Too hot since Sunday, with nothing lit on the panel.',
  short: 'BW-1004',
  start: START,
  opener: DESK,
  waits: [ARRIVAL, TAKE_OVER],
  before: {
    'make-dead.lock#2': (job) => (job.state.tub.holder?.person === LEAD.id ? [] : TAKE_OVER),
    'sensor-seat.test': [
      { by: LEAD, command: { type: 'join', person: LEAD, on_site: false } },
      { by: LEAD, command: { type: 'arrive' } },
      { by: TECH, command: { type: 'leave' } },
    ],
  },
  answers: {
    ...completeJob.answers,
    ...LEFT_OFF,
    'leave-site.stay-or-go': 'stays',
    'leave-site.hand-over': 'handed',
    'board-replacement.all-known': 'no-board',
    'part-on-order.what-is-missing': {
      form: { form: 'text', fields: { part: 'control board', match: 'the printed name and the six switches', date: 'Friday' } },
    },
    'part-on-order.may-it-harm': 'harm',
  },
}

/** On the phone an early answer was wrong and is changed: what hung on it is struck. The setting was the cause. */
export const changedJob: Script = {
  complaint: 'hotter-than-set',
  words: 'It went past what I set.',
  short: 'BW-1005',
  start: START,
  opener: DESK,
  before: {
    'overheating.level': (job) => [
      { by: DESK, command: { type: 'change', key: keyOf(job, 'overheating.what-happens'), outcome: 'running' } },
    ],
  },
  answers: {
    ...PHONE,
    'overheating.what-happens': 'message',
    'overheating.steam': 'none',
    'overheating.message-now': 'heat-words',
    'display-and-thermometer.test': { readings: { water: '101.6 degF', display: '102 degF', setpoint: '102 degF' } },
    'settings-sheet.write-down': { form: { form: 'settings', settings: { ...AS_FOUND_SETTINGS, 'set-point': '102 °F' } } },
    'settings-sheet.compare': 'wrong',
    'overheating.settings-right': 'right',
    'overheating.wait-a-day': 'done',
    'overheating.day-after': 'normal',
  },
}

/** The key under which an answer stands. */
function keyOf(job: DrivenJob, step: string): string {
  const key = job.state.path.trail.find((each) => each.includes(`${step}#`))
  if (key === undefined) throw new Error(`${step} was not answered`)
  return key
}

/** The customer does not want the outage; there is no meter reading either. */
export const declinedJob: Script = {
  complaint: 'hotter-than-set',
  words: 'A bit too warm for the children.',
  short: 'BW-1006',
  start: START,
  opener: DESK,
  waits: [ARRIVAL],
  answers: {
    ...completeJob.answers,
    ...LEFT_OFF,
    'leave-off.switch-off': 'off',
    'make-dead.other-loads': 'refused',
    'rebook.reason': 'outage-refused',
  },
}
