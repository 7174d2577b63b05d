// The reading grade against its published formula, and the counts it rests on.
// Source of the formula: Kincaid, Fishburne, Rogers, Chissom, Research Branch Report 8-75, 1975.
import { describe, expect, test } from 'vitest'
import type { Edition } from '#graphs'
import { hardTexts } from '#graphs/author'
import { countText, gradeOf, syllablesOf } from '../../../graphs/audit/reading-grade.ts'
import { libraryEdition } from '../../laws/library.ts'
import { smallEdition } from './small-edition.ts'

describe('the grade', () => {
  // The two worked values are sums by hand of the published formula: no worked example of the report itself was at hand.
  test('of 100 words in 5 sentences with 150 syllables is 9.91', () => {
    expect(gradeOf({ sentences: 5, words: 100, syllables: 150 })).toBeCloseTo(0.39 * 20 + 11.8 * 1.5 - 15.59, 9)
    expect(gradeOf({ sentences: 5, words: 100, syllables: 150 })).toBeCloseTo(9.91, 2)
  })

  test('of the shortest sentences there can be is -3.40, the least that the formula gives', () => {
    expect(gradeOf({ sentences: 1, words: 1, syllables: 1 })).toBeCloseTo(-3.4, 9)
  })

  test('rises with longer sentences and with longer words', () => {
    const base = { sentences: 5, words: 60, syllables: 80 }
    expect(gradeOf({ ...base, sentences: 4 })).toBeGreaterThan(gradeOf(base))
    expect(gradeOf({ ...base, syllables: 90 })).toBeGreaterThan(gradeOf(base))
  })
})

describe('counting', () => {
  test.each([
    ['tub', 1],
    ['water', 2],
    ['switch', 1],
    ['cover', 2],
    ['electrician', 4],
    ['pumped', 1],
    ['started', 2],
    ['home', 1],
    ['table', 2],
    ['heater', 2],
    ['thermometer', 4],
  ])('"%s" has %i syllables', (word, syllables) => {
    expect(syllablesOf(word)).toBe(syllables)
  })

  test('a quantity in braces is one short word, and empty text is nothing', () => {
    expect(countText(['Wait {min 5}. Then go on.', ''])).toEqual({ sentences: 2, words: 5, syllables: 5 })
  })
})

test('a hard text is named with its step, and an easy one is not', () => {
  const edition = smallEdition()
  const hard =
    'Subsequently investigate potential discontinuities affecting individual electrical installations considering environmental circumstances, manufacturing peculiarities and undocumented modifications previously undertaken by unidentified electrical contractors.'
  Object.assign(edition.blocks.flow?.steps.people ?? {}, { says: [hard] })
  const easy = 'Get all of them out of the tub. Keep the kids and the dog well away. Then look at the panel and tell me what it says.'
  Object.assign(edition.blocks.flow?.steps.reset ?? {}, { says: [easy] })
  expect(hardTexts(edition as unknown as Edition).map(({ block, step }) => `${block}.${step}`)).toEqual(['flow.people'])
})

test('no step of the library asks for more schooling than its readers can be asked for', () => {
  expect(hardTexts(libraryEdition()).map(({ block, step, grade }) => `${block}.${step} ${grade.toFixed(1)}`)).toEqual([])
})
