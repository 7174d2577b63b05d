// The audit finds every breach that was planted, by the right rule and with a way to it; the edition they are planted on has none.
// What the real library says to the audit is library.test.ts.
import { describe, expect, test } from 'vitest'
import type { Edition } from '#graphs'
import { auditEdition, breachInWords } from '#graphs/author'
import { PLANTED } from './planted.ts'
import { smallEdition } from './small-edition.ts'
import type { OpenEdition } from './small-edition.ts'

const SEARCHED = [1, 2, 3, 4, 5, 7, 9, 11, 12, 14, 15, 16, 17, 18]

function audit(edition: OpenEdition, rules?: readonly number[]) {
  return auditEdition(edition as unknown as Edition, () => 0, rules === undefined ? {} : { rules })
}

test('the small edition keeps every rule, and nothing is left open', () => {
  const { rules, breaches } = audit(smallEdition())
  expect(breaches.flatMap(breachInWords)).toEqual([])
  expect(rules.flatMap((one) => one.open)).toEqual([])
  expect(rules.filter((one) => one.places < 50)).toEqual([])
})

test('every searched rule has five breaches planted at least', () => {
  const few = SEARCHED.filter((rule) => PLANTED.filter((one) => one.rule === rule).length < 5)
  expect(few).toEqual([])
})

describe.each(SEARCHED)('rule %i', (rule) => {
  test.each(PLANTED.filter((one) => one.rule === rule))('is broken where $shape', ({ plant }) => {
    const edition = smallEdition()
    plant(edition)
    const { breaches } = audit(edition, [rule])
    expect(breaches.length).toBeGreaterThan(0)
    expect(breaches[0]?.way.length).toBeGreaterThan(0)
  })
})
