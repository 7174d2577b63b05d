// Ways round a safety rule through readings, records, parts, corrections and odd names: each stays shut. One group for each rule.
// People, places and hazards are adversary.test.ts.
import { describe, expect, test } from 'vitest'
import { jobViewSchema } from '#graphs/contract'
import { OWNER, Play, QUALIFIED, TECHNICIAN } from './play.ts'
import { force, goOn, keyOf, practised } from './practised.ts'

const degF = (typed: string, at?: number) => ({ typed, unit: 'degF', ...(at === undefined ? {} : { at }) })

function onSite(): Play {
  const play = new Play()
  play.send({ type: 'arrive' })
  return play
}

describe('rule 2, volts outrank what is missing', () => {
  test('voltage on the first pair stops at once, whatever was not measured yet', () => {
    const play = onSite()
    const { place } = play.to('make-dead.prove')
    const volts = { 'terminals:conductor 1-conductor 2': { typed: '239', unit: 'V' } }
    play.send({ type: 'answer', place, form: { form: 'pairs', tester_before: true, tester_after: false, volts } })
    expect(play.state.tub.hazards.voltage).toBeDefined()
  })
})

describe('rule 10, water clear', () => {
  test('is asked anew when a step that starts something was left standing', () => {
    const play = practised('close-and-power-up.power-on')
    play.now += 3 * 60 * 60_000
    expect(play.engine.due(play.state, play.now)).toBe(true)
    play.send({ type: 'wake' })
    expect(play.step().block).toBe('water-clear')
    expect(play.engine.due(play.state, play.now)).toBe(false)
  })
})

describe('rule 11, evidence', () => {
  test('from before a part was fitted does not condemn the new one', () => {
    const play = practised('board-replacement.swap')
    force(play, 'part-fitted', { part: 'control-board', trial: false })
    expect(play.step().outcomes.map((one) => one.outcome)).not.toContain('fitted')
    expect(play.pick('fitted').code).toBe('JOB_EVIDENCE_MISSING')
  })

  test('is asked for by every way of fitting, a changed answer too', () => {
    const play = practised('board-replacement.swap')
    const { place } = play.step()
    play.pick('no-part')
    for (const outcome of ['fitted', 'stud-turned']) expect(play.send({ type: 'change', key: place, outcome }).ok).toBe(false)
    expect(play.state.tub.partsIn).toEqual([])
  })
})

describe('rule 12, the board', () => {
  test('is compared anew when the record of the old one is corrected', () => {
    const play = practised('board-replacement.tidy')
    expect(play.state.tub.marks['switches-compared']).toBeDefined()
    const form = { form: 'switches' as const, positions: '111111', jumpers: '' }
    play.send({ type: 'change', key: keyOf(play, 'as-found-record.switches#1'), form })
    expect(play.state.tub.marks['switches-compared']).toBeUndefined()
    expect(play.step().step).toBe('copy-switches')
  })

  test('meets no loads whose test was taken back', () => {
    const play = practised('board-replacement.price')
    expect(play.state.tub.marks['loads-sound']).toBeDefined()
    play.send({ type: 'undo' })
    expect(play.step().block).toBe('loads-sound')
    expect(play.state.tub.marks['loads-sound']).toBeUndefined()
    play.pick('all-good')
    expect(play.state.tub.marks['loads-sound']).toBeDefined()
  })
})

describe('rule 14, heat that nobody asked for', () => {
  test('a repair that was taken back is no repair', () => {
    const play = practised('close-and-power-up.covers-on')
    expect(play.state.tub.marks['heat-path-repaired']).toBeDefined()
    for (let turn = 0; turn < 2; turn += 1) play.send({ type: 'undo' })
    expect(play.step().step).toBe('old-board')
    expect(play.state.tub.marks['heat-path-repaired']).toBeUndefined()
    expect(play.state.tub.marks['cause-repaired']).toBeUndefined()
  })

  test('found by a corrected reading is a hazard, whichever call asked for the reading', () => {
    const play = practised('prove-the-repair.heat-on-short')
    force(play, 'fact-stated', { slug: 'heater-power', value: 3000, source: 'label' })
    const climb = ['90.0', '91.7', '93.4', '95.1', '96.8'].map((typed, at) => degF(typed, play.now - (4 - at) * 30 * 60_000))
    goOn(play, 'house-meter.test', {
      'prove-the-repair.heat-on-short': { readings: { water: climb } },
      'prove-the-repair.heat-on-long': { readings: { water: climb } },
    })
    const kilowatts = (before: string, after: string) => ({ before: { typed: before, unit: 'kW' }, after: { typed: after, unit: 'kW' } })
    const { place, readings } = play.step()
    expect(readings.map((one) => one.name)).toContain('before')
    const off = { 'tub-off': { typed: '1', unit: '1' } }
    const first = play.send({ type: 'answer', place, readings: { ...kilowatts('0.62', '0.6'), ...off } })
    expect(first.events.some((event) => event.type === 'marked' && event.body.mark === 'heat-off-held')).toBe(true)
    force(play, 'hazard-cleared', { hazard: 'heat-without-demand', how: 'step' })
    const again = play.send({ type: 'change', key: place, readings: { ...kilowatts('3.6', '0.6'), ...off } })
    expect(again.ok).toBe(true)
    expect(play.state.path.entries[place]?.outcome).toBe('heater-power')
    expect(play.state.tub.hazards['heat-without-demand']).toBeDefined()
    expect(play.state.tub.marks['heat-off-held']).toBeUndefined()
  })

  test('comes back when the proof that cleared it is taken back', () => {
    const play = practised('end')
    expect(play.state.tub.hazards).toEqual({})
    play.send({ type: 'undo' })
    expect(play.state.tub.hazards).toEqual({})
    const key = keyOf(play, 'prove-the-repair.heat-off-short#1')
    const rising = [0, 1, 2, 3].map((at) => degF(String(98 + 3 * at), play.now - (3 - at) * 10 * 60_000))
    play.send({ type: 'change', key, readings: { water: rising } })
    expect(play.state.tub.hazards['heat-without-demand']).toBeDefined()
    expect(play.state.ended).toBeUndefined()
  })
})

describe('rule 15, repaired is proved', () => {
  test('a fact that leaves a verdict as it was takes no proof away', () => {
    const play = practised('prove-the-repair.hold')
    const { place } = play.step()
    play.send({ type: 'state-fact', slug: 'pump-power', value: { typed: '240', unit: 'W' }, source: 'label' })
    expect(play.step().place).toBe(place)
    expect(play.state.tub.marks['heat-off-held']).toBeDefined()
  })

  test('the last answer taken back and given again ends as before', () => {
    const play = practised('end')
    play.send({ type: 'undo' })
    expect(play.state.ended).toBeUndefined()
    goOn(play, 'end')
    expect(play.state.ended?.ending).toBe('repaired')
  })

  test.each([
    ['still to come', 60],
    ['before the power came back', -300],
    ['long ago', -500_000],
  ])('readings of a time %s prove nothing', (_name, minutes) => {
    const play = practised('prove-the-repair.heat-off-short')
    const { place } = play.step()
    const at = (index: number) => play.now + (minutes + index * 10) * 60_000
    const water = [0, 1, 2, 3].map((index) => degF('98.9', at(index)))
    play.state = { ...play.state, practice: false }
    const reply = play.send({ type: 'answer', place, readings: { water } })
    expect(reply.code).toBe('CALC_READING_DOUBTFUL')
    expect(play.state.tub.marks['heat-off-held']).toBeUndefined()
  })
})

describe('rule 16, power', () => {
  test('that came back from nobody knows what begins with the GFCI test', () => {
    const play = onSite()
    play.to('make-dead.lock')
    play.send({ type: 'undo' })
    expect(play.state.tub.energy).toBe('unknown')
    force(play, 'powered', { to: 'on' })
    force(play, 'water-cleared', { key: '1|water-clear.clear#1' })
    const breach = play.engine.decide(
      {
        ...play.state,
        path: { ...play.state.path, frames: [{ block: 'output-walk', step: 'test', visit: 1, key: '1|output-walk.test#1', by: [] }] },
      },
      {
        id: 'first-press',
        person: TECHNICIAN.id,
        role: 'technician',
        device: 'd-tech-01',
        channel: 'api',
        command: { type: 'answer', place: '1|output-walk.test#1', outcome: 'all-right' },
      },
      { now: play.now },
    )
    expect(breach.ok).toBe(false)
  })
})

describe('rule 17, safe to use', () => {
  test('a red flag after the end never leads back to "safe to use" by the old reading', () => {
    const play = practised('end')
    play.join(OWNER)
    play.send({ type: 'red-flag', flag: 'too-hot' }, OWNER)
    expect(play.state.ended).toBeUndefined()
    const answers: { readonly [step: string]: string } = { out: 'cover-latched', 'how-hot': 'neither' }
    for (let step = play.view(OWNER).step; step !== undefined && step.step in answers; step = play.view(OWNER).step)
      play.send({ type: 'answer', place: step.place, outcome: answers[step.step] ?? '' }, OWNER)
    expect(play.state.ended?.tub).not.toBe('safe-to-use')
  })

  test('an old answer that is corrected is no new reading of the water', () => {
    const play = practised('prove-the-repair.heat-on')
    force(play, 'answer-given', { key: '1|x.y#1', step: 'y', outcome: 'z', readings: { water: degF('105') } })
    play.send({
      type: 'change',
      key: keyOf(play, 'display-and-thermometer.test#1'),
      readings: { water: degF('98'), display: degF('98'), setpoint: degF('100') },
    })
    expect(play.state.tub.water?.degC).toBeCloseTo(40.6, 1)
  })

  test('a reading that was taken back is forgotten when it was cool, and kept when it was hot', () => {
    const play = practised('prove-the-repair.heat-on')
    play.send({ type: 'undo' })
    expect(play.step().step).toBe('water-now')
    expect(play.state.tub.water).toBeUndefined()
    const { place } = play.step()
    play.send({ type: 'answer', place, readings: { water: degF('106') } })
    play.send({ type: 'undo' })
    expect(play.state.tub.water?.degC).toBeGreaterThan(41)
  })

  test('only a step that asks for the water measures it, once, and the latest time counts', () => {
    const play = practised('weather-and-hours.test')
    const { place } = play.step()
    const before = play.state.tub.water
    const plain = { 'air-mean': degF('55'), 'filter-hours': { typed: '4', unit: '1' } }
    play.send({ type: 'answer', place, readings: { ...plain, water: degF('60') } })
    expect(play.state.tub.water).toEqual(before)
    const other = practised('display-and-thermometer.test')
    const both = { display: degF('103'), setpoint: degF('100') }
    expect(other.send({ type: 'answer', place: other.step().place, readings: { ...both, water: [degF('102'), degF('90')] } }).ok).toBe(
      false,
    )
    force(other, 'answer-given', { key: '1|x.y#1', step: 'y', outcome: 'z', readings: { water: [degF('105', 2000), degF('98', 1000)] } })
    expect(other.state.tub.water?.degC).toBeCloseTo(40.6, 1)
  })
})

describe('rule 18, what stays behind', () => {
  test('nobody leaves in the name of another: the own lock comes off by the own hand', () => {
    const play = practised('as-found-record.photos')
    play.join(QUALIFIED)
    play.send({ type: 'arrive' }, QUALIFIED)
    force(play, 'lock-put', { owner: QUALIFIED.id, point: 'disconnect' }, QUALIFIED)
    expect(play.send({ type: 'leave' }, QUALIFIED).code).toBe('JOB_NOT_HOLDER')
    expect(play.state.people[QUALIFIED.id]?.here).toBe(true)
    play.send({ type: 'take-tub' }, QUALIFIED)
    expect(play.send({ type: 'leave' }, QUALIFIED).ok).toBe(true)
    play.send({ type: 'answer', place: play.step(QUALIFIED).place, outcome: 'stays' }, QUALIFIED)
    play.send({ type: 'answer', place: play.step(QUALIFIED).place, outcome: 'handed' }, QUALIFIED)
    expect(play.state.people[QUALIFIED.id]?.here).toBe(false)
    expect(play.state.tub.locks.some((lock) => lock.owner === QUALIFIED.id)).toBe(false)
  })
})

describe('rule 14, a run that has to be stopped', () => {
  const run = (play: Play, readings: readonly string[]) =>
    play.send({
      type: 'answer',
      place: play.step().place,
      readings: { water: readings.map((typed, index) => degF(typed, play.now - (readings.length - 1 - index) * 10 * 60_000)) },
    })

  test('is taken with two readings when the last is at the stop, and makes the tub a hot one', () => {
    const play = practised('rise-with-demand-off.test')
    expect(run(play, ['107.9', '108.4']).code).toBe('JOB_ANSWER_INCOMPLETE')
    expect(run(play, ['108.2', '110.4']).ok).toBe(true)
    expect(play.state.tub.hazards['hot-water']).toBeDefined()
  })
})

describe('rule 19, a test out of turn', () => {
  test('that is left undone leaves the step below as it was', () => {
    const play = practised('sensor-seat.test')
    const { place } = play.step()
    expect(play.send({ type: 'take-test', test: 'sensor-resistance' }).ok).toBe(true)
    expect(play.step().block).toBe('sensor-resistance')
    const reason = play.view().not_done[0]?.slug ?? ''
    // The curve first, then the readings: both are left undone.
    for (let left = 0; left < 2; left += 1) play.send({ type: 'answer', place: play.step().place, not_done: reason })
    expect(play.step().place).toBe(place)
  })
})

describe('odd names and shapes', () => {
  test.each(['constructor', '__proto__', 'hasOwnProperty'])('a device called %s keeps its clock', (device) => {
    const play = onSite()
    const reply = play.send({ type: 'note-photo', name: 'wide' }, TECHNICIAN, device)
    expect(reply.events.every((event) => Number.isFinite(event.at))).toBe(true)
    expect(play.send({ type: 'note-photo', name: 'close' }, TECHNICIAN, device).events[0]?.at).toBe(play.now)
  })

  test.each(['constructor', '__proto__'])('a person called %s joins like anybody', (id) => {
    const play = onSite()
    const person = { ...TECHNICIAN, id }
    expect(play.send({ type: 'wake' }, person).code).toBe('JOB_NOT_JOINED')
    expect(play.join(person).ok).toBe(true)
    expect(jobViewSchema.safeParse(play.view(person)).success).toBe(true)
    expect(Object.keys(play.state.people)).toContain(id)
  })

  test('an answer called like a member of every object is not offered', () => {
    const play = onSite()
    expect(play.pick('constructor').code).toBe('JOB_ANSWER_NOT_OFFERED')
    for (const key of ['constructor', '0|constructor.x#1', '1|red-flags.constructor#1', '__proto__.x#1'])
      expect(play.send({ type: 'change', key, outcome: 'constructor' }).code).toBe('JOB_PLACE_GONE')
  })

  test('a number of the tub is typed with its unit', () => {
    const play = onSite()
    for (const value of [-5, 1e308, 'much', true])
      expect(play.send({ type: 'state-fact', slug: 'volume', value, source: 'label' }).ok).toBe(false)
  })

  test('a form states only what it asks for', () => {
    const play = onSite()
    const { place } = play.to('overheating.rating-label')
    const facts = { region: 'north-america' }
    expect(play.send({ type: 'answer', place, form: { form: 'facts', facts } }).ok).toBe(false)
    const { place: next } = play.to('overheating.suction')
    play.send({ type: 'answer', place: next, outcome: 'whole', form: { form: 'settings', settings: { 'set-point': '104 F' } } })
    expect(play.state.path.entries[next]?.form).toBeUndefined()
  })

  test('a result that still stood stays on the path when a later answer is taken back', () => {
    const play = practised('prove-the-repair.water-now')
    expect(Object.values(play.state.path.entries).some((entry) => entry.auto === 'still-stands')).toBe(true)
    expect(play.send({ type: 'undo' }).events.map((event) => event.type)).toEqual(['answer-withdrawn'])
  })
})
