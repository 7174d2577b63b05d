// The writer as the server calls it: hash of the edition, chain head, one linked style sheet, link only where one is handed in.
// What a note says is tested beside this file.
import { expect, test } from 'vitest'
import { createEngine } from '#graphs'
import type { NoteOrder } from '../../../server/note-order.ts'
import { createNoteWriter } from '../../../server/notes/write-note.ts'
import { testEditions } from '../edition.ts'
import { engine, jobOf } from './jobs.ts'

const editions = testEditions(engine.edition)
const { state, events } = jobOf('changed')
const order: NoteOrder = {
  engine: createEngine(engine.edition),
  state,
  events,
  voice: 'warranty',
  format: 'html',
  now: 0,
  head: 'chain-head',
}

test('a note carries hash and head, and links the one style sheet of the server', async () => {
  const html = await createNoteWriter(editions, { shop: 'Example Spa Shop', timeZone: 'Europe/Oslo' })(order)
  expect(html).toContain('SHA-256 test')
  expect(html).toContain('Chain head chain-head')
  expect(html).not.toMatch(/<style|\sstyle=/)
  expect(html.match(/<link[^>]*>/g)).toEqual(['<link rel="stylesheet" href="/note.css">'])
  expect(html).toContain('Times in Europe/Oslo')
  expect(html).toContain('Example Spa Shop')
})

test('a link is printed only where one is handed in', async () => {
  const write = createNoteWriter(editions)
  expect(await write({ ...order, voice: 'customer' })).not.toContain('QR code')
  const mine = await write({ ...order, voice: 'customer', link: 'https://tubs.example/h/own' })
  expect(mine).toContain('QR code')
  expect(mine).toContain('https://tubs.example/h/own')
})
