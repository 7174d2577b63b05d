// Breaches planted in the small edition, at least five of different shapes for each searched rule: the list is the test.
// Each is a change of one or two places; the audit must name the rule and the way there.
import { effect, step, way } from './small-edition.ts'
import type { OpenEdition, OpenStep } from './small-edition.ts'

export type Planted = { readonly rule: number; readonly shape: string; readonly plant: (edition: OpenEdition) => void }

function at(edition: OpenEdition, place: string): OpenStep {
  const [block = '', id = ''] = place.split('.')
  const found = edition.blocks[block]?.steps[id]
  if (found === undefined) throw new Error(`${place} is not in the small edition`)
  return found
}

const set = (place: string, fields: object) => (edition: OpenEdition) => void Object.assign(at(edition, place), fields)
const lead =
  (place: string, outcome: string, to: string, ...effects: readonly string[]) =>
  (edition: OpenEdition) => {
    at(edition, place).outcomes[outcome] = way(to, ...effects)
  }
/** Takes one effect away from an outcome. */
const without = (place: string, outcome: string, words: string) => (edition: OpenEdition) => {
  const found = at(edition, place).outcomes[outcome]
  const before = found?.effects ?? []
  const kept = before.filter((one) => JSON.stringify(one) !== JSON.stringify(effect(words)))
  if (found === undefined || kept.length === before.length) throw new Error(`${place}=${outcome} does not say "${words}"`)
  found.effects = kept
}
const withEffect = (place: string, outcome: string, words: string) => (edition: OpenEdition) => {
  const found = at(edition, place).outcomes[outcome]
  if (found !== undefined) found.effects = [...(found.effects ?? []), effect(words)]
}
const add = (block: string, added: OpenStep) => (edition: OpenEdition) => {
  const found = edition.blocks[block]
  if (found !== undefined) found.steps[added.id] = added
}
const both =
  (...plants: readonly ((edition: OpenEdition) => void)[]) =>
  (edition: OpenEdition) => {
    for (const plant of plants) plant(edition)
  }
/** The first case of a decide step goes. */
const withoutCase = (place: string, outcome: string) => (edition: OpenEdition) => {
  const found = at(edition, place)
  Object.assign(found, { cases: (found.cases ?? []).filter((one) => one.outcome !== outcome) })
}
const exits = (cause: 'dead' | 'prove' | 'live_shut', exit: string, after: unknown) => (edition: OpenEdition) => {
  Object.assign(edition.standing[cause].exits, { [exit]: after })
}

const planted = (rule: number, shapes: { readonly [shape: string]: Planted['plant'] }): Planted[] =>
  Object.entries(shapes).map(([shape, plant]) => ({ rule, shape, plant }))

const OUTSIDE = ['homeowner', 'dispatcher', 'technician']

export const PLANTED: readonly Planted[] = [
  ...planted(1, {
    'hands go inside without a need': set('contacts-dead.test', { needs: 'talk' }),
    'hands go inside where only the covers are said to be on': set('contacts-dead.test', { needs: 'shut' }),
    'make dead is left as safe before it is locked': lead('make-dead.off', 'off', 'exit:safe', 'energy off'),
    'the lock is spoken of and not put on': without('make-dead.lock', 'on', 'lock own'),
    'a cover comes off without the sign-off': set('make-dead.open', { signed: [] }),
    'a cover comes off before the power is off': lead('make-dead.stands', 'none', 'open'),
    'a proof of one place serves for another': (edition) => {
      at(edition, 'make-dead.prove').needs = 'dead'
      at(edition, 'make-dead.prove').at = ['heater']
    },
    'hands go in after the lock was taken back': both(
      lead('flow.loads', 'sound', 'own-off', 'mark loads-sound'),
      add('flow', step('own-off', {}, { done: ['reach', 'unlock own'] })),
      add('flow', step('reach', { needs: 'proving', hands: 'inside', at: ['board'], signed: ['absence-of-voltage'] }, { done: 'leave' })),
    ),
  }),
  ...planted(2, {
    'a proof while the power is on': lead('make-dead.stands', 'none', 'prove'),
    'a proof without the own lock': without('make-dead.lock', 'on', 'lock own'),
    'a proof without the sign-off': set('make-dead.prove', { signed: [] }),
    'voltage was found, and it is proved all the same': lead('make-dead.prove', 'voltage', 'prove', 'hazard voltage'),
    'voltage stands from an earlier visit': both(
      withoutCase('make-dead.stands', 'voltage'),
      withoutCase('flow.stops', 'voltage'),
      withoutCase('close.stands', 'voltage'),
    ),
    'a proof in the flow, with the tub as found': lead('flow.seen', 'fine', 'button', 'proof'),
  }),
  ...planted(3, {
    'make dead is left as safe without a proof': lead('make-dead.open', 'off', 'exit:safe', 'covers off'),
    'the proof was left undone, and counts as made': lead('make-dead.prove', 'not-done', 'exit:safe'),
    'a locked tub is taken as proved': lead('make-dead.stands', 'none', 'exit:safe'),
    'power returned between proof and hands': both(
      withEffect('make-dead.prove', 'zero', 'energy on'),
      withEffect('make-dead.prove', 'not-done', 'covers on'),
    ),
    'the lock came off between proof and hands': withEffect('make-dead.prove', 'zero', 'unlock own'),
    'hands go in without asking for any proof': set('contacts-dead.test', { needs: 'talk', at: [] }),
  }),
  ...planted(4, {
    'live work that is no reading': add(
      'flow',
      step('live', { kind: 'do', needs: 'live-open', at: ['board'], signed: ['energized-work'] }, { done: 'leave' }),
    ),
    'live work without the sign-off': add('flow', step('live', { kind: 'read', needs: 'live-open', at: ['board'] }, { done: 'leave' })),
    'a live record, reached after a reading': add(
      'flow',
      step('live', { kind: 'record', needs: 'live-open', at: ['heater'], signed: ['energized-work'] }, { done: 'leave' }),
    ),
    'a live question with the wrong sign-off': add(
      'flow',
      step('live', { kind: 'ask', needs: 'live-open', at: ['pump'], signed: ['absence-of-voltage'] }, { done: 'leave' }),
    ),
    'a part is fitted live': add(
      'flow',
      step('live', { kind: 'fit', needs: 'live-open', at: ['board'], signed: ['energized-work'] }, { fitted: 'leave' }),
    ),
    'a running step inside the way to close it, cover still off': both(
      set('close.power', { needs: 'live-shut' }),
      lead('close.stands', 'open', 'locks'),
    ),
  }).map((one) => (one.shape.startsWith('a running') ? one : { ...one, plant: both(one.plant, lead('flow.seen', 'odd', 'live')) })),
  ...planted(5, {
    'a homeowner reaches in': set('flow.reset', { hands: 'inside' }),
    'a dispatcher opens a cover': set('flow.reset', { who: ['dispatcher', 'technician'], needs: 'proving' }),
    'a homeowner is asked for a meter': set('flow.reset', { tools: ['multimeter'] }),
    'a test card is for homeowners too': set('contacts-dead.test', { who: OUTSIDE }),
    'a hand goes into water after a shock': both(
      lead('flow.people', 'shocked', 'reset', 'hazard shock'),
      set('flow.reset', { hands: 'water' }),
    ),
    'a homeowner does a step behind make dead': set('flow.record', { who: ['homeowner', 'technician'] }),
    'a hand goes into water after wet electrics, by the way round': both(
      lead('flow.people', 'fine', 'reset', 'hazard wet-electrics'),
      set('flow.reset', { hands: 'water', who: ['homeowner'] }),
    ),
  }),
  ...planted(7, {
    'a technician clears a shock': set('flow.clearance', { who: ['technician', 'electrician'] }),
    'a shock is forgotten on arrival': both(withoutCase('flow.stops', 'shock'), withoutCase('close.stands', 'shock')),
    'a call ends well after a shock': lead('flow.people', 'shocked', 'phone-end', 'hazard shock'),
    'voltage is cleared by whoever found it': (edition) => {
      withEffect('leave-off.off', 'off', 'clear-hazard voltage')(edition)
    },
    'a flood may be reset away by phone': both(
      lead('flow.people', 'burning', 'reset', 'hazard flood'),
      set('flow.reset', { starts: 'power' }),
    ),
    'voltage stands, and the tub is left running': both(
      lead('make-dead.prove', 'voltage', 'exit:safe', 'hazard voltage'),
      set('stop.end', { finish: { ending: 'made-safe', tub: 'usable-with-limits', guard: 'Told' } }),
      exits('dead', 'voltage', 'return'),
      lead('flow.stops', 'voltage', 'leave'),
      set('flow.end-off', { finish: { ending: 'made-safe', tub: 'usable-with-limits', guard: 'Told' } }),
    ),
  }),
  ...planted(9, {
    'two resets by phone': lead('flow.reset', 'holds', 'reset', 'reset'),
    'a reset after burning': lead('flow.people', 'burning', 'reset', 'hazard heat'),
    'a reset after a shock': lead('flow.people', 'shocked', 'reset', 'hazard shock'),
    'a second reset under another name': both(
      lead('flow.reset', 'trips', 'again', 'reset'),
      add('flow', step('again', { who: OUTSIDE, part: 'phone' }, { tried: ['phone-visit', 'reset'] })),
    ),
    'a reset by whoever finds voltage': lead('make-dead.prove', 'voltage', 'exit:voltage', 'hazard voltage', 'reset'),
    'a reset at the visit after burning by phone': lead('flow.begin', 'here', 'stops', 'reset'),
  }),
  ...planted(11, {
    'the board is fitted whatever the contacts say': lead('contacts-dead.test', 'good', 'exit:good'),
    'the way to the board goes round the measurement': lead('flow.rise', 'warmer', 'record', 'hazard heat-without-demand'),
    'a part goes in by an effect, without a fit': lead(
      'flow.covers',
      'whole',
      'judge',
      'mark suction-covers-seen',
      'part-in suction-cover',
    ),
    'a fit without evidence named': set('flow.fit', {
      fit: { part: 'control-board', evidence: { one_of: [], all_of: [], rivals: [] }, trial: false, consumable: false },
    }),
    'a fit on evidence that never comes about': set('flow.fit', {
      fit: {
        part: 'control-board',
        evidence: { one_of: [], all_of: ['contacts-dead=welded', 'loads-dead=weak'], rivals: [] },
        trial: false,
        consumable: false,
      },
    }),
    'another part than the evidence speaks for': withEffect('flow.fit', 'fitted', 'part-in heater-assembly'),
    'the same part again, on the evidence against the first one': lead('flow.compare', 'mismatch', 'fit'),
  }).map((one) =>
    one.shape.startsWith('the board is') ? { ...one, plant: both(one.plant, lead('flow.contacts', 'good', 'record')) } : one,
  ),
  ...planted(12, {
    'the switches are not recorded': without('flow.record', 'done', 'mark switches-recorded'),
    'the record may be left out': lead('flow.record', 'not-done', 'loads'),
    'the board goes onto loads nobody measured': lead(
      'flow.contacts',
      'welded',
      'fit',
      'mark switches-recorded',
      'mark conductors-recorded',
      'mark loads-recorded',
    ),
    'a weak load counts as sound enough': lead('flow.loads', 'weak', 'fit'),
    'the comparison may be left out': lead('flow.compare', 'not-done', 'off-rise', 'mark switches-compared-later'),
    'power returns behind a board that did not compare': both(
      withoutCase('close.stands', 'strange'),
      lead('flow.compare', 'mismatch', 'off-rise'),
    ),
    'the conductors are forgotten when the board comes out early': lead(
      'contacts-dead.test',
      'welded',
      'exit:welded',
      'part-out control-board',
    ),
  }).map((one) =>
    one.shape.startsWith('the comparison') ? { ...one, plant: both(one.plant, withoutCase('close.stands', 'strange')) } : one,
  ),
  ...planted(14, {
    'heat without demand is cleared by its first sight': withEffect('flow.rise', 'warmer', 'clear-hazard heat-without-demand'),
    'cleared without a repair': without('flow.compare', 'match', 'mark heat-path-repaired'),
    'cleared without holding': without('flow.off-rise', 'steady', 'mark heat-off-held'),
    'an ending does not ask': both(
      withoutCase('flow.judge', 'undemanded'),
      lead('flow.rise', 'warmer', 'seen', 'hazard heat-without-demand'),
    ),
    'very hot water is forgotten': withoutCase('flow.judge', 'was-hot'),
    'very hot water is cleared when it is cool again': both(lead('flow.judge', 'was-hot', 'end-normal', 'clear-hazard hot-water')),
    'the visit ends as normal after heat by phone': both(lead('flow.people', 'burning', 'phone-end', 'hazard heat-without-demand')),
  }),
  ...planted(15, {
    'repaired without holding': lead('flow.judge', 'normal', 'end-repaired'),
    'the settings stay as they were': both(
      without('flow.restore', 'done', 'mark settings-restored'),
      lead('flow.judge', 'normal', 'end-repaired'),
    ),
    'repaired straight after the comparison': lead('flow.compare', 'match', 'end-repaired', 'mark switches-compared'),
    'the GFCI test may be left out at the end': both(
      lead('flow.button', 'not-done', 'water'),
      without('close.first', 'trips', 'gfci passed'),
    ),
    'repaired to confirm, with nothing proved': set('flow.end-normal', {
      finish: { ending: 'repaired-to-confirm', tub: 'usable-with-limits', guard: 'Told' },
    }),
    'a part is fitted after the proof': lead('flow.covers', 'whole', 'judge', 'mark suction-covers-seen', 'part-in filter'),
  }),
  ...planted(16, {
    'power returns with a cover off': lead('close.stands', 'open', 'locks'),
    'power returns under a personal lock': without('close.locks', 'off', 'unlock own'),
    'the first press is another one': both(
      lead('close.power', 'on', 'exit:running', 'energy on'),
      set('flow.off-rise', { starts: 'heat' }),
    ),
    'the closing may be left out': lead('close.shut', 'not-done', 'locks'),
    'something starts behind an open cover': set('loads-dead.test', { starts: 'pump' }),
    'the way back is left before the tub is closed': lead('close.stands', 'open', 'exit:running'),
    'a technician starts it with the own lock on': both(
      lead('make-dead.lock', 'on', 'try', 'lock own'),
      add('make-dead', step('try', { starts: 'pump' }, { nothing: 'open' })),
    ),
  }),
  ...planted(17, {
    'safe to use without the GFCI test': both(lead('flow.button', 'not-done', 'water'), lead('flow.rise', 'steady', 'seen')),
    'safe to use without a thermometer': both(lead('flow.water', 'not-done', 'covers', 'mark measured')),
    'safe to use at any temperature': withoutCase('flow.judge', 'hot'),
    'safe to use without a look at the suction covers': lead('flow.covers', 'not-done', 'judge'),
    'safe to use with a broken suction cover': lead('flow.covers', 'broken', 'judge', 'mark suction-covers-seen', 'hazard suction-cover'),
    'safe to use from the phone': set('flow.phone-end', { finish: { ending: 'normal', tub: 'safe-to-use' } }),
    'nobody has checked on site, said on site': set('flow.end-off', { finish: { ending: 'made-safe', tub: 'not-checked-on-site' } }),
    'a bridged device, and it runs under limits': both(
      lead('flow.seen', 'odd', 'limits', 'hazard bridged-device'),
      add('flow', step('limits', { kind: 'finish', finish: { ending: 'second-visit', tub: 'usable-with-limits', guard: 'Told' } })),
    ),
  }),
  ...planted(18, {
    'the own lock stays behind': without('leave-off.locks', 'changed', 'unlock own'),
    'the shop has no lock on': without('leave-off.locks', 'changed', 'lock shop'),
    'a tub is left off without its guard': set('flow.end-off', { finish: { ending: 'made-safe', tub: 'off-out-of-service-lock' } }),
    'an ending straight from inside': both(
      lead('flow.record', 'not-done', 'gone'),
      add('flow', step('gone', { kind: 'finish', finish: { ending: 'second-visit', tub: 'off', guard: 'Told' } })),
    ),
    'the shop lock comes off again': withEffect('leave-off.locks', 'changed', 'unlock shop'),
    'a stop without a guard': set('stop.end', { finish: { ending: 'made-safe', tub: 'off-out-of-service-lock' } }),
  }),
]
