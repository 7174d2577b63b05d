// The note's data from a hand-made edition and hand-made events: every claim has its line in the log, every gap its words.
// Notes of whole jobs are in tests/server/notes.
import { describe, expect, test } from 'vitest'
import { noteData } from '#graphs'
import type { JobEvent } from '#graphs/contract'
import { answered, EDITION, eventsOf, JOINED, OPENED, stateOf } from './hand-made.ts'

const HOT = answered('overheating.what-happens#1', 'hot')
const CLOSED = answered('overheating.relay#1>relay-contacts-dead.test#1', 'both-closed')
const FITTED = answered('overheating.swap#1', 'fitted')
const OUT = ['part-removed', { part: 'control-board' }] as const
const IN = ['part-fitted', { part: 'control-board', trial: false }] as const
const ENDED = [
  'job-ended',
  { ending: 'repaired', tub: 'safe-to-use', step: '0|overheating.end#1', guard: 'Nobody in above {temp 40}.' },
] as const

function note(events: readonly JobEvent[]) {
  return noteData(EDITION, stateOf(events), events, { shop: 'Example Spa Shop, invented', editionHash: 'hash', head: 'head' })
}

describe('parts', () => {
  test('a fitted part has the results it was fitted on, and its rivals', () => {
    const { partsIn } = note(eventsOf(OPENED, JOINED, HOT, CLOSED, FITTED, OUT, IN, ENDED))
    expect(partsIn).toHaveLength(1)
    expect(partsIn[0]).toMatchObject({
      label: 'Control board',
      evidence: ['Relay contacts: Both closed'],
      rivals: ['Sensor drifted: untested'],
    })
  })

  test('a part without a step that asks for evidence says that none is recorded; a consumable needs none', () => {
    const { partsIn } = note(eventsOf(OPENED, JOINED, IN, ['part-fitted', { part: 'union-o-ring', trial: false }]))
    expect(partsIn.map((part) => part.evidence)).toEqual([
      ['No evidence is recorded for this part.'],
      ['Used up on the way: needs no verdict of its own.'],
    ])
  })

  test('a removed part has its place, or the words that none is recorded', () => {
    const { partsOut } = note(eventsOf(OPENED, JOINED, OUT, ['part-removed', { part: 'union-o-ring', where: 'van, shelf 2' }]))
    expect(partsOut.map((part) => part.where)).toEqual(['location not recorded', 'van, shelf 2'])
  })

  test('a repair that was not proved is an open risk', () => {
    expect(note(eventsOf(OPENED, JOINED, HOT, CLOSED, FITTED, OUT, IN, ENDED)).risks).toContain('The repair is not proved.')
  })
})

describe('answers', () => {
  test('a changed answer is struck before the one that stands, and what hung on it after', () => {
    const events = eventsOf(OPENED, JOINED, answered('overheating.what-happens#1', 'message'), answered('overheating.message#1', 'heat'), [
      'answer-changed',
      HOT[1],
    ])
    expect(note(events).path.map((row) => [row.step, row.answer, row.struck])).toEqual([
      ['overheating.what-happens', 'Shows a message', 'changed'],
      ['overheating.what-happens', 'Runs hot', undefined],
      ['overheating.message', 'Heat', 'no longer on the path'],
    ])
  })

  test('an answer that was taken back stays in sight', () => {
    const events = eventsOf(OPENED, JOINED, HOT, ['answer-withdrawn', { key: HOT[1].key }])
    expect(note(events).path.map((row) => row.struck)).toEqual(['taken back'])
  })

  test('a result that was taken back speaks for nothing', () => {
    const events = eventsOf(OPENED, JOINED, HOT, CLOSED, ['answer-withdrawn', { key: CLOSED[1].key }])
    expect(note(events).cause.state).toBe('not-found')
  })

  test('what was not done says why', () => {
    const events = eventsOf(
      OPENED,
      JOINED,
      HOT,
      answered('overheating.relay#1>relay-contacts-dead.test#1', 'not-done', { reason: 'no-tool', words: 'Lead broken.' }),
    )
    expect(note(events).notTested).toContainEqual({ what: 'Relay contacts', why: 'The tool is not here. “Lead broken.”' })
  })
})

describe('the cause', () => {
  test('is found by the result that shows it, with the estimate of the table', () => {
    const { cause } = note(eventsOf(OPENED, JOINED, HOT, CLOSED))
    // 0.8 against the others' (0.3 * 0.01 + 0.5 * 0.01) / 0.8 = 0.01: 80 times.
    expect(cause).toMatchObject({
      state: 'found',
      fault: 'relay-stuck',
      for: [{ title: 'Relay contacts', answer: 'Both closed', times: 80 }],
    })
  })

  test('is not found where no result speaks for one', () => {
    const events = eventsOf(OPENED, JOINED, HOT, answered('overheating.relay#1>relay-contacts-dead.test#1', 'both-open'))
    expect(note(events).cause).toMatchObject({ state: 'not-found', label: 'Cause not found' })
    expect(note(events).customer.cause).toBe('The cause is not found yet.')
  })
})

describe('the frame', () => {
  test('an open job has no ending, and nobody may use the tub', () => {
    const data = note(eventsOf(OPENED, JOINED, HOT))
    expect(data.ending).toBeUndefined()
    expect(data.customer.safe.use).toBe('no')
  })

  test('placeholders of the ending are filled, and hashes are those handed in', () => {
    const { ending, job } = note(eventsOf(OPENED, JOINED, HOT, CLOSED, FITTED, OUT, IN, ENDED))
    expect(ending).toMatchObject({ guard: 'Nobody in above 104 °F.', next: ['Book a call.'], words: 'Repaired and proved' })
    expect(job).toMatchObject({ edition: 7, editionHash: 'hash', head: 'head', practice: true, short: 'HM-1' })
  })

  test('locks, covers and proofs are written down with whose they are', () => {
    const data = note(
      eventsOf(
        OPENED,
        JOINED,
        ['powered', { to: 'off' }],
        ['lock-put', { owner: 'tech-one', point: 'disconnect' }],
        ['proof-made', { prover: 'tech-one', places: ['board'], witnesses: [] }],
        ['proof-lapsed', { reason: 'paused', limit_minutes: 60 }],
      ),
    )
    expect(data.lockout.steps.map((one) => one.what)).toEqual([
      'Power off',
      'Lock of Kim on, at the disconnect',
      'Proved dead: control board',
      'Proof of dead ended: the pause was too long (limit 60 min)',
    ])
    expect(data.lockout.locksNow).toEqual(['Kim, at the disconnect'])
    expect(data.rail.map((point) => point.words)).toEqual([
      'Closed, power as found',
      'Covers on, power off',
      'Off and locked, not proved dead',
      'Locked, proved dead',
      'Off and locked, not proved dead',
    ])
  })

  test('sign-offs and hazards stand in the note', () => {
    const data = note(eventsOf(OPENED, JOINED, ['hazard-seen', { hazard: 'shock' }]))
    expect(data.people).toEqual([{ name: 'Kim', role: 'technician', signed: ['absence of voltage'] }])
    expect(data.risks[0]).toBe('A shock or tingle was felt. It stands until it is cleared, on the next job too.')
    expect(data.customer.open).toEqual(['Somebody felt a tingle or a shock. Stay away until an electrician has cleared the tub.'])
  })

  test('is plain JSON', () => {
    const data = note(eventsOf(OPENED, JOINED, HOT, CLOSED, FITTED, OUT, IN, ENDED))
    expect(JSON.parse(JSON.stringify(data))).toEqual(data)
  })
})
