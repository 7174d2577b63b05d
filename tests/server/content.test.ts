// Which texts of an event are kept out of the chained log, and that nothing else is.
// That no store leaks them is the contract in event-log.contract.ts.
import { describe, expect, test } from 'vitest'
import { FACTS } from '#graphs'
import { eventSchema } from '#graphs/contract'
import type { JobEvent } from '#graphs/contract'
import { contentRefs, ERASED, hashContent, joinEvent, splitEvent } from '../../server/storage/content.ts'
import { answered, joined, opened, plain } from './sample-events.ts'

const wordFact = FACTS.find((fact) => fact.quantity === undefined && fact.choices === undefined)?.slug ?? 'none'
const person = { id: 'ann-home', name: 'SECRET', role: 'homeowner', signed: [] }

const CASES: [string, JobEvent][] = [
  [
    'job-opened.words',
    opened('job-one', { body: { flow: 'f', complaint: 'c', short: 's', words: 'SECRET', practice: false } } as Partial<JobEvent>),
  ],
  ['person-joined.person.name', joined('job-one', 'SECRET')],
  ['answer-given.words', answered('job-one', body({ words: 'SECRET' }))],
  ['answer-given.form.fields', answered('job-one', body({ form: { form: 'text', fields: { note: 'SECRET', access: 'SECRET' } } }))],
  [
    'answer-given.form.facts',
    answered('job-one', body({ form: { form: 'facts', facts: { [wordFact]: 'SECRET', volume: { typed: '340', unit: 'gal' } } } })),
  ],
  ['answer-changed.words', answered('job-one', { ...body({ words: 'SECRET' }), type: 'answer-changed' } as Partial<JobEvent>)],
  [
    'fact-stated',
    plain('job-one', {
      type: 'fact-stated',
      body: { slug: wordFact, value: 'SECRET', source: 'told', typed: 'SECRET' },
    } as Partial<JobEvent>),
  ],
  ['hazard-seen.words', plain('job-one', { type: 'hazard-seen', body: { hazard: 'shock', words: 'SECRET' } } as Partial<JobEvent>)],
  ['approval-given.words', plain('job-one', { type: 'approval-given', body: { what: 'parts', words: 'SECRET' } } as Partial<JobEvent>)],
  ['outcome-confirmed.words', plain('job-one', { type: 'outcome-confirmed', body: { held: true, words: 'SECRET' } } as Partial<JobEvent>)],
  ['photo-taken.name', plain('job-one', { type: 'photo-taken', body: { name: 'SECRET' } } as Partial<JobEvent>)],
]

function body(more: object): Partial<JobEvent> {
  return { body: { key: '0|overheating.step#1', step: 'step', outcome: 'yes', ...more } } as Partial<JobEvent>
}

describe.each(CASES)('%s', (_name, event) => {
  test('is not in what is chained, and comes back whole', () => {
    const split = splitEvent(event)
    expect(JSON.stringify(split.event)).not.toContain('SECRET')
    expect(split.contents.length).toBeGreaterThan(0)
    const texts = new Map(split.contents.map(({ id, text }) => [id, text]))
    expect(joinEvent(split.event, (id) => texts.get(id))).toEqual(event)
  })

  test('erased, it still is an event of the contract', () => {
    const joinedBack = joinEvent(splitEvent(event).event, () => undefined)
    expect(eventSchema.safeParse(joinedBack).success).toBe(true)
    expect(JSON.stringify(joinedBack)).toContain(ERASED)
  })

  test('its hash cannot be guessed from the text alone', () => {
    const [one, two] = [splitEvent(event), splitEvent(event)]
    expect(contentRefs(one.event)).toHaveLength(one.contents.length)
    expect(contentRefs(one.event).map((ref) => ref.$hash)).not.toEqual(contentRefs(two.event).map((ref) => ref.$hash))
    expect(one.contents.map((content) => hashContent(content)).toSorted()).toEqual(
      contentRefs(one.event)
        .map((ref) => ref.$hash)
        .toSorted(),
    )
  })
})

test('there is a fact of free words to test with', () => {
  expect(wordFact).not.toBe('none')
})

test('what is measured, chosen or made by the program stays in the chain', () => {
  const readings = { water: { typed: '104', unit: 'degF' } }
  const event = answered('job-one', body({ readings, form: { form: 'settings', settings: { 'set-point': '100' } } }))
  expect(splitEvent(event)).toEqual({ event, contents: [] })
  expect(splitEvent(plain('job-one')).contents).toEqual([])
  expect(JSON.stringify(joined('job-one', person.name))).toContain('SECRET')
})

test('what somebody typed is never taken for a ref', () => {
  const facts = { content: 'event-000001:words', hash: 'x' }
  const event = answered('job-one', body({ form: { form: 'settings', settings: facts } }))
  expect(joinEvent(splitEvent(event).event, () => 'another text')).toEqual(event)
})
