// What a phone has to load: the scripts of each page, packed, against a limit; and nothing that belongs elsewhere.
// The aim for the technician's page is 60 kB packed; the limit below is what it may not grow beyond on the way there.
import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
import { beforeAll, expect, test } from 'vitest'
import { buildPages } from './pages.ts'

const DIST = fileURLToPath(new URL('../../web/dist/', import.meta.url))
const TECHNICIAN_KB_MAX = 85
const HOMEOWNER_KB_MAX = 25

beforeAll(async () => await buildPages())

/** Every script that a page loads, straight or through another. */
function scriptsOf(page: string): string[] {
  const html = readFileSync(`${DIST}${page}`, 'utf8')
  const found = new Set([...html.matchAll(/assets\/([\w-]+\.js)/g)].map((match) => match[1] ?? ''))
  const there = readdirSync(`${DIST}assets`)
  for (const name of found) {
    const text = readFileSync(`${DIST}assets/${name}`, 'utf8')
    for (const other of there) if (other.endsWith('.js') && text.includes(other)) found.add(other)
  }
  return [...found]
}

function packedKb(names: readonly string[]): number {
  return names.reduce((sum, name) => sum + gzipSync(readFileSync(`${DIST}assets/${name}`), { level: 9 }).length, 0) / 1000
}

test('the pages stay small', () => {
  expect(packedKb(scriptsOf('index.html'))).toBeLessThan(TECHNICIAN_KB_MAX)
  expect(packedKb(scriptsOf('homeowner.html'))).toBeLessThan(HOMEOWNER_KB_MAX)
})

test('nothing stands inline, and no other origin is named', () => {
  for (const page of ['index.html', 'homeowner.html']) {
    const html = readFileSync(`${DIST}${page}`, 'utf8')
    expect(html, page).not.toMatch(/<style|style=|<script(?![^>]*\bsrc=)|\bon\w+=/)
    expect(html, page).not.toMatch(/(?:src|href)="(?!\/|\.)/)
  }
  for (const name of readdirSync(`${DIST}assets`)) {
    if (/\.(js|css)$/.test(name)) expect(readFileSync(`${DIST}assets/${name}`, 'utf8'), name).not.toMatch(/https?:\/\/(?!www\.w3\.org\/)/)
  }
})

test('the homeowner gets no engine', () => {
  const text = scriptsOf('homeowner.html')
    .map((name) => readFileSync(`${DIST}assets/${name}`, 'utf8'))
    .join('\n')
  // Names that the engine writes into every log, and so cannot be shortened away.
  for (const word of ['job-opened', 'proof-made', 'JOB_EVIDENCE_MISSING', 'indexedDB']) expect(text.includes(word), word).toBe(false)
})
