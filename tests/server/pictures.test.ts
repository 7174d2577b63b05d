// The pictures of an edition over HTTP: the file as it was drawn, for blocks of that edition and nothing else on the disk.
// How a picture looks is tested with the drawing.
import { mkdirSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gunzipSync } from 'node:zlib'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { writePictures } from '../../server/commands/drawing.ts'
import { releasedEdition, releasedIndex } from '../../server/commands/edition.ts'
import { createFolder, createTestServer, testEdition } from './edition.ts'
import type { TestServer } from './edition.ts'

const folder = createFolder()
let server: TestServer
beforeAll(async () => {
  mkdirSync(join(folder.path, '1.pictures'))
  writeFileSync(join(folder.path, '1.pictures', 'water-clear.svg'), '<svg/>')
  writeFileSync(join(folder.path, '1.pictures', 'other.svg'), '<svg/>')
  server = await createTestServer({ pictures: folder.path })
})
afterAll(async () => {
  await server.close()
  folder.remove()
})

const get = async (path: string, headers: { [name: string]: string } = {}) =>
  await server.app.inject({ url: `/api/editions/${path}`, headers })

test('a block of the edition has its picture, packed for whoever takes it packed', async () => {
  const plain = await get('1/pictures/water-clear')
  expect([plain.statusCode, plain.headers['content-type'], plain.body]).toEqual([200, 'image/svg+xml; charset=utf-8', '<svg/>'])
  const packed = await get('1/pictures/water-clear', { 'accept-encoding': 'gzip' })
  expect(packed.headers['content-encoding']).toBe('gzip')
  expect(gunzipSync(packed.rawPayload).toString()).toBe('<svg/>')
})

test.each(['1/pictures/other', '1/pictures/make-dead', '9/pictures/water-clear', '1/pictures/..%2F..%2Findex', '1/pictures/constructor'])(
  '%s is no picture',
  async (path) => {
    const reply = await get(path)
    expect([reply.statusCode, reply.json<{ code: string }>().code]).toEqual([404, 'REQUEST_ROUTE_UNKNOWN'])
  },
)

test('the pictures of an edition take the place of the old ones, one for each block', async () => {
  const { blocks, ...rest } = testEdition()
  const few = Object.fromEntries(Object.entries(blocks).filter(([id]) => id === 'water-clear' || id === 'no-meter'))
  const said: string[] = []
  mkdirSync(join(folder.path, '2.pictures'))
  writeFileSync(join(folder.path, '2.pictures', 'gone.svg'), '<svg/>')
  expect(await writePictures({ ...rest, blocks: few }, join(folder.path, '2.pictures'), (line) => said.push(line))).toBe(0)
  expect(readdirSync(join(folder.path, '2.pictures')).toSorted()).toEqual(['no-meter.svg', 'water-clear.svg'])
  expect(said[0]).toMatch(/^Drew 2 pictures of edition 1, \d+ kB\.$/)
})

test.each(Object.keys(releasedIndex()))('every block of released edition %s has its picture beside it', (number) => {
  const drawn = readdirSync(fileURLToPath(new URL(`../../graphs/editions/${number}.pictures`, import.meta.url)))
  expect(drawn.toSorted()).toEqual(
    Object.keys(releasedEdition(Number(number)).blocks)
      .map((id) => `${id}.svg`)
      .toSorted(),
  )
})
