// Every job that was kept with a released edition replays on it to the note it had then.
// The same jobs on the library as it stands are golden.test.ts.
import { describe, expect, test } from 'vitest'
import { recheck } from '#graphs'
import { goldenOf } from './golden.ts'
import { JOB_NAMES } from './jobs.ts'
import { EDITIONS, keptJob, replayed } from './kept.ts'

describe.each(EDITIONS)('on edition %i', (edition) => {
  test.each(JOB_NAMES)('%s replays to the note it had', (name) => {
    const { events, note } = keptJob(edition, name)
    expect(goldenOf(replayed(events).note)).toEqual(note)
  })
})

test('a verdict that today’s computation would give otherwise is listed, and stands as it was given', () => {
  const { events } = keptJob(1, 'complete')
  const other = events.map((event) =>
    event.type === 'answer-given' && event.body.verdict !== undefined && event.body.step === 'heat-on-short'
      ? { ...event, body: { ...event.body, verdict: { ...event.body.verdict, mark: 'cannot-tell' as const } } }
      : event,
  )
  const { engine, state, note } = replayed(other)
  const listed = recheck(engine.edition, state)
  expect(listed.map((one) => [one.given.mark, one.today?.mark])).toEqual([['cannot-tell', 'in']])
  expect(note.readings.filter((one) => one.mark === 'cannot-tell').map((one) => one.title)).toContain(listed[0]?.title)
  expect(recheck(engine.edition, replayed(events).state)).toEqual([])
})
