// A server that holds two editions: jobs stay on the one they began with, unless somebody of the shop carries them over.
// What carries over is tested with the engine.
import { afterEach, beforeEach, expect, test } from 'vitest'
import { createEngine } from '#graphs'
import type { Edition } from '#graphs'
import { collectEditions } from '../../server/editions.ts'
import type { Editions } from '../../server/editions.ts'
import { createNoteWriter } from '../../server/notes/write-note.ts'
import { ask, DESK, firstAnswer, openJob, send } from './client.ts'
import type { Body } from './client.ts'
import { createTestServer, testEdition, testEditions } from './edition.ts'
import type { TestServer } from './edition.ts'
import { valueOf } from './event-log.contract.ts'

let before: TestServer
let job: Body
beforeEach(async () => {
  before = await createTestServer()
  job = await openJob(before.app)
  for (let answers = 0; answers < 3; answers += 1) {
    const { body } = await ask(before.app, 'GET', `/api/jobs/${job.staff_token}/view?person=${DESK.id}`)
    await send(before.app, job.staff_token, firstAnswer(body.view ?? body))
  }
})
afterEach(async () => await before.close())

/** The shop's server after an update: edition 1 as it was, and edition 2 as the current one. */
function withSecond(second: Edition = { ...testEdition(), number: 2 }): Editions {
  const list = [testEdition(), second].map((edition) => ({
    number: edition.number,
    hash: `hash-${edition.number}`,
    bytes: Buffer.from(JSON.stringify(edition)),
    engine: createEngine(edition),
  }))
  return valueOf(collectEditions(list, 'tests'))
}

async function updated(editions: Editions): Promise<TestServer> {
  return await createTestServer({ editions, log: before.log, writeNote: createNoteWriter(editions, { timeZone: 'UTC' }) })
}

async function editionOf(server: TestServer, token: string): Promise<number | undefined> {
  const { body } = await ask(server.app, 'GET', `/api/jobs/${token}/events`)
  return (body as Body & { edition?: number }).edition
}

test('a job under way stays on its edition; a new one begins on the newest', async () => {
  const { app } = await updated(withSecond())
  const server = { ...before, app }
  const view = await ask(app, 'GET', `/api/jobs/${job.staff_token}/view?person=${DESK.id}`)
  expect((await send(app, job.staff_token, firstAnswer(view.body.view ?? view.body))).status).toBe(200)
  expect(await editionOf(server, job.staff_token)).toBe(1)
  expect(await editionOf(server, (await openJob(app)).staff_token)).toBe(2)
  await app.close()
})

test('carried over it goes on there, is read again across both editions, and the note says so', async () => {
  const { app } = await updated(withSecond())
  const server = { ...before, app }
  const carried = await send(app, job.staff_token, { type: 'carry-over', to: 2 })
  expect(carried.status).toBe(200)
  expect(carried.body.events.map(({ type, edition }) => [type, edition])).toEqual([['job-carried-over', 2]])
  const view = await ask(app, 'GET', `/api/jobs/${job.staff_token}/view?person=${DESK.id}`)
  expect((await send(app, job.staff_token, firstAnswer(view.body.view ?? view.body))).status).toBe(200)
  // Another server of the shop knows the job from the log alone.
  const { app: other } = await updated(withSecond())
  expect(await editionOf({ ...before, app: other }, job.staff_token)).toBe(2)
  const note = await ask(other, 'GET', `/api/jobs/${job.staff_token}/note?voice=office&format=md`)
  expect(note.text).toContain('Carried over from edition 1 to 2')
  expect(note.text).toContain(DESK.name)
  expect(await editionOf(server, job.staff_token)).toBe(2)
  await Promise.all([app.close(), other.close()])
})

test('an edition that is not held, or has no room for the job, is refused and the job stays', async () => {
  const { blocks } = testEdition()
  const { people: _gone, ...steps } = blocks['red-flags']?.steps ?? {}
  const lacking = { ...testEdition(), number: 2, blocks: { ...blocks, 'red-flags': { ...blocks['red-flags'], steps } } } as Edition
  const { app } = await updated(withSecond(lacking))
  const unknown = await send(app, job.staff_token, { type: 'carry-over', to: 9 })
  expect([unknown.status, unknown.body.code]).toEqual([409, 'JOB_NOT_CARRIED'])
  const refused = await send(app, job.staff_token, { type: 'carry-over', to: 2 })
  expect([refused.status, refused.body.code]).toEqual([409, 'JOB_NOT_CARRIED'])
  expect(refused.body.details).toMatchObject({ gone: ['red-flags.people'] })
  expect(await editionOf({ ...before, app }, job.staff_token)).toBe(1)
  await app.close()
})

test('a server that has lost the first edition cannot read a job that was carried over', async () => {
  const { app } = await updated(withSecond())
  await send(app, job.staff_token, { type: 'carry-over', to: 2 })
  const alone = await createTestServer({ editions: testEditions({ ...testEdition(), number: 2 }), log: before.log })
  const view = await ask(alone.app, 'GET', `/api/jobs/${job.staff_token}/view?person=${DESK.id}`)
  expect([view.status, view.body.code]).toEqual([503, 'GRAPH_EDITION_UNKNOWN'])
  await Promise.all([app.close(), alone.app.close()])
})
