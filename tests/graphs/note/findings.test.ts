// Which results speak for which fault: the rule on small records, and the tables against the library they name.
// How the note words it is note.test.ts.
import { describe, expect, test } from 'vitest'
import type { JobState } from '#graphs'
import { FINDINGS, foundFault, resultRatio, RULES_OUT } from '../../../graphs/note/findings.ts'
import type { Answer } from '../../../graphs/note/answers.ts'
import type { NoteResult } from '../../../graphs/note/results.ts'
import { libraryEdition } from '../../laws/library.ts'
import { EDITION, eventsOf, JOINED, OPENED, stateOf } from './hand-made.ts'

const OPEN = stateOf(eventsOf(OPENED, JOINED))

function ended(ending: NonNullable<JobState['ended']>['ending']): JobState {
  return { ...OPEN, ended: { ending, tub: 'safe-to-use', step: '', at: 0 } }
}

function results(...names: string[]): NoteResult[] {
  return names.map((name, index) => {
    const [test = '', outcome = ''] = name.split('=')
    return { test, outcome, at: index, index }
  })
}

const found = (state: JobState, ...names: string[]) => foundFault(EDITION, state, [] as Answer[], results(...names))

describe('the fault found', () => {
  test.each([
    ['relay-contacts-dead=both-closed', 'relay-stuck'],
    ['house-meter=heater-power', 'relay-stuck'],
    ['heater-out-comparison=heater-was-on', 'relay-stuck'],
    ['plug-clean-compare=corrected', 'plug-corroded'],
    ['sensor-resistance=temp-off', 'tsensor-bad'],
    ['settings-sheet=wrong-found', 'set-mode'],
  ])('%s is %s', (result, fault) => {
    expect(found(OPEN, result)).toMatchObject({ state: 'found', best: { fault } })
  })

  test('the strongest of several wins, and the others are named', () => {
    const all = found(OPEN, 'sensor-resistance=temp-off', 'settings-sheet=wrong-found', 'plug-clean-compare=corrected')
    expect(all.best?.fault).toBe('plug-corroded')
    expect(all.others.map((other) => other.fault).toSorted()).toEqual(['set-mode', 'tsensor-bad'])
  })

  test('between equals the likelihood tables decide', () => {
    const both = found(OPEN, 'settings-sheet=wrong-found', 'house-meter=heater-power', 'relay-contacts-dead=both-open')
    // Open contacts are 0.2 against 0.99: the heater's ratio falls below that of the settings, which no table knows.
    expect(both.best?.fault).toBe('set-mode')
  })

  test('a first sign alone only points', () => {
    expect(found(OPEN, 'rise-with-demand-off=fast')).toMatchObject({ state: 'points-to', best: { fault: 'relay-stuck', strength: 1 } })
  })

  test('weather is the cause only of a job that ended without a repair of something else', () => {
    expect(found(ended('normal'), 'weather-and-hours=explains').state).toBe('found')
    expect(found(ended('second-visit'), 'weather-and-hours=explains').state).toBe('points-to')
  })

  test('a job that ended "not proved" claims nothing below the faulty thing itself', () => {
    expect(found(ended('not-proved'), 'settings-sheet=wrong-found').state).toBe('points-to')
    expect(found(ended('not-proved'), 'relay-contacts-dead=both-closed').state).toBe('found')
  })

  test('negative results and none at all find nothing', () => {
    expect(found(OPEN).state).toBe('not-found')
    expect(found(OPEN, 'relay-contacts-dead=both-open', 'sensor-resistance=both-good', 'settings-sheet=ok').state).toBe('not-found')
  })

  test('a part that was fitted finds its fault only where the repair was proved', () => {
    const withPart = (state: JobState): JobState => ({
      ...state,
      tub: { ...state.tub, partsIn: [{ part: 'water-sensor', trial: false, at: 0 }] },
    })
    expect(found(withPart(ended('repaired'))).best).toMatchObject({ fault: 'tsensor-bad', strength: 3 })
    expect(found(withPart(ended('second-visit')))).toMatchObject({ state: 'points-to' })
  })
})

describe('the tables', () => {
  const edition = libraryEdition()
  const isKnown = (name: string): boolean => {
    if (name.startsWith('part:')) return edition.parts[name.slice(5)] !== undefined
    const [place = '', outcome = ''] = name.split('=')
    const [block = '', step] = place.split('.')
    return step === undefined
      ? edition.blocks[block]?.exits[outcome] !== undefined
      : edition.blocks[block]?.steps[step]?.outcomes[outcome] !== undefined
  }

  test('every finding names a result and a fault of the library', () => {
    expect(FINDINGS.filter((finding) => !isKnown(finding.on)).map((finding) => finding.on)).toEqual([])
    expect(FINDINGS.filter((finding) => edition.faults[finding.fault] === undefined).map((finding) => finding.fault)).toEqual([])
  })

  test('every result that rules out names a result and faults of the library', () => {
    expect(Object.keys(RULES_OUT).filter((name) => !isKnown(name))).toEqual([])
    expect(
      Object.values(RULES_OUT)
        .flat()
        .filter((fault) => edition.faults[fault] === undefined),
    ).toEqual([])
  })

  test('no result speaks for a fault that it rules out', () => {
    expect(FINDINGS.filter((finding) => RULES_OUT[finding.on]?.includes(finding.fault))).toEqual([])
  })

  test('a finding that shows a fault is more likely under it than under the others', () => {
    for (const { on, fault, strength } of FINDINGS) {
      const [test = '', outcome = ''] = on.split('=')
      for (const complaint of ['hotter-than-set', 'over-temperature-message']) {
        const ratio = strength === 1 ? undefined : resultRatio(edition, complaint, fault, { test, outcome })
        if (ratio !== undefined) expect(ratio, on).toBeGreaterThan(1)
      }
    }
  })

  test('a result that rules a fault out is less likely under it', () => {
    for (const [name, faults] of Object.entries(RULES_OUT)) {
      const [test = '', outcome = ''] = name.split('=')
      for (const fault of faults) {
        const ratio = resultRatio(edition, 'hotter-than-set', fault, { test, outcome })
        if (ratio !== undefined) expect(ratio, `${name} against ${fault}`).toBeLessThan(1)
      }
    }
  })
})
