// How long a result stands: until the power returns, and never from one visit to the next where it is about the tub as it stands.
// Which steps take a standing result over is the engine's; jobs.test.ts comes by that a thousand times.
import { expect, test } from 'vitest'
import type { JobState } from '#graphs'
import { standingResult } from '../../graphs/engine/lasting.ts'
import { libraryEdition } from './library.ts'

const PRESSED = {
  test: 'gfci-button',
  outcome: 'trips-and-resets',
  key: '1|overheating.gfci#1',
  at: 0,
  visit: 1,
  powerUps: 2,
  fitted: 0,
  person: 'tech-01',
}

function stands(visit: number, powerUps: number): boolean {
  const state = { visit, tub: { powerUps, partsIn: [] }, path: { results: { 'gfci-button': PRESSED } } } as unknown as JobState
  return standingResult(libraryEdition(), state, 'gfci-button', 60_000) !== undefined
}

test('the GFCI test stands until the power returns, and only for its own visit', () => {
  expect(libraryEdition().blocks['gfci-button']?.lasts).toBe('until-power-up')
  expect(stands(1, 2)).toBe(true)
  expect(stands(1, 3)).toBe(false)
  expect(stands(2, 2)).toBe(false)
})
