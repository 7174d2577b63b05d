// The table in DEVELOPERS.md that maps the trade's decision tree to steps: every step it names exists in the library.
// Whether the steps say the right thing is for people to read.
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { libraryEdition } from './laws/library.ts'

const HEADING = "## Where the trade's decision tree lives"

function tableRows(): string[] {
  const text = readFileSync(new URL('../DEVELOPERS.md', import.meta.url), 'utf8')
  const part = text.slice(text.indexOf(HEADING)).split('\n## ')[0] ?? ''
  return part.split('\n').filter((line) => line.startsWith('| ') && !line.startsWith('| point'))
}

/** `block.step` names of a row; those of a procedure or card alone are blocks. */
function namesOf(row: string): string[] {
  return [...row.matchAll(/`([a-z][a-z0-9-]*(?:\.[a-z][a-z0-9-]*)?)`/g)].map((match) => match[1] ?? '')
}

test('every step that the table names exists in the library', () => {
  const { blocks } = libraryEdition()
  const missing = tableRows().flatMap((row) =>
    namesOf(row).filter((name) => {
      const [block = '', step] = name.split('.')
      return step === undefined ? blocks[block] === undefined : blocks[block]?.steps[step] === undefined
    }),
  )
  expect(missing).toEqual([])
})

test('the table covers every part of the tree', () => {
  const rows = tableRows()
  for (const part of ['OVER-01', 'OVER-50', 'SAFE-09', 'LIVE-01', 'BRD-11', 'EXC-10', 'FREEZE-02', 'DRAIN-01', 'CHEM-01']) {
    expect(
      rows.some((row) => row.startsWith(`| ${part} `)),
      part,
    ).toBe(true)
  }
  expect(rows.length).toBeGreaterThan(150)
})
