// Editions as the server finds them on disk: read once, checked against their index, refused in words when they were changed.
// How they are made and released is tested with the core.
import { createHash } from 'node:crypto'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { readEditions } from '../../server/editions.ts'
import { createFolder, testEdition } from './edition.ts'
import { valueOf } from './event-log.contract.ts'

let folder: { path: string; remove: () => void }
beforeEach(() => {
  folder = createFolder()
})
afterEach(() => folder.remove())

function put(name: string, content: unknown): string {
  const text = typeof content === 'string' ? content : JSON.stringify(content)
  writeFileSync(join(folder.path, name), text)
  return createHash('sha256').update(text).digest('hex')
}

function wordsOf(): string {
  const read = readEditions(folder.path)
  return read.ok ? 'ok' : read.problem.message
}

test('the newest is current, and each is given by its number', () => {
  const one = put('1.json', testEdition())
  const ten = put('10.json', { ...testEdition(), number: 10 })
  put('index.json', { 1: one, 10: ten })
  put('1.de.json', 'a translation is no edition')
  const editions = valueOf(readEditions(folder.path))
  expect(editions.list.map((edition) => edition.number)).toEqual([1, 10])
  expect(editions.current.number).toBe(10)
  expect(editions.get(1)?.hash).toBe(one)
  expect(editions.get(2)).toBeUndefined()
})

test('no edition, or no folder, is said in words', () => {
  expect(wordsOf()).toContain('npm run edition -- release')
  expect(readEditions(join(folder.path, 'nowhere'))).toMatchObject({ ok: false, problem: { code: 'GRAPH_UNREADABLE' } })
})

test('an edition that was changed after its release is refused', () => {
  const hash = put('1.json', testEdition())
  put('index.json', { 1: hash })
  put('1.json', { ...testEdition(), red_flags: [] })
  expect(wordsOf()).toContain('is not what was released')
})

test.each([
  ['1.json', '{'],
  ['1.json', 'null'],
  ['2.json', '{"number":1}'],
  ['index.json', '[1]'],
])('%s holding %s is refused', (name, text) => {
  put('1.json', testEdition())
  put(name, text)
  expect(wordsOf()).toContain(`${name} is not what was released`)
})

test('an edition that needs a newer program is refused', () => {
  put('1.json', { ...testEdition(), semantics: 2 })
  expect(wordsOf()).toContain('newer Backwrench')
})
