// The table of faults and tests read back: CSV as RFC 4180 describes it, and every figure the library's own.
// What the figures mean is tested with the belief.
import { expect, test } from 'vitest'
import { dmatrixOf } from '#graphs/author'
import type { Edition } from '#graphs'
import { testEdition } from '../../server/edition.ts'

/** RFC 4180, section 2: CR LF ends a line, a quoted field may hold commas, quotes doubled, and line ends. */
function readCsv(text: string): string[][] {
  const rows: string[][] = []
  let row: string[] = []
  for (const [, quoted, plain, end] of text.matchAll(/(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/g)) {
    row.push(quoted === undefined ? (plain ?? '') : quoted.replaceAll('""', '"'))
    if (end === ',') continue
    rows.push(row)
    row = []
  }
  return rows
}

test('every likelihood and every prior of the library stands in its cell, and nothing else', () => {
  const family = testEdition().families.overheating
  if (family === undefined) throw new Error('no family')
  const [header = [], ...rows] = readCsv(dmatrixOf(family))
  expect(new Set(rows.map((row) => row.length))).toEqual(new Set([header.length]))
  const read = new Map(rows.flatMap((row) => row.slice(1).map((cell, at) => [`${row[0]} ${header[at + 1]}`, cell] as const)))
  let stated = 0
  for (const [complaint, prior] of Object.entries(family.priors)) {
    for (const [fault, p] of Object.entries(prior)) {
      stated += 1
      expect(Number(read.get(`${fault} prior:${complaint}`))).toBe(p)
    }
  }
  for (const { test: name, table } of family.tests) {
    for (const [fault, outcomes] of Object.entries(table)) {
      for (const [outcome, p] of Object.entries(outcomes)) {
        stated += 1
        expect(Number(read.get(`${fault} ${name}=${outcome}`))).toBe(p)
      }
    }
  }
  expect([...read.values()].filter((cell) => cell !== '')).toHaveLength(stated)
})

test('a field with comma, quote or line end comes back as it was', () => {
  const odd = 'heat, "creep"\r\nagain'
  const family: Edition['families'][string] = { slug: 'odd', priors: { warm: { [odd]: 0.5 } }, tests: [] }
  expect(readCsv(dmatrixOf(family))).toEqual([
    ['fault', 'prior:warm'],
    [odd, '0.5'],
  ])
})
