// Notes of whole invented jobs against goldens, and their safety outcomes written out number by number.
// How the note is printed is voices.test.ts; the jobs stand in tests/jobs.
import { describe, expect, test } from 'vitest'
import { goldenOf, readGolden } from './golden.ts'
import { JOB_NAMES, jobOf, noteOf } from './jobs.ts'

describe('the notes of the invented jobs', () => {
  test.each(JOB_NAMES)('%s is what its golden says', (name) => {
    const now = goldenOf(noteOf(name))
    expect(now).toEqual(readGolden(name, now))
  })

  test('voltage after switching off is never called safe', () => {
    const { customer, risks, ending, cautions, proof } = noteOf('voltage')
    expect(ending).toMatchObject({ ending: 'for-electrician', tub: 'off' })
    expect(customer.safe).toEqual({ use: 'no', says: 'No. The tub is off and stays off.' })
    expect(customer.open).toContain('There is power where there should be none. Stay away until an electrician has cleared the tub.')
    expect(risks.join(' ')).toContain('Voltage was found after switching off.')
    expect(cautions[0]).toMatchObject({ word: 'danger' })
    expect(proof).toEqual([])
  })

  test('every volt that was measured stands in the lockout record', () => {
    const [proof] = noteOf('voltage').lockout.proofs
    expect(proof).toMatchObject({ by: 'Sasha', testerBefore: true, testerAfter: true, struck: false })
    expect(proof?.places.map((place) => place.place)).toEqual(['Feed terminals', 'Control board', 'Heater posts', 'Pump plug'])
    expect(proof?.places[0]?.pairs).toContainEqual({ label: 'L1-N', value: '118 V' })
    expect(proof?.places.flatMap((place) => place.pairs)).toHaveLength(24)
  })

  test('a proof that ended with the hand-over is made again by whoever took over', () => {
    const { lockout, handovers } = noteOf('hand-over')
    expect(lockout.proofs.map((proof) => proof.by)).toEqual(['Sasha', 'Marlow'])
    const ended = lockout.steps.findIndex((one) => one.what.startsWith('Proof of dead ended'))
    expect(lockout.steps.slice(ended).some((one) => one.what.startsWith('Proved dead') && one.by === 'Marlow')).toBe(true)
    expect(handovers.map((one) => one.what)).toContain('Marlow takes the tub from Sasha')
  })

  test('an answer that was changed stays in sight with what hung on it', () => {
    const { path } = noteOf('changed')
    const rows = path.filter((row) => row.step === 'overheating.what-happens')
    expect(rows.map((row) => [row.answer, row.struck])).toEqual([
      ['Shut off with a message', 'changed'],
      ['Runs and is too hot', undefined],
    ])
    expect(path.filter((row) => row.struck === 'no longer on the path').map((row) => row.step)).toContain('overheating.steam')
  })

  test('weather and long filtering need no part', () => {
    const { cause, partsIn, settings, ending } = noteOf('heat-creep')
    expect(cause).toMatchObject({ state: 'found', fault: 'heat-creep' })
    expect(partsIn).toEqual([])
    expect(settings.differences).toEqual(['Filtration: 20:00, 4 h as found, 02:00, 3 h as left'])
    expect(ending?.ending).toBe('normal')
  })

  test('what a declined job did not test says why, and no cause is claimed', () => {
    const { cause, notTested, customer } = noteOf('declined')
    expect(cause.state).toBe('points-to')
    expect(notTested).toContainEqual({ what: 'Look at the house meter', why: 'The tool is not here. “The meter is in a locked room.”' })
    expect(customer.cause).not.toContain('switch')
  })

  test('every answer of a person is on the path', () => {
    for (const name of JOB_NAMES) {
      const given = jobOf(name).events.filter(
        (event) => (event.type === 'answer-given' || event.type === 'answer-changed') && event.body.auto === undefined,
      )
      expect(noteOf(name).path.filter((row) => row.auto === undefined)).toHaveLength(given.length)
    }
  })
})
