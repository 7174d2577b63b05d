// What each person sees: views pass their schema, outsiders learn nothing of wiring, the bound falls, the log keeps struck answers.
// Laws over many jobs are tests/laws.
import { describe, expect, test } from 'vitest'
import { matchWords } from '#graphs'
import { jobViewSchema } from '#graphs/contract'
import { factWords } from '../../../graphs/engine/words.ts'
import { libraryEdition } from '../../laws/library.ts'
import { DESK, OWNER, Play, QUALIFIED } from './play.ts'

describe('a view', () => {
  test('passes its schema at every step of a job', () => {
    const play = new Play()
    play.send({ type: 'arrive' })
    for (const wanted of ['red-flags.shock', 'overheating.as-found', 'make-dead.lock', 'make-dead.prove', 'as-found-record.look']) {
      play.to(wanted)
      expect(jobViewSchema.safeParse(play.view()).error).toBeUndefined()
    }
  })

  test('falls by one or more with each answer of a part', () => {
    const play = new Play()
    play.send({ type: 'arrive' })
    let last = play.view()
    for (let turn = 0; turn < 8; turn += 1) {
      play.to(turn % 2 === 0 ? `${last.step?.block}.${last.step?.step}` : 'red-flags.fumes')
      const now = play.view()
      if (now.part === last.part) expect(now.at_most).toBeLessThanOrEqual(last.at_most)
      last = now
    }
  })

  test('of a homeowner holds no title, verdict or fact of what is behind the cover', () => {
    const play = new Play()
    play.send({ type: 'arrive' })
    play.to('as-found-record.look')
    play.join(OWNER)
    const view = play.view(OWNER)
    expect(view.step).toBeUndefined()
    expect(view.facts).toEqual([])
    expect(view.trail.every((item) => item.verdict === undefined)).toBe(true)
    const text = JSON.stringify({ ...view, rail: [] }).toLowerCase()
    for (const word of ['terminal', 'relay', 'sensor resistance', 'conductor', 'voltage', 'tester']) expect(text).not.toContain(word)
  })

  test('of somebody unknown shows what a homeowner would see and asks who it is', () => {
    const play = new Play(DESK)
    expect(play.view(QUALIFIED).step).toBeUndefined()
    expect(play.view(QUALIFIED).waiting?.says).toMatch(/Say who you are/)
  })

  test('shows quantities in the units of the shop', () => {
    const play = new Play()
    expect(JSON.stringify(play.view())).not.toMatch(/\{(temp|dtemp|volt|min) /)
  })

  test('tells the log anew when the shop takes other units, and an answer anew when it is changed', () => {
    const play = new Play()
    play.send({ type: 'arrive' })
    play.to('red-flags.suction')
    const answered = () => play.view().trail.find((item) => item.key.endsWith('red-flags.temperature#1'))
    expect(answered()?.answer).toBe('104 °F or less, by a thermometer')
    expect(play.send({ type: 'state-fact', slug: 'units', value: 'si', source: 'told' }).ok).toBe(true)
    expect(answered()?.answer).toBe('40 °C or less, by a thermometer')
    expect(play.send({ type: 'change', key: answered()?.key ?? '', outcome: 'display-below' }).ok).toBe(true)
    expect(answered()?.answer).toBe('40 °C or less, display only')
  })
})

describe('a fact in words', () => {
  const fact = (slug: string, value: number, typed: string): string =>
    factWords({ slug, value, typed, source: 'told', event: 'none', at: 0, role: 'dispatcher' }, 'us')
  test('has its unit, whether that was typed behind the number or chosen beside it', () => {
    expect(fact('air-mean', 8.333, '47')).toBe('47 °F')
    expect(fact('air-mean', 8.333, '47 degF')).toBe('47 °F')
    expect(fact('volume', 1324.9, '350 gal')).toBe('350 gal')
    expect(fact('filter-hours', 4, '4')).toBe('4')
  })
})

describe('first words', () => {
  const edition = libraryEdition()
  test.each([
    ['set to 100 and it is 106', 'hotter-than-set'],
    ['the water is hotter than I set it', 'hotter-than-set'],
    ['it says too hot and shut itself off', 'over-temperature-message'],
  ])('%j match the complaint %s', (words, complaint) => {
    expect(matchWords(edition, words).complaints[0]?.complaint).toBe(complaint)
  })
  test('that name a red flag are asked about, never guessed', () => {
    expect(matchWords(edition, 'I shocked it with chlorine').redFlags.map((flag) => flag.slug)).toContain('shock')
    expect(matchWords(edition, 'burning smell from the cabinet').redFlags.length).toBeGreaterThan(0)
  })
  test.each(['', '   ', '%%%', 'asdf qwer'])('%j match nothing', (words) => expect(matchWords(edition, words).complaints).toEqual([]))
})
