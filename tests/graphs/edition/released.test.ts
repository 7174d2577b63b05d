// Released editions never change: bytes, hash and number are what the index says, and each can still be run.
// What an edition means is tested on the library; jobs that replay on it are in tests/server/notes.
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { createEngine, SEMANTICS } from '#graphs'
import { editionBytes, releasedEdition, releasedIndex } from '../../../server/commands/edition.ts'

const folder = join(import.meta.dirname, '..', '..', '..', 'graphs', 'editions')
const index = releasedIndex()

describe.each(Object.entries(index))('edition %s', (number, hash) => {
  test('has the bytes it was released with', () => {
    const edition = releasedEdition(Number(number))
    const { text, hash: now } = editionBytes(edition)
    expect(now).toBe(hash)
    expect(readFileSync(join(folder, `${number}.json`), 'utf8')).toBe(text)
    expect(edition.number).toBe(Number(number))
  })

  test('can be run by this program', () => {
    const edition = releasedEdition(Number(number))
    expect(edition.semantics).toBeLessThanOrEqual(SEMANTICS)
    expect(Object.keys(createEngine(edition).edition.blocks).length).toBeGreaterThan(0)
  })
})

test('every file of the folder is in the index, and edition 1 is there', () => {
  const files = readdirSync(folder).filter((name) => /^\d+\.json$/.test(name))
  expect(files.toSorted()).toEqual(
    Object.keys(index)
      .map((number) => `${number}.json`)
      .toSorted(),
  )
  expect(index['1']).toBeDefined()
})
