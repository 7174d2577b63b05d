// The pictures of an edition over HTTP: the file as it was drawn, for blocks of that edition and nothing else on the disk.
// How a picture looks is tested with the drawing.
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gunzipSync } from 'node:zlib'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { writePictures } from '../../server/commands/drawing.ts'
import { releasedEdition, releasedIndex } from '../../server/commands/edition.ts'
import { readXml } from '../graphs/drawing/state-chart.ts'
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

test.each(Object.keys(releasedIndex()))(
  'every block of released edition %s has its picture beside it, with its steps and their titles',
  (number) => {
    const folder = fileURLToPath(new URL(`../../graphs/editions/${number}.pictures`, import.meta.url))
    const { blocks } = releasedEdition(Number(number))
    const wanted = Object.keys(blocks).map((id) => `${id}.svg`)
    expect(readdirSync(folder).toSorted(), `draw them: npm run edition -- pictures ${number}`).toEqual(wanted.toSorted())
    for (const block of Object.values(blocks)) {
      const svg = readXml(readFileSync(join(folder, `${block.id}.svg`), 'utf8'))
      const drawn = Array.from(svg.getElementsByTagName('g'))
        .filter((group) => Object.hasOwn(block.steps, group.getAttribute('data-step') ?? ''))
        .map((group) => [group.getAttribute('data-step'), group.getElementsByTagName('title')[0]?.textContent?.split('. ')[0]])
      const steps = Object.values(block.steps).map(({ id, title }) => [id, title.split('. ')[0]])
      expect(drawn.toSorted(), block.id).toEqual(steps.toSorted())
    }
  },
)
