// In which order a browser is looked for, and what is said when there is none.
// Nothing is started here: that is the first of the walks.
import { chmodSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { delimiter, join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { findChromium } from './browser.ts'

const root = mkdtempSync(join(tmpdir(), 'backwrench-browser-'))
afterAll(() => rmSync(root, { recursive: true }))

const unpack = (): Promise<string> => Promise.resolve('unpacked')
const fail = (): Promise<string> => Promise.reject(new Error('no package'))

function putProgram(folder: string, name: string, mode = 0o755): string {
  const path = join(root, folder, name)
  mkdirSync(join(root, folder), { recursive: true })
  writeFileSync(path, '')
  chmodSync(path, mode)
  return path
}

const chosen = putProgram('chosen', 'my-browser')
const second = putProgram('b', 'google-chrome')
const first = putProgram('c', 'chromium')
putProgram('a', 'chromium', 0o644)
mkdirSync(join(root, 'd', 'chromium'), { recursive: true })
const PATH = ['', 'a', 'd', 'b', 'c'].map((folder) => (folder === '' ? '' : join(root, folder))).join(delimiter)

test('CHROMIUM_PATH comes before everything', async () => {
  expect(await findChromium({ CHROMIUM_PATH: chosen, PATH }, unpack)).toBe(chosen)
})

test('a wrong CHROMIUM_PATH is said, not passed over', async () => {
  await expect(findChromium({ CHROMIUM_PATH: join(root, 'none'), PATH }, unpack)).rejects.toThrow(
    /CHROMIUM_PATH is ".*none", and no program is there/,
  )
})

test('chromium comes before google-chrome, wherever on the PATH they are, and only a program counts', async () => {
  expect(await findChromium({ CHROMIUM_PATH: '', PATH }, unpack)).toBe(first)
  expect(await findChromium({ PATH: join(root, 'b') }, unpack)).toBe(second)
})

test('the one in the package is the last resort', async () => {
  expect(await findChromium({ PATH: join(root, 'a') }, unpack)).toBe('unpacked')
  expect(await findChromium({}, unpack)).toBe('unpacked')
})

test('with no browser at all the way out is named', async () => {
  await expect(findChromium({}, fail)).rejects.toThrow(/No Chromium was found\. Install one .* or set CHROMIUM_PATH/)
})
