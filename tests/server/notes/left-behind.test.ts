// What a visit leaves behind for whoever comes next: old parts, capped leads, weak insulation, voltage, approvals that no longer stand.
// Jobs are invented; the scripts build on those of tests/jobs.
import { describe, expect, test } from 'vitest'
import { noteData } from '#graphs'
import type { NoteData } from '#graphs'
import { render } from '../../../server/notes/render.ts'
import { driveJob } from '../../jobs/drive-job.ts'
import type { DrivenJob, Script } from '../../jobs/drive-job.ts'
import { completeJob } from '../../jobs/invented-jobs.ts'
import { PLAIN_ANSWERS } from '../../jobs/plain-answers.ts'
import { engine, EXTRA, jobOf } from './jobs.ts'

const STAFF = ['office', 'next-technician'] as const
const SENSOR = 'sensor-replacement~sensor=water'
const COLD = { readings: { water: '103.0 degF', display: '93 degF', setpoint: '98 degF' } }
const NEW_SENSOR: Script['answers'] = {
  ...PLAIN_ANSWERS,
  ...completeJob.answers,
  'heating-symbol.test': 'on',
  'display-and-thermometer.test': COLD,
  'filter-out.test': 'no-change',
  'dead-look.look': 'clean',
  'sensor-resistance.test': { readings: { 'temp-sensor': '8.9 kohm', 'limit-sensor': '5.36 kohm', bath: '104.0 degF' } },
  'plug-clean-compare.clean': 'cleaned',
  'plug-clean-compare.measure': COLD,
  'plug-clean-compare.judge': 'same',
  [`${SENSOR}.right-sensor`]: 'here',
  [`${SENSOR}.price`]: 'approved',
  [`${SENSOR}.swap`]: 'fitted',
  [`${SENSOR}.well`]: { outcome: 'dry-well', form: { form: 'text', fields: { 'lies-at': 'drawer 3 of the invented shop' } } },
}

function sensorJob(answers: Script['answers'] = {}): DrivenJob {
  const stop = { ...NEW_SENSOR, ...answers }
  return driveToPower({ ...completeJob, short: 'BW-1009', answers: stop })
}

/** Driven until the power comes back after a part came out: what proves the repair is of no interest here. */
function driveToPower(script: Script): DrivenJob {
  const end = new Error('far enough')
  let job: DrivenJob | undefined
  const before = new Proxy(script.before ?? {}, {
    get: (known, name: string) =>
      name.startsWith('dead-feed.')
        ? (now: DrivenJob) => {
            if (now.state.tub.partsOut.length === 0) return known[name] ?? []
            job = now
            throw end
          }
        : known[name],
  })
  try {
    return driveJob(engine, { ...script, before })
  } catch (error) {
    if (error !== end || job === undefined) throw error
    return job
  }
}

function noteOf({ state, events }: DrivenJob): NoteData {
  return noteData(engine.edition, state, events, EXTRA)
}

function textOf({ state, events }: DrivenJob, voice: (typeof STAFF)[number] | 'customer', format: 'txt' | 'html' = 'txt'): string {
  const { body } = render({ edition: engine.edition, state, events, voice, format, ...EXTRA })
  return format === 'txt' ? body.replace(/\s+/g, ' ') : body
}

describe('an old sensor', () => {
  test('lies where it was written down', () => {
    const job = sensorJob()
    expect(noteOf(job).partsOut.map((part) => part.where)).toEqual(['drawer 3 of the invented shop'])
    for (const voice of STAFF) expect(textOf(job, voice)).toContain('Where it lies: drawer 3 of the invented shop')
  })
  test('whose place nobody wrote down is said to have none', () => {
    const job = sensorJob({ [`${SENSOR}.well`]: 'dry-well' })
    expect(noteOf(job).partsOut.map((part) => part.where)).toEqual(['location not recorded'])
  })
})

describe('voltage found', () => {
  test('is named with its pair, its place and its volts for the office and the next technician, and never for the customer', () => {
    const job = jobOf('voltage')
    expect(noteOf(job).voltage).toEqual([
      { label: 'Feed terminals, L1-N', value: '118 V' },
      { label: 'Feed terminals, L1-G', value: '117 V' },
    ])
    for (const voice of STAFF)
      expect(textOf(job, voice)).toContain('Voltage was measured at: Feed terminals, L1-N, 118 V; Feed terminals, L1-G, 117 V.')
    expect(textOf(job, 'customer')).not.toMatch(/volt| V\b/)
  })
  test('is not claimed where every pair was below 3 V', () => {
    expect(noteOf(jobOf('complete')).voltage).toEqual([])
    expect(textOf(jobOf('complete'), 'next-technician')).not.toContain('Voltage was measured')
  })
})

describe('heater leads and insulation', () => {
  test('leads that stay capped are an open risk, and leads that went back are none', () => {
    expect(noteOf(jobOf('complete')).risks.join(' ')).not.toContain('leads')
    const { events } = jobOf('complete')
    const at = events.findIndex((event) => event.type === 'leads-set' && event.body.to === 'capped')
    expect(at).toBeGreaterThan(0)
    const state = engine.fold(events.slice(0, at + 1))
    if (state === undefined) throw new Error('nothing was opened')
    for (const voice of STAFF)
      expect(textOf({ state, events: events.slice(0, at + 1), now: 0 }, voice)).toContain('Both heater leads are off and capped')
  })
  test('weak insulation is said in words', () => {
    const job = driveJob(engine, {
      ...completeJob,
      short: 'BW-1010',
      answers: { ...completeJob.answers, 'element-check.to-tube': { readings: { 'to-ground': '4 Mohm' } } },
    })
    for (const voice of STAFF) expect(textOf(job, voice)).toContain('The insulation to ground is weak: it reads in the megohms.')
    expect(noteOf(jobOf('complete')).risks.join(' ')).not.toContain('insulation')
  })
})

describe('an approval', () => {
  test('that was withdrawn stays listed, struck and said to be withdrawn', () => {
    const { state, events, now } = sensorJob()
    const given = events.findLast((event) => event.type === 'answer-given' && event.body.key.includes(`${SENSOR}.price`))
    const person = Object.values(state.people).find((one) => one.id === given?.by.person)
    if (given?.type !== 'answer-given' || person === undefined) throw new Error('the price was never asked')
    const envelope = {
      id: 'change-of-the-test',
      person: person.id,
      role: person.role,
      device: `device-${person.id}`,
      channel: 'site',
    } as const
    const changed = engine.decide(state, { ...envelope, command: { type: 'change', key: given.body.key, outcome: 'declined' } }, { now })
    if (!changed.ok) throw new Error(changed.problem.message)
    const after = { state: changed.value.reduce(engine.evolve, state), events: [...events, ...changed.value], now }
    expect(noteOf({ state, events, now }).approvals).toMatchObject([{ what: 'Water temperature sensor' }])
    expect(noteOf({ state, events, now }).approvals[0]).not.toHaveProperty('withdrawn')
    expect(noteOf(after).approvals).toMatchObject([{ what: 'Water temperature sensor', withdrawn: true }])
    expect(textOf(after, 'office')).toContain('[struck: Water temperature sensor] (withdrawn)')
    expect(textOf(after, 'office', 'html')).toContain('<s>Water temperature sensor</s> (withdrawn)')
  })
})

test('a trouble that is passed on is called by its title, never by the name it has in the library', () => {
  const job = driveJob(engine, {
    ...completeJob,
    short: 'BW-1011',
    answers: {
      ...PLAIN_ANSWERS,
      'red-flags.temperature': 'thermometer-below',
      'red-flags.power': 'running',
      'overheating.connection': 'wired',
      'overheating.what-happens': 'message',
      'overheating.steam': 'none',
      'overheating.message-now': 'sensor-words',
      'display-and-thermometer.test': { not_done: 'no-tool' },
    },
  })
  expect(noteOf(job).ending).toMatchObject({ ending: 'made-safe', reason: 'Passed on: A sensor message' })
  for (const voice of STAFF) expect(textOf(job, voice)).toContain('Passed on: A sensor message.')
})
