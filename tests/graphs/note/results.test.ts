// Which results of a card count when it was used more than once: the second look, and what was found before a repair.
// Which fault they speak for is findings.test.ts.
import { expect, test } from 'vitest'
import { answersOf } from '../../../graphs/note/answers.ts'
import type { Answer } from '../../../graphs/note/answers.ts'
import { countedResults, resultsBefore } from '../../../graphs/note/results.ts'
import { answered, EDITION, eventsOf, JOINED, OPENED, stateOf } from './hand-made.ts'

const EVENTS = eventsOf(
  OPENED,
  JOINED,
  answered('overheating.what-happens#1', 'hot'),
  answered('overheating.relay#1>relay-contacts-dead.test#1', 'both-closed'),
)
const STATE = stateOf(EVENTS)
const [, FIRST] = answersOf(EDITION, STATE, EVENTS)

function again(outcome: string, caller: string): Answer {
  if (FIRST === undefined) throw new Error('the card was not answered')
  return { ...FIRST, key: `0|overheating.${caller}>relay-contacts-dead.test#1`, entry: { ...FIRST.entry, outcome } }
}

function counted(...answers: Answer[]): string[] {
  return countedResults(EDITION, STATE, answers).map((result) => result.outcome)
}

test('a card that was used again before anything was mended counts by its second look', () => {
  expect(counted(again('both-closed', 'relay#1'), again('both-open', 'relay#2'))).toEqual(['both-open'])
})

test('what was found before the repair counts on after the proof found nothing more', () => {
  expect(counted(again('both-closed', 'relay#1'), again('both-open', 'prove#1>prove-the-repair.meter#1'))).toEqual([
    'both-closed',
    'both-open',
  ])
})

test('a struck result and one that was not done do not count', () => {
  expect(counted({ ...again('both-closed', 'relay#1'), struck: 'changed' }, again('both-open', 'relay#2'))).toEqual(['both-open'])
  expect(counted(again('both-open', 'relay#1'), again('not-done', 'relay#2'))).toEqual(['both-open'])
})

test('a part is judged by the results that stood before it, not by later ones', () => {
  const answers = [again('both-closed', 'relay#1'), again('both-open', 'relay#2')]
  expect(resultsBefore(EDITION, STATE, answers, 1)['relay-contacts-dead']?.outcome).toBe('both-closed')
  expect(resultsBefore(EDITION, STATE, answers, 0)).toEqual({})
})
