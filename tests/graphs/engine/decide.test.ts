// What a command may and may not do, played on the library itself: answers, people, the proof of dead, corrections, interruptions.
// Laws over random jobs are tests/laws.
import { describe, expect, test } from 'vitest'
import { allZero, DESK, LEARNER, OWNER, Play, QUALIFIED, TECHNICIAN } from './play.ts'

function onSite(): Play {
  const play = new Play()
  play.send({ type: 'arrive' })
  return play
}

/** A play whose tub is proved dead, at the first step that puts hands inside. */
function proved(): Play {
  const play = onSite()
  play.to('as-found-record.photos')
  return play
}

describe('an answer', () => {
  test('to a step that is gone is refused and names the step offered now', () => {
    const play = onSite()
    const { place } = play.step()
    play.pick('done')
    const reply = play.send({ type: 'answer', place, outcome: 'done' })
    expect(reply.code).toBe('JOB_PLACE_GONE')
    expect(play.step().place).not.toBe(place)
  })

  test('that the step does not offer is refused with the labels it offers', () => {
    const reply = onSite().pick('maybe')
    expect(reply.code).toBe('JOB_ANSWER_NOT_OFFERED')
  })

  test('that only readings decide cannot be sent by hand', () => {
    const play = onSite()
    const { place } = play.to('display-and-thermometer.test')
    expect(play.send({ type: 'answer', place, outcome: 'both-normal' }).ok).toBe(false)
    expect(play.step().place).toBe(place)
  })

  test.each([
    ['', 'JOB_ANSWER_INCOMPLETE'],
    ['warm', 'CALC_NOT_A_NUMBER'],
    ['NaN', 'CALC_NOT_A_NUMBER'],
    ['1e9', 'CALC_NOT_A_NUMBER'],
    ['1000000000', 'CALC_INPUT_OUT_OF_RANGE'],
    ['-500', 'CALC_INPUT_OUT_OF_RANGE'],
    ['38', 'CALC_READING_DOUBTFUL'],
  ])('with the reading %j is refused as %s and nothing is written', (typed, code) => {
    const play = onSite()
    const { place } = play.to('display-and-thermometer.test')
    const before = play.events.length
    const degF = (value: string) => ({ typed: value, unit: 'degF' })
    const reply = play.send({ type: 'answer', place, readings: { water: degF(typed), display: degF('101'), setpoint: degF('100') } })
    expect(reply.code).toBe(code)
    expect(play.events).toHaveLength(before)
  })

  test('left out needs a reason of the list', () => {
    const play = onSite()
    const { place } = play.step()
    expect(play.send({ type: 'answer', place, not_done: 'just-because' }).code).toBe('JOB_ANSWER_NOT_OFFERED')
    const reason = play.view().not_done[0]?.slug ?? ''
    expect(play.send({ type: 'answer', place, not_done: reason }).ok).toBe(true)
  })

  test('to a wait before its time is refused and says how long is left', () => {
    const play = onSite()
    const { place, until } = play.to('make-dead.let-it-settle')
    expect(until).toBeGreaterThan(play.now)
    const reply = play.send({ type: 'answer', place, outcome: 'done' })
    expect(reply.code).toBe('JOB_TOO_EARLY')
    expect(reply.message).toMatch(/\d+ more minutes?/)
  })

  test('of a person who has not joined is refused', () => {
    const play = onSite()
    expect(play.send({ type: 'answer', place: play.step().place, outcome: 'done' }, LEARNER).code).toBe('JOB_NOT_JOINED')
  })
})

describe('who may do what', () => {
  test('a homeowner and a dispatcher are never offered a step behind a cover', () => {
    const play = proved()
    for (const person of [OWNER, DESK]) {
      play.join(person)
      expect(play.view(person).step).toBeUndefined()
      expect(play.view(person).waiting?.roles).toContain('technician')
      const place = play.step().place
      expect(play.send({ type: 'answer', place, outcome: 'done' }, person).code).toBe('JOB_NOT_FOR_ROLE')
    }
  })

  test('a learner without sign-off is led to the other way, not to the cover', () => {
    const play = new Play(LEARNER)
    play.send({ type: 'arrive' }, LEARNER)
    play.to('make-dead.covers-off', {}, LEARNER)
    expect(play.step(LEARNER).outcomes.map((one) => one.outcome)).toEqual(['otherwise'])
    expect(play.pick('off', LEARNER).code).toBe('JOB_SIGN_OFF_MISSING')
    expect(play.pick('otherwise', LEARNER).ok).toBe(true)
    expect(play.state.tub.covers).toBe('on')
  })

  test('hands-in steps appear only on the phone that holds the tub', () => {
    const play = proved()
    play.join(QUALIFIED)
    play.send({ type: 'arrive' }, QUALIFIED)
    expect(play.view(QUALIFIED).waiting?.holder).toBe(true)
    expect(play.view(QUALIFIED).step).toBeUndefined()
  })

  test('a second phone of the same person does not hold the tub, and takes it over as any other', () => {
    const play = proved()
    const mine = play.step()
    const second = 'second-phone-of-the-test'
    const shown = play.engine.view(play.state, TECHNICIAN.id, play.now, second)
    expect([shown.holds, shown.step, shown.waiting?.holder]).toEqual([false, undefined, true])
    expect(shown.waiting?.says).toContain('Your other phone holds the tub.')
    const outcome = mine.outcomes[0]?.outcome ?? 'done'
    expect(play.send({ type: 'answer', place: mine.place, outcome }, TECHNICIAN, second).code).toBe('JOB_NOT_HOLDER')
    expect(play.engine.view(play.state, TECHNICIAN.id, play.now, `device-${TECHNICIAN.id}`)).toMatchObject({ holds: true, step: mine })
    expect(play.send({ type: 'take-tub' }, TECHNICIAN, second).ok).toBe(true)
    expect(play.state.tub.proofs).toHaveLength(0)
    expect(play.engine.view(play.state, TECHNICIAN.id, play.now, second).holds).toBe(true)
    expect(play.engine.view(play.state, TECHNICIAN.id, play.now, `device-${TECHNICIAN.id}`).holds).toBe(false)
  })

  test('taking the tub over ends the proof of dead', () => {
    const play = proved()
    expect(play.state.tub.proofs).toHaveLength(1)
    play.join(QUALIFIED)
    play.send({ type: 'arrive' }, QUALIFIED)
    play.send({ type: 'take-tub' }, QUALIFIED)
    expect(play.state.tub.proofs).toHaveLength(0)
    expect(play.view().power).toBe('proving')
    expect(play.view(TECHNICIAN).waiting?.holder).toBe(true)
  })
})

describe('the proof of dead', () => {
  test('with 3 V on any pair leads to an electrician and nowhere else', () => {
    const play = onSite()
    const { place, form } = play.to('make-dead.prove')
    if (form?.form !== 'pairs') throw new Error('no pairs')
    const measured = allZero(form)
    const first = Object.keys(measured.volts)[0] ?? ''
    play.send({ type: 'answer', place, form: { ...measured, volts: { ...measured.volts, [first]: { typed: '3', unit: 'V' } } } })
    expect(play.state.tub.hazards.voltage).toBeDefined()
    expect(play.state.tub.proofs).toHaveLength(0)
    expect(play.state.path.frames.some((frame) => frame.block === 'stop-for-electrician')).toBe(true)
  })

  test('with a pair left out names the pair and proves nothing', () => {
    const play = onSite()
    const { place, form } = play.to('make-dead.prove')
    if (form?.form !== 'pairs') throw new Error('no pairs')
    const { volts, ...rest } = allZero(form)
    const [first = '', ...others] = Object.keys(volts)
    const reply = play.send({
      type: 'answer',
      place,
      form: { ...rest, volts: Object.fromEntries(others.map((name) => [name, { typed: '0', unit: 'V' }])) },
    })
    expect(reply.code).toBe('JOB_ANSWER_INCOMPLETE')
    expect(first).toContain(':')
    expect(play.state.tub.proofs).toHaveLength(0)
  })

  test('with a tester that fails its own check afterwards is no proof', () => {
    const play = onSite()
    const { place, form } = play.to('make-dead.prove')
    if (form?.form !== 'pairs') throw new Error('no pairs')
    play.send({ type: 'answer', place, form: { ...allZero(form), tester_after: false } })
    expect(play.state.tub.proofs).toHaveLength(0)
    expect(play.view().power).toBe('proving')
  })

  test('with an unknown supply asks for every conductor, two by two', () => {
    const play = onSite()
    const { form } = play.to('make-dead.prove')
    if (form?.form !== 'pairs') throw new Error('no pairs')
    expect(form.places[0]?.pairs).toHaveLength(6)
  })

  test('lapses after a pause beyond the limit, by an event of its own', () => {
    const play = proved()
    play.now += 61 * 60_000
    expect(play.engine.due(play.state, play.now)).toBe(true)
    const reply = play.send({ type: 'wake' })
    expect(reply.events[0]?.type).toBe('proof-lapsed')
    expect(play.view().power).toBe('proving')
  })
})

describe('a change of mind', () => {
  test('undo takes the last answer back and offers its step again', () => {
    const play = onSite()
    const { place } = play.step()
    play.pick('done')
    play.send({ type: 'undo' })
    expect(play.step().place).toBe(place)
  })

  test('undoing a lock takes lock and proof away, and never puts the power back to off', () => {
    const play = proved()
    for (let turn = 0; turn < 12 && play.state.tub.locks.length > 0; turn += 1) play.send({ type: 'undo' })
    expect(play.state.tub.locks).toHaveLength(0)
    expect(play.state.tub.proofs).toHaveLength(0)
    play.send({ type: 'undo' })
    expect(play.state.tub.energy).not.toBe('off')
  })

  test('a changed early answer keeps later ones and strikes out those off the path', () => {
    const play = proved()
    const symbol = play.view().trail.find((item) => item.key.endsWith('red-flags.burning#1'))
    if (symbol === undefined) throw new Error('not on the path')
    play.send({ type: 'change', key: symbol.key, outcome: 'seen' })
    const trail = play.view().trail
    expect(trail.some((item) => item.struck)).toBe(true)
    expect(play.state.tub.locks).toHaveLength(1)
    expect(play.state.tub.hazards.heat).toBeDefined()
  })

  test('undo with nothing to take back says so', () => {
    expect(new Play().send({ type: 'undo' }).code).toBe('JOB_NOTHING_TO_UNDO')
  })
})

describe('interruptions', () => {
  test('stop stands on every step and leads to an ending of its own', () => {
    const play = onSite()
    expect(play.send({ type: 'stop' }).ok).toBe(true)
    expect(play.state.path.frames.some((frame) => frame.block === 'stop-now')).toBe(true)
    expect(play.send({ type: 'stop' }).code).toBe('JOB_ANSWER_NOT_OFFERED')
  })

  test('a red flag writes its hazard, whatever was being done', () => {
    const play = proved()
    play.send({ type: 'red-flag', flag: 'shock' })
    expect(play.state.tub.hazards.shock).toBeDefined()
    expect(play.view().hazards.some((hazard) => hazard.hazard === 'shock' && hazard.sticky)).toBe(true)
  })

  test('a technician does not clear a shock', () => {
    const play = onSite()
    play.send({ type: 'red-flag', flag: 'shock' })
    expect(play.send({ type: 'clear-hazard', hazard: 'shock', how: 'looked' }).code).toBe('JOB_SAFETY')
    expect(play.state.tub.hazards.shock).toBeDefined()
  })

  test('a clock that was set back stands still until it has caught up', () => {
    const play = onSite()
    const last = play.events.at(-1)?.at ?? 0
    play.now -= 3_600_000
    play.pick('done')
    expect(play.events.at(-1)?.at).toBeGreaterThanOrEqual(last)
  })
})

describe('facts', () => {
  test('learnt later revise the verdicts that used them, by an event', () => {
    const play = onSite()
    const { place } = play.to('rise-with-demand-off.test', { 'weather-and-hours.test': 'not-done' })
    const start = play.now
    const water = [0, 10, 20, 30].map((minutes) => ({ typed: String(100 + minutes * 0.06), unit: 'degF', at: start + minutes * 60_000 }))
    play.now += 31 * 60_000
    const reply = play.send({ type: 'answer', place, readings: { water } })
    expect(reply.ok).toBe(true)
    const given = reply.events.find((event) => event.type === 'answer-given' && event.body.verdict !== undefined)
    expect(given).toBeDefined()
    const stated = play.send({ type: 'state-fact', slug: 'volume', value: { typed: '350', unit: 'gal' }, source: 'label' })
    expect(stated.ok).toBe(true)
    expect(play.state.facts.volume?.value).toBeCloseTo(350 * 3.785411784, 3)
  })

  test.each([
    ['-5', 'gal'],
    ['1000000000', 'gal'],
    ['350', 'kohm'],
    ['', 'gal'],
  ])('of %j %s are refused', (typed, unit) => {
    const play = onSite()
    expect(play.send({ type: 'state-fact', slug: 'volume', value: { typed, unit }, source: 'label' }).ok).toBe(false)
  })
})
