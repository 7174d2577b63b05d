// What a caller can do wrong, and a day on which everything goes wrong: each gets a clear problem, and the job stays whole.
// Nothing here may ever be answered with a 500.
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Command, JobView } from '#graphs/contract'
import { ask, commandsTo, DESK, envelopeOf, firstAnswer, OPENING, openJob, send, sendAll, stepOf } from './client.ts'
import type { Body, Method, Reply } from './client.ts'
import { createFolder, createTestServer, testEditions } from './edition.ts'
import type { TestServer } from './edition.ts'
import { newId } from './sample-events.ts'
import { openDriver } from '../../server/storage/driver.ts'
import type { Driver } from '../../server/storage/driver.ts'
import { openSqliteLog } from '../../server/storage/sqlite.ts'
import { valueOf } from './event-log.contract.ts'

let server: TestServer
beforeAll(async () => {
  server = await createTestServer()
})
afterAll(async () => await server.close())

/** RFC 9457: the media type, and members that agree with the status line. */
function expectProblem(reply: Reply, status: number, code: string): void {
  expect([reply.status, reply.body.code, reply.text]).toEqual([status, code, reply.text])
  expect(reply.type).toContain('application/problem+json')
  expect(reply.body.status).toBe(status)
  expect(reply.body.detail).toMatch(/^[A-Z"].*\.$/s)
  expect(reply.body.detail).not.toMatch(/please|sorry|oops|invalid/i)
}

async function raw(method: Method, url: string, payload: string | Buffer, type = 'application/json'): Promise<Reply> {
  const response = await server.app.inject({ method, url, payload, headers: { 'content-type': type } })
  const body = response.headers['content-type']?.toString().includes('json') === true ? response.json<Body>() : ({} as Body)
  return {
    status: response.statusCode,
    type: String(response.headers['content-type']),
    body,
    text: response.body,
    headers: response.headers,
  }
}

describe('a body', () => {
  test.each(['{"flow":', '', 'nonsense', '{"a":1}{', '\u0000', '[1,2', '{"words":"\\ud800"}'])(
    'that is not JSON is said so: %j',
    async (text) => {
      expectProblem(await raw('POST', '/api/jobs', text), 400, 'REQUEST_NOT_JSON')
    },
  )

  test('that would change a prototype is refused', async () => {
    expectProblem(await raw('POST', '/api/jobs', '{"__proto__":{"role":"technician"}}'), 400, 'REQUEST_NOT_JSON')
  })

  test('of 5 MB is too large, and one of half a megabyte too', async () => {
    for (const size of [5_000_000, 500_000]) {
      const words = 'x'.repeat(size)
      expectProblem(await raw('POST', '/api/jobs', JSON.stringify({ ...OPENING, words, person: DESK })), 413, 'REQUEST_TOO_LARGE')
    }
  })

  test('of another kind is refused', async () => {
    for (const type of ['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data; boundary=x', 'image/png']) {
      expectProblem(await raw('POST', '/api/jobs', 'flow=overheating', type), 415, 'REQUEST_MEDIA_UNKNOWN')
    }
  })

  test.each<unknown>([null, 0, -1, 1e9, '', 'nonsense', true, [], {}, [[[]]], { flow: 'overheating' }, { ...OPENING, person: null }])(
    'in another shape opens no job: %j',
    async (body) => {
      expectProblem(await raw('POST', '/api/jobs', JSON.stringify(body)), 400, 'REQUEST_UNREADABLE')
    },
  )

  test('names the field that is wrong', async () => {
    const reply = await ask(server.app, 'POST', '/api/jobs', { ...OPENING, person: { ...DESK, role: 'wizard' } })
    expectProblem(reply, 400, 'REQUEST_UNREADABLE')
    expect(reply.body.path).toBe('body.person.role')
    expect(reply.body.detail).toContain('homeowner, dispatcher, technician, electrician')
  })

  test('nested very deep is refused or read, never fatal', async () => {
    const reply = await raw('POST', '/api/jobs', '['.repeat(100_000) + ']'.repeat(100_000))
    expect(reply.status).toBeGreaterThanOrEqual(400)
    expect(reply.status).toBeLessThan(500)
  })

  test('about a complaint that is not in the library opens no job', async () => {
    expectProblem(
      await ask(server.app, 'POST', '/api/jobs', { ...OPENING, complaint: 'haunted', person: DESK }),
      422,
      'JOB_ANSWER_NOT_OFFERED',
    )
  })
})

describe('an address', () => {
  test.each<[Method, string]>([
    ['GET', '/api/nowhere'],
    ['GET', '/nowhere'],
    ['PUT', '/api/jobs'],
    ['POST', '/livez'],
    ['GET', '/../../etc/passwd'],
  ])('that leads nowhere is a problem: %s %s', async (method, url) => {
    expectProblem(await ask(server.app, method, url), 404, 'REQUEST_ROUTE_UNKNOWN')
  })

  test('with a broken escape is a problem', async () => {
    expectProblem(await ask(server.app, 'GET', '/api/jobs/%zz/view'), 400, 'REQUEST_UNREADABLE')
  })

  test('that is very long is a problem', async () => {
    const reply = await ask(server.app, 'GET', `/api/jobs/${'a'.repeat(5000)}/view`)
    expect([404, 414]).toContain(reply.status)
    expect(reply.type).toContain('application/problem+json')
  })

  test.each(['?after=-1', '?after=1.5', '?after=NaN', '?after=1e99', '?after=x', '?after=0&after=1'])(
    'asks for events %s in vain',
    async (query) => {
      const job = await openJob(server.app)
      expectProblem(await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/events${query}`), 400, 'REQUEST_UNREADABLE')
    },
  )

  test.each(['0', '-1', 'NaN', '1e9x', '1.5', '../1'])('of an edition %s in vain', async (number) => {
    const reply = await ask(server.app, 'GET', `/api/editions/${number}`)
    expect([400, 404]).toContain(reply.status)
    expect(reply.type).toContain('application/problem+json')
  })

  test.each(['voice=boss', 'format=pdf', 'voice=', 'format=html&format=md'])('of a note with %s in vain', async (query) => {
    const job = await openJob(server.app)
    expectProblem(await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/note?${query}`), 400, 'REQUEST_UNREADABLE')
  })

  test('of a note, on a server without the part that writes it', async () => {
    const job = await openJob(server.app)
    expectProblem(await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/note`), 501, 'NOTE_UNAVAILABLE')
  })
})

describe('a command', () => {
  const shapes: unknown[] = [
    null,
    {},
    { type: 'answer' },
    { type: 'dance' },
    { type: 'answer', place: '' },
    { type: 'answer', place: 'x'.repeat(3000) },
    { type: 'answer', place: '0|a.b#1', outcome: 'Not A Slug' },
    { type: 'answer', place: '0|a.b#1', readings: { volts: 12 } },
    { type: 'answer', place: '0|a.b#1', readings: { volts: { typed: 'x'.repeat(65), unit: 'V' } } },
    { type: 'answer', place: '0|a.b#1', form: { form: 'spell' } },
    { type: 'state-fact', slug: 'volume', value: {}, source: 'told' },
    { type: 'state-fact', slug: 'volume', value: 1, source: 'dreamt' },
  ]
  test.each(shapes)('in another shape is refused: %j', async (command) => {
    const job = await openJob(server.app)
    const reply = await ask(server.app, 'POST', `/api/jobs/${job.staff_token}/commands`, envelopeOf(command as Command))
    expectProblem(reply, 400, 'JOB_COMMAND_UNREADABLE')
  })

  test.each(['', 'x', 'has space', 'x'.repeat(65), 'x'.repeat(49), '../../../etc', 'Ünïcode-id'])(
    'with the id %j is refused',
    async (id) => {
      const job = await openJob(server.app)
      const reply = await ask(server.app, 'POST', `/api/jobs/${job.staff_token}/commands`, { ...envelopeOf({ type: 'undo' }), id })
      expectProblem(reply, 400, 'JOB_COMMAND_UNREADABLE')
    },
  )

  test('with the id of an event that is no command is refused', async () => {
    const job = await openJob(server.app)
    const reply = await send(server.app, job.staff_token, firstAnswer(job.view), DESK, { id: job.events[1]?.id ?? '' })
    expectProblem(reply, 400, 'REQUEST_UNREADABLE')
  })

  test('whose further ids are taken is refused, and the job goes on', async () => {
    const job = await openJob(server.app)
    const id = newId('taken')
    await send(server.app, job.staff_token, firstAnswer(job.view), DESK, { id: `${id}-1` })
    for (const command of [{ type: 'undo' }, { type: 'stop' }] as const) {
      const reply = await send(server.app, job.staff_token, command, DESK, { id })
      expect([200, 400]).toContain(reply.status)
    }
    expect((await server.log.verify(job.job)).ok).toBe(true)
  })

  test('for a step that is gone brings what is offered now, and the lines the caller did not know', async () => {
    const job = await openJob(server.app)
    const first = await send(server.app, job.staff_token, firstAnswer(job.view))
    const late = envelopeOf(firstAnswer(job.view))
    const reply = await ask(server.app, 'POST', `/api/jobs/${job.staff_token}/commands?after=2`, late)
    expectProblem(reply, 409, 'JOB_PLACE_GONE')
    expect(reply.body.details.view?.step?.place).toBe(first.body.view.step?.place)
    expect(reply.body.details.events).toEqual(first.body.events)
    expect(reply.body.details.acks).toEqual(first.body.acks)
  })

  test('from somebody who has not joined is refused', async () => {
    const job = await openJob(server.app)
    expectProblem(await send(server.app, job.staff_token, firstAnswer(job.view), { ...DESK, id: 'a-stranger' }), 403, 'JOB_NOT_JOINED')
  })

  test('that changes an answer nobody gave is refused', async () => {
    const job = await openJob(server.app)
    const key = '0|overheating.nowhere#1'
    expectProblem(await send(server.app, job.staff_token, { type: 'change', key, outcome: 'yes' }), 409, 'JOB_PLACE_GONE')
    expectProblem(await send(server.app, job.staff_token, { type: 'undo' }), 409, 'JOB_NOTHING_TO_UNDO')
  })

  test.each(['constructor', 'toString', 'has-own-property', 'proto'])(
    'that names %s as an outcome, a flag, a test or a fact is refused',
    async (slug) => {
      const job = await openJob(server.app)
      const lower = slug.toLowerCase()
      const commands: Command[] = [
        { ...firstAnswer(job.view), outcome: lower },
        { type: 'red-flag', flag: lower },
        { type: 'take-test', test: lower },
        { type: 'state-fact', slug: lower, value: 'x', source: 'told' },
        { type: 'answer', place: stepOf(job.view).place, not_done: lower },
      ]
      for (const command of commands) {
        const reply = await send(server.app, job.staff_token, command)
        expect([command.type, reply.status]).toEqual([command.type, 422])
      }
    },
  )
})

describe('a reading', () => {
  let job: Body
  let view: JobView
  beforeAll(async () => {
    job = await openJob(server.app)
    const { engine } = testEditions().current
    view = await sendAll(
      server.app,
      job,
      commandsTo(engine, job, DESK, (step) => step.readings.length > 0),
    )
  })

  test.each<[string, string]>([
    ['nonsense', 'CALC_NOT_A_NUMBER'],
    ['', 'JOB_ANSWER_INCOMPLETE'],
    [' ', 'JOB_ANSWER_INCOMPLETE'],
    ['NaN', 'CALC_NOT_A_NUMBER'],
    ['Infinity', 'CALC_NOT_A_NUMBER'],
    ['-1000000000', 'CALC_INPUT_OUT_OF_RANGE'],
    ['1000000000', 'CALC_INPUT_OUT_OF_RANGE'],
    ['1e999', 'CALC_NOT_A_NUMBER'],
    ['0x10', 'CALC_NOT_A_NUMBER'],
    ['12 12', 'CALC_NOT_A_NUMBER'],
    ['\u0000', 'CALC_NOT_A_NUMBER'],
    ['\u{1F6C1}', 'CALC_NOT_A_NUMBER'],
  ])('typed as %j is refused in words, and scores nothing', async (typed, code) => {
    const step = stepOf(view)
    const readings = Object.fromEntries(step.readings.map((field) => [field.name, { typed, unit: field.units[0] ?? '' }]))
    const reply = await send(server.app, job.staff_token, { type: 'answer', place: step.place, readings })
    expect([typed, reply.status]).toEqual([typed, 422])
    // The exact code of a number that cannot be is the core's to choose; it is one of these families.
    expect(reply.body.code).toMatch(code.startsWith('JOB') ? /^JOB_ANSWER_INCOMPLETE$/ : /^CALC_/)
    const now = await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/view?person=${DESK.id}`)
    expect(now.body).toMatchObject({ step: { place: step.place } })
  })

  test('in a unit that is none is refused', async () => {
    const step = stepOf(view)
    const readings = Object.fromEntries(step.readings.map((field) => [field.name, { typed: '38', unit: 'furlong' }]))
    const reply = await send(server.app, job.staff_token, { type: 'answer', place: step.place, readings })
    expect([reply.status, reply.body.code]).toEqual([422, 'CALC_UNIT_UNKNOWN'])
  })
})

describe('two phones at once', () => {
  test('one answer counts, the other is told what is offered now', async () => {
    const job = await openJob(server.app)
    const replies = await Promise.all(
      ['phone-one', 'phone-two'].map((device) => send(server.app, job.staff_token, firstAnswer(job.view), DESK, { device })),
    )
    expect(replies.map((reply) => reply.status).toSorted()).toEqual([200, 409])
    const loser = replies.find((reply) => reply.status === 409)
    const winner = replies.find((reply) => reply.status === 200)
    expect(loser?.body.code).toBe('JOB_PLACE_GONE')
    expect(loser?.body.details.view?.step?.place).toBe(winner?.body.view.step?.place)
  })

  test('the same command from one phone twice at once counts once', async () => {
    const job = await openJob(server.app)
    const envelope = envelopeOf(firstAnswer(job.view))
    const url = `/api/jobs/${job.staff_token}/commands`
    const replies = await Promise.all(Array.from({ length: 6 }, () => ask(server.app, 'POST', url, envelope)))
    expect(replies.map((reply) => reply.status)).toEqual([200, 200, 200, 200, 200, 200])
    expect(replies.filter((reply) => !reply.body.repeat)).toHaveLength(1)
    expect(new Set(replies.map((reply) => JSON.stringify(reply.body.acks))).size).toBe(1)
  })
})

test('a clock set back neither stops a job nor turns its times round', async () => {
  const job = await openJob(server.app)
  const first = await send(server.app, job.staff_token, firstAnswer(job.view))
  server.clock.pass(-3 * 24 * 3600 * 1000)
  const second = await send(server.app, job.staff_token, firstAnswer(first.body.view))
  server.clock.set(0)
  const third = await send(server.app, job.staff_token, firstAnswer(second.body.view))
  expect([second.status, third.status]).toEqual([200, 200])
  expect((await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/view?person=${DESK.id}`)).status).toBe(200)
  const { events } = (await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/events`)).body
  const times = events.filter((event) => event.device === `phone-${DESK.id}`).map((event) => event.at)
  expect(times).toEqual(times.toSorted((a, b) => a - b))
  server.clock.set(Date.UTC(2026, 2, 3, 12, 0))
})

test('a full disk is said in words, what was acknowledged stays, and with room again the job goes on', async () => {
  const folder = createFolder()
  let makeRoom = (): void => undefined
  const open = (path: string): Driver => {
    const driver = openDriver(path)
    driver.exec('PRAGMA max_page_count = 40')
    makeRoom = () => driver.exec('PRAGMA max_page_count = 1000000')
    return driver
  }
  const small = await createTestServer({ log: valueOf(openSqliteLog({ dataDir: folder.path, now: () => 1, open })) })
  const job = await openJob(small.app)
  const state = async (volume: number): Promise<Reply> =>
    await send(small.app, job.staff_token, {
      type: 'state-fact',
      slug: 'volume',
      value: { typed: String(volume), unit: 'gal' },
      source: 'told',
    })
  let acknowledged = 2
  let reply = await state(300)
  for (let volume = 301; reply.status === 200 && volume < 700; volume += 1) {
    acknowledged += reply.body.acks.length
    reply = await state(volume)
  }
  expectProblem(reply, 507, 'STORE_FULL')
  expect(acknowledged).toBeGreaterThan(10)
  expectProblem(await ask(small.app, 'POST', '/api/jobs', { ...OPENING, person: DESK }), 507, 'STORE_FULL')
  expect((await ask(small.app, 'GET', `/api/jobs/${job.staff_token}/events`)).body.events).toHaveLength(acknowledged)
  expect((await ask(small.app, 'GET', `/api/jobs/${job.staff_token}/view?person=${DESK.id}`)).status).toBe(200)
  expect((await small.log.verify(job.job)).ok).toBe(true)
  makeRoom()
  expect((await state(305)).status).toBe(200)
  expect((await ask(small.app, 'GET', '/readyz')).status).toBe(200)
  await small.close()
  folder.remove()
})
