// Releasing an edition: the same bytes for the same library, versions of flows, and no trace where anything is wrong.
// What an edition holds is tested with the core.
import { cpSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { release as releaseWith, releasedEdition, releasedIndex } from '../../server/commands/edition.ts'
import { createFolder } from './edition.ts'

const LIBRARY = fileURLToPath(new URL('../../graphs/library', import.meta.url))

let folder: { path: string; remove: () => void }
let library: string
let editions: string
beforeEach(() => {
  folder = createFolder()
  library = join(folder.path, 'library')
  editions = join(folder.path, 'editions')
  cpSync(LIBRARY, library, { recursive: true })
})
afterEach(() => folder.remove())

/** Without the audit, which tests of its own look at. */
const release = (into: string, from: string) => releaseWith(into, from, () => [])

function edit(file: string, from: string | RegExp, to: string): void {
  const path = join(library, file)
  const text = readFileSync(path, 'utf8')
  if (text.replace(from, to) === text) throw new Error(`${file} does not say ${String(from)}`)
  writeFileSync(path, text.replace(from, to))
}

function filesOf(path: string): string[] {
  return readdirSync(path).toSorted()
}

test('the same library gives the same bytes, and is released once', () => {
  const again = join(folder.path, 'again')
  expect([release(editions, library), release(again, library), release(editions, library)]).toEqual([0, 0, 0])
  expect(filesOf(editions)).toEqual(['1.json', 'index.json'])
  for (const name of filesOf(editions)) expect(readFileSync(join(again, name), 'utf8')).toBe(readFileSync(join(editions, name), 'utf8'))
  expect(releasedEdition(1, editions).versions).toEqual({ overheating: 1 })
})

test('a mend of a table gives a new edition; the flow keeps its version until its own steps move', () => {
  release(editions, library)
  edit('faults.yaml', /minutes: (\d+)/, 'minutes: 9$1')
  expect(release(editions, library)).toBe(0)
  expect(releasedEdition(2, editions).versions).toEqual({ overheating: 1 })
  edit('procedures/make-dead.yaml', /why: [^\n]+/, 'why: Other words.')
  expect(release(editions, library)).toBe(0)
  expect(releasedEdition(3, editions).versions).toEqual({ overheating: 2 })
  expect(Object.keys(releasedIndex(editions))).toEqual(['1', '2', '3'])
})

test('a library that does not hold leaves no trace', () => {
  edit('procedures/make-dead.yaml', /to: lock\b/, 'to: nowhere')
  mkdirSync(editions)
  expect(release(editions, library)).toBe(1)
  expect(filesOf(editions)).toEqual([])
})

test('a breach of a safety rule leaves no trace', () => {
  mkdirSync(editions)
  expect(releaseWith(editions, library, () => ['Rule 1, hands inside'])).toBe(1)
  expect(filesOf(editions)).toEqual([])
})

test('an edition that was edited after its release stops the next one', () => {
  release(editions, library)
  const file = join(editions, '1.json')
  writeFileSync(file, readFileSync(file, 'utf8').replace('"number":1', '"number":1 '))
  edit('faults.yaml', /minutes: (\d+)/, 'minutes: 9$1')
  expect(release(editions, library)).toBe(1)
  expect(filesOf(editions)).toEqual(['1.json', 'index.json'])
})

test('a file with the next number that no index knows is never written over', () => {
  release(editions, library)
  writeFileSync(join(editions, '2.json'), 'somebody else')
  edit('faults.yaml', /minutes: (\d+)/, 'minutes: 9$1')
  expect(release(editions, library)).toBe(1)
  expect(readFileSync(join(editions, '2.json'), 'utf8')).toBe('somebody else')
  expect(Object.keys(releasedIndex(editions))).toEqual(['1'])
})

test('a folder that cannot be written leaves no trace', () => {
  release(editions, library)
  edit('faults.yaml', /minutes: (\d+)/, 'minutes: 9$1')
  // The index cannot be put in place of a folder.
  mkdirSync(join(editions, 'index.json.new'))
  expect(release(editions, library)).toBe(1)
  expect(filesOf(editions).filter((name) => /^\d/.test(name))).toEqual(['1.json'])
  expect(Object.keys(releasedIndex(editions))).toEqual(['1'])
})
