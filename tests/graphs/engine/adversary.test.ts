// Whoever tries to get round a safety rule by an odd order of commands: each test is one way in that stays shut. One group for each rule.
// Ordinary use is decide.test.ts; observers by themselves are in tests/graphs/safety.
import { describe, expect, test } from 'vitest'
import type { EventBodies, EventType, JobEvent, Person } from '#graphs/contract'
import { jobViewSchema } from '#graphs/contract'
import { allZero, DESK, LEARNER, OWNER, Play, QUALIFIED, TECHNICIAN } from './play.ts'

const ELECTRICIAN: Person = { id: 'electro', name: 'Electrician', role: 'electrician', signed: [] }

function onSite(person: Person = TECHNICIAN): Play {
  const play = new Play(person)
  play.send({ type: 'arrive' }, person)
  return play
}

/** Proved dead, at the first step that puts hands inside. */
function proved(): Play {
  const play = onSite()
  play.to('as-found-record.photos')
  return play
}

/** Two technicians at one proved tub, the first one holds it. */
function two(): Play {
  const play = proved()
  play.join(QUALIFIED)
  play.send({ type: 'arrive' }, QUALIFIED)
  return play
}

/** Writes an event into the log as it stands, to begin from a state that takes long to reach. */
function force<T extends EventType>(play: Play, type: T, body: EventBodies[T], person: Person = TECHNICIAN): void {
  const last = play.events.at(-1)
  const event = { ...last, id: `forced-${play.events.length}`, at: play.now, type, by: { person: person.id, role: person.role }, body }
  play.events.push(event as JobEvent)
  play.state = play.engine.evolve(play.state, event as JobEvent)
}

/** At the form of the proof, with every pair at zero. */
function atProof() {
  const play = onSite()
  const { place, form } = play.to('make-dead.prove')
  if (form?.form !== 'pairs') throw new Error('the proof asks for pairs')
  return { play, place, zero: allZero(form) }
}

function keyOf(play: Play, end: string): string {
  const key = play.state.path.trail.findLast((one) => one.endsWith(end))
  if (key === undefined) throw new Error(`${end} is not on the path`)
  return key
}

describe('rule 1, hands inside', () => {
  test('nobody of an earlier visit still counts as standing at the tub', () => {
    const play = two()
    force(play, 'job-ended', { ending: 'second-visit', tub: 'off', step: '0|x.y#1', guard: 'yes' })
    play.send({ type: 'arrive' }, QUALIFIED)
    expect(play.state.tub.onSite).toEqual([QUALIFIED.id])
    expect(play.send({ type: 'take-tub' }).ok).toBe(false)
  })

  test('whoever speaks from afar never counts as standing at the tub', () => {
    const play = onSite()
    for (const person of [OWNER, DESK]) {
      play.send({ type: 'join', person, on_site: true }, person)
      expect(play.state.tub.onSite).toEqual([TECHNICIAN.id])
      expect(play.send({ type: 'take-tub' }, person).ok).toBe(false)
    }
  })

  test('nobody comes in by joining when nobody is there: that is an arrival', () => {
    const play = onSite()
    force(play, 'person-left', { person: TECHNICIAN.id, reason: 'left' })
    play.send({ type: 'join', person: TECHNICIAN, on_site: true })
    expect(play.state.tub.onSite).toEqual([])
    play.send({ type: 'arrive' })
    expect(play.state.visit).toBe(2)
  })

  test('a step stays gated for the person at the tub when somebody else moved the job', () => {
    const play = proved()
    play.join(DESK)
    play.send({ type: 'mend', what: 'power-is-on' }, DESK)
    expect(play.step().block).toBe('make-dead')
  })
})

describe('rule 2, the proof of dead', () => {
  test.each(['heater:made-up', 'heater:L1', 'pump:', '__proto__:L1-L2', 'constructor:L1-L2'])(
    'a pair called %j proves no place',
    (name) => {
      const { play, place, zero } = atProof()
      const asked = Object.entries(zero.volts).filter(([pair]) => /^(terminals|board):/.test(pair))
      const volts = Object.fromEntries([...asked, [name, { typed: '0', unit: 'V' }]])
      play.send({ type: 'answer', place, form: { ...zero, volts } })
      expect(play.state.tub.proofs.flatMap((proof) => proof.places)).toEqual([])
    },
  )

  test('volts written beside the form are never passed over', () => {
    const { play, place, zero } = atProof()
    play.send({ type: 'answer', place, form: { ...zero, volts: { ...zero.volts, 'terminals:L1-X': { typed: '240', unit: 'V' } } } })
    expect(play.state.tub.proofs).toHaveLength(0)
  })

  test('volts at a place that was proved before count as volts', () => {
    const play = proved()
    play.send({ type: 'mend', what: 'proof-is-gone' })
    const { place, form } = play.to('make-dead.prove', { 'make-dead.see-lock': 'mine' })
    if (form?.form !== 'pairs') throw new Error('no pairs')
    const zero = allZero(form)
    const last = Object.keys(zero.volts).at(-1) ?? ''
    play.send({ type: 'answer', place, form: { ...zero, volts: { ...zero.volts, [last]: { typed: '118', unit: 'V' } } } })
    expect(play.state.tub.hazards.voltage).toBeDefined()
  })

  test('a proof whose pairs are typed anew ends, though it still says zero', () => {
    const play = proved()
    const key = keyOf(play, 'make-dead.prove#1')
    const form = play.state.path.entries[key]?.form
    if (form?.form !== 'pairs') throw new Error('no pairs')
    const volts = Object.fromEntries(Object.entries(form.volts).filter(([name]) => name.startsWith('terminals:')))
    play.send({ type: 'change', key, form: { ...form, volts } })
    expect(play.state.tub.proofs).toHaveLength(0)
  })

  test('a change from not proved to zero makes no proof', () => {
    const { play, place, zero } = atProof()
    play.send({ type: 'answer', place, form: { ...zero, tester_after: false } })
    const key = keyOf(play, 'make-dead.prove#1')
    play.send({ type: 'change', key, form: zero })
    expect(play.state.tub.proofs).toHaveLength(0)
    expect(play.step().block).not.toBe('as-found-record')
  })

  test('a supply that turns out to be another one ends the proof', () => {
    const play = proved()
    play.send({ type: 'state-fact', slug: 'supply-profile', value: 'cord-120', source: 'label' })
    expect(play.state.tub.proofs).toHaveLength(0)
  })

  test('nobody from afar makes the list of pairs shorter', () => {
    const play = onSite()
    play.join(OWNER)
    play.send({ type: 'state-fact', slug: 'supply-profile', value: 'cord-120', source: 'label' }, OWNER)
    const { form } = play.to('make-dead.prove')
    expect(form?.form === 'pairs' && form.places[0]?.pairs).toHaveLength(6)
  })

  test('the minutes of waiting run again when the switch was worked again', () => {
    const play = onSite()
    play.to('make-dead.covers-off')
    for (let turn = 0; turn < 4; turn += 1) play.send({ type: 'undo' })
    expect(play.step().step).toBe('switch-off')
    const { place } = play.to('make-dead.let-it-settle')
    expect(play.send({ type: 'answer', place, outcome: 'done' }).code).toBe('JOB_TOO_EARLY')
  })

  test('a wait that has not begun is not over', () => {
    const play = onSite()
    const { place } = play.to('make-dead.let-it-settle')
    const waits = {}
    const reply = play.engine.decide(
      { ...play.state, waits },
      {
        id: 'no-wait-1',
        person: TECHNICIAN.id,
        role: 'technician',
        device: 'd-tech-01',
        channel: 'api',
        command: { type: 'answer', place, outcome: 'done' },
      },
      { now: play.now },
    )
    expect(reply.ok).toBe(false)
  })
})

describe('rule 3, what ends a proof', () => {
  test('a pause is the pause of whoever proved, whoever else writes meanwhile', () => {
    const play = proved()
    play.join(OWNER)
    for (let turn = 0; turn < 3; turn += 1) {
      play.now += 40 * 60_000
      play.send({ type: 'state-fact', slug: 'units', value: 'si', source: 'told' }, OWNER)
    }
    expect(play.state.tub.proofs).toHaveLength(0)
  })

  test('who comes back is a watcher no longer', () => {
    const play = two()
    force(play, 'proof-made', { prover: TECHNICIAN.id, places: ['pump'], witnesses: [QUALIFIED.id] })
    force(play, 'person-left', { person: QUALIFIED.id, reason: 'left' }, QUALIFIED)
    expect(play.state.tub.proofs.flatMap((proof) => proof.witnesses)).toEqual([])
  })

  test('a proof goes with its prover', () => {
    const play = proved()
    force(play, 'person-left', { person: TECHNICIAN.id, reason: 'left' })
    expect(play.state.tub.proofs).toEqual([])
  })
})

describe('rules 4 and 5, live work and outsiders', () => {
  test('hands stay out of the water when a hazard is named while the step is shown', () => {
    const play = onSite()
    play.join(OWNER)
    force(play, 'gfci-tested', { result: 'passed' })
    play.to('return-flow.test')
    const { hands } = play.engine.edition.blocks['return-flow']?.steps.test ?? {}
    play.send({ type: 'mend', what: 'hazard', hazard: 'shock' }, OWNER)
    const shown = play.view().step
    expect(hands === 'water' && shown?.step === 'test' && shown.block === 'return-flow').toBe(false)
  })

  test('a homeowner takes back nothing that a technician answered', () => {
    const play = onSite()
    play.join(OWNER)
    play.to('red-flags.burning')
    expect(play.send({ type: 'undo' }, OWNER).code).toBe('JOB_NOT_FOR_ROLE')
    expect(play.view(OWNER).can_undo).toBe(false)
  })

  test('a homeowner overrules no fact that a technician wrote, by word or by form', () => {
    const play = onSite()
    play.send({ type: 'state-fact', slug: 'volume', value: { typed: '350', unit: 'gal' }, source: 'label' })
    play.join(OWNER)
    expect(play.send({ type: 'state-fact', slug: 'volume', value: { typed: '900', unit: 'gal' }, source: 'measured' }, OWNER).ok).toBe(
      false,
    )
    expect(play.send({ type: 'state-fact', slug: 'volume', value: null, source: 'told' }, OWNER).ok).toBe(false)
    expect(play.state.facts.volume?.value).toBeCloseTo(1324.9, 0)
  })

  test('what a homeowner says is told, never measured', () => {
    const play = new Play(OWNER)
    play.send({ type: 'state-fact', slug: 'volume', value: { typed: '350', unit: 'gal' }, source: 'measured' }, OWNER)
    expect(play.state.facts.volume?.source).toBe('told')
  })

  test('nobody takes a second role under the same name', () => {
    const play = onSite()
    play.join(OWNER)
    const grown: Person = { ...OWNER, role: 'technician', signed: ['absence-of-voltage'] }
    expect(play.send({ type: 'join', person: grown, on_site: true }, grown).code).toBe('JOB_NOT_FOR_ROLE')
    expect(play.send({ type: 'join', person: grown, on_site: true }, OWNER).ok).toBe(false)
    expect(play.state.people[OWNER.id]?.role).toBe('homeowner')
    expect(
      play.send({ type: 'join', person: { ...TECHNICIAN, role: 'homeowner' }, on_site: false }, { ...TECHNICIAN, role: 'homeowner' }).ok,
    ).toBe(false)
  })

  test('only who may do a test takes it out of turn', () => {
    const play = onSite()
    play.to('pump-behaviour.test')
    play.join(OWNER)
    expect(play.send({ type: 'take-test', test: 'relay-contacts-dead' }, OWNER).ok).toBe(false)
    expect(play.send({ type: 'take-test', test: 'constructor' }).ok).toBe(false)
  })

  test('a change asks for the sign-off of the step', () => {
    const play = proved()
    const key = keyOf(play, 'make-dead.prove#1')
    const form = play.state.path.entries[key]?.form
    play.join(LEARNER)
    play.send({ type: 'arrive' }, LEARNER)
    play.send({ type: 'take-tub' }, LEARNER)
    expect(play.send({ type: 'change', key, ...(form === undefined ? {} : { form }) }, LEARNER).code).toBe('JOB_SIGN_OFF_MISSING')
  })

  test('only the phone that holds the tub sends the job the other way', () => {
    const play = onSite()
    play.to('make-dead.covers-off')
    play.join(LEARNER)
    play.send({ type: 'arrive' }, LEARNER)
    expect(play.view(LEARNER).step).toBeUndefined()
    expect(play.send({ type: 'answer', place: play.step().place, outcome: 'otherwise' }, LEARNER).ok).toBe(false)
  })
})

describe('rules 7 and 13, hazards that stand', () => {
  test.each(['heat', 'suction-cover', 'gfci-failed', 'bridged-device', 'wet-electrics', 'shock'] as const)(
    '%s is cleared by nobody but an electrician, outside of its step',
    (hazard) => {
      const play = onSite()
      play.send({ type: 'mend', what: 'hazard', hazard })
      for (const person of [OWNER, DESK, TECHNICIAN]) {
        play.join(person)
        expect(play.send({ type: 'clear-hazard', hazard, how: 'looked' }, person).ok).toBe(false)
      }
      expect(play.state.tub.hazards[hazard]).toBeDefined()
    },
  )

  test('an electrician clears what there is, and nothing else', () => {
    const play = onSite()
    play.join(ELECTRICIAN)
    expect(play.send({ type: 'clear-hazard', hazard: 'shock', how: 'written' }, ELECTRICIAN).ok).toBe(false)
    play.send({ type: 'mend', what: 'hazard', hazard: 'shock' })
    expect(play.send({ type: 'clear-hazard', hazard: 'shock', how: 'written' }, ELECTRICIAN).ok).toBe(true)
    expect(play.state.tub.hazards.shock).toBeUndefined()
  })

  test('hazards have names of the list', () => {
    const play = onSite()
    for (const hazard of ['constructor', 'no-such-thing']) expect(play.send({ type: 'mend', what: 'hazard', hazard }).ok).toBe(false)
    expect(play.view().hazards).toEqual([])
  })

  test('after the end a hazard opens the job again', () => {
    const play = onSite()
    force(play, 'job-ended', { ending: 'normal', tub: 'safe-to-use', step: '0|x.y#1' })
    play.send({ type: 'mend', what: 'hazard', hazard: 'shock' })
    expect(play.state.ended).toBeUndefined()
  })
})

test('the shapes of the contract hold for what is shown', () => {
  const play = proved()
  expect(jobViewSchema.safeParse(play.view()).success).toBe(true)
})
