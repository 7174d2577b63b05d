// Who gets what: staff links, homeowner links, this machine only, and pages of other sites.
// The shape of replies that are given stands in routes.test.ts.
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Command } from '#graphs/contract'
import { ask, DESK, envelopeOf, firstAnswer, HOME, openJob, send, TECH } from './client.ts'
import type { Body, Someone } from './client.ts'
import { createTestServer } from './edition.ts'
import type { TestServer } from './edition.ts'

let server: TestServer
let job: Body
beforeAll(async () => {
  server = await createTestServer({ writeNote: ({ voice, link }) => `note for ${voice}, ${link ?? 'no link'}` })
})
afterAll(async () => await server.close())

async function openWithHomeowner(): Promise<Body> {
  const opened = await openJob(server.app)
  const joined = await send(server.app, opened.homeowner_token, { type: 'join', person: HOME, on_site: false }, HOME)
  expect(joined.status).toBe(200)
  return opened
}

describe('a homeowner link', () => {
  test('never reaches a staff route', async () => {
    job = await openWithHomeowner()
    const token = job.homeowner_token
    const routes = [
      ['GET', `/api/jobs/${token}/events`],
      ['GET', `/api/jobs/${token}/recheck`],
      ['DELETE', `/api/jobs/${token}/content`],
      ['GET', `/api/jobs/${token}/note?voice=office`],
      ['GET', `/api/jobs/${token}/note?voice=next-technician`],
      ['GET', `/api/jobs/${token}/note?voice=warranty`],
    ] as const
    for (const [method, url] of routes) {
      const reply = await ask(server.app, method, url)
      expect([url, reply.status, reply.body.code]).toEqual([url, 403, 'AUTH_STAFF_ONLY'])
      expect(reply.type).toContain('application/problem+json')
    }
    const batch = { after: 0, items: [{ envelope: envelopeOf({ type: 'undo' }), events: job.events }] }
    expect((await ask(server.app, 'POST', `/api/jobs/${token}/events`, batch)).body.code).toBe('AUTH_STAFF_ONLY')
  })

  test('reads the note in the customer voice', async () => {
    const reply = await ask(server.app, 'GET', `/api/jobs/${job.homeowner_token}/note`)
    expect([reply.status, reply.text]).toEqual([200, `note for customer, http://localhost:80/h/${job.homeowner_token}`])
    expect((await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/note`)).text).toBe('note for customer, no link')
  })

  test.each<[string, Someone, Partial<{ toldBy: 'homeowner' }>]>([
    ['as a dispatcher who joined', DESK, {}],
    ['as a dispatcher told by a homeowner', DESK, { toldBy: 'homeowner' }],
    ['as a stranger who calls himself a technician', TECH, {}],
    ['as a homeowner with the id of the dispatcher', { ...HOME, id: DESK.id }, {}],
  ])('does not answer %s', async (_name, person, more) => {
    const opened = await openWithHomeowner()
    const reply = await send(server.app, opened.homeowner_token, firstAnswer(opened.view), person, more)
    expect([reply.status, reply.body.code]).toEqual([403, 'AUTH_PERSON_NOT_YOURS'])
  })

  test.each<[string, Command]>([
    ['a technician', { type: 'join', person: { ...HOME, role: 'technician' }, on_site: false }],
    ['a homeowner with a sign-off', { type: 'join', person: { ...HOME, signed: ['energized-work'] }, on_site: false }],
    ['the dispatcher, renamed', { type: 'join', person: { ...HOME, id: DESK.id }, on_site: false }],
  ])('lets nobody join as %s', async (_name, command) => {
    const opened = await openJob(server.app)
    const person = command.type === 'join' ? { ...HOME, id: command.person.id } : HOME
    const reply = await send(server.app, opened.homeowner_token, command, person)
    expect([reply.status, reply.body.code]).toEqual([403, 'AUTH_PERSON_NOT_YOURS'])
  })

  test.each<Command>([
    { type: 'arrive' },
    { type: 'take-tub' },
    { type: 'take-test', test: 'sensor-resistance' },
    { type: 'mend', what: 'proof-is-gone' },
    { type: 'clear-hazard', hazard: 'shock', how: 'electrician' },
    { type: 'note-photo', name: 'board' },
  ])('does not ask for $type', async (command) => {
    const opened = await openWithHomeowner()
    expect((await send(server.app, opened.homeowner_token, command, HOME)).body.code).toBe('AUTH_STAFF_ONLY')
  })

  test('answers, and gets the view without the log', async () => {
    const opened = await openWithHomeowner()
    const view = await ask(server.app, 'GET', `/api/jobs/${opened.homeowner_token}/view?person=${HOME.id}`)
    const reply = await send(server.app, opened.homeowner_token, firstAnswer(view.body as unknown as Body['view']), HOME)
    expect(reply.status).toBe(200)
    expect(reply.body.events).toEqual([])
    expect(reply.body.acks.length).toBeGreaterThan(0)
    expect(reply.body.view.step).toBeDefined()
  })

  test('sees with the eyes of a homeowner, whoever is named', async () => {
    const opened = await openJob(server.app, TECH)
    const staff = await ask(server.app, 'GET', `/api/jobs/${opened.staff_token}/view?person=${TECH.id}`)
    expect(staff.body).toMatchObject({ can_arrive: true })
    for (const person of [`?person=${TECH.id}`, '?person=somebody-else', '']) {
      const reply = await ask(server.app, 'GET', `/api/jobs/${opened.homeowner_token}/view${person}`)
      expect(reply.status).toBe(200)
      expect(reply.body).toMatchObject({ can_arrive: false, facts: [], holds: false })
      expect(reply.body).not.toHaveProperty('step')
    }
  })

  test('gets the controls of an answer of its own, and of nothing that belongs to others', async () => {
    const opened = await openWithHomeowner()
    const view = (await ask(server.app, 'GET', `/api/jobs/${opened.homeowner_token}/view?person=${HOME.id}`))
      .body as unknown as Body['view']
    const command = firstAnswer(view)
    await send(server.app, opened.homeowner_token, command, HOME)
    const past = async (token: string, key: string, person: string): Promise<Awaited<ReturnType<typeof ask>>> =>
      await ask(server.app, 'GET', `/api/jobs/${token}/past?${new URLSearchParams({ key, person })}`)
    const own = await past(opened.homeowner_token, command.place, HOME.id)
    expect([own.status, own.body]).toMatchObject([200, { answer: { outcome: command.outcome }, step: { key: command.place } }])
    expect((await past(opened.staff_token, command.place, DESK.id)).status).toBe(200)
    for (const key of ['0|overheating.nowhere#1', '0|make-dead.prove#1']) {
      const refused = await past(opened.homeowner_token, key, HOME.id)
      expect([refused.status, refused.body.code]).toEqual([409, 'JOB_PLACE_GONE'])
    }
    const changed = await send(
      server.app,
      opened.homeowner_token,
      { type: 'change', key: command.place, not_done: 'not-known', words: 'nobody can tell' },
      HOME,
    )
    expect(changed.status).toBe(200)
  })

  test('gets no controls of what a technician answered', async () => {
    const opened = await openWithHomeowner()
    await send(server.app, opened.staff_token, { type: 'join', person: TECH, on_site: false }, TECH)
    const view = (await ask(server.app, 'GET', `/api/jobs/${opened.staff_token}/view?person=${TECH.id}`)).body as unknown as Body['view']
    const command = firstAnswer(view)
    await send(server.app, opened.staff_token, command, TECH)
    const url = `/api/jobs/${opened.homeowner_token}/past?${new URLSearchParams({ key: command.place, person: TECH.id })}`
    expect((await ask(server.app, 'GET', url)).body.code).toBe('JOB_PLACE_GONE')
    const desk = `/api/jobs/${opened.staff_token}/past?${new URLSearchParams({ key: command.place, person: DESK.id })}`
    expect((await ask(server.app, 'GET', desk)).body.code).toBe('JOB_NOT_FOR_ROLE')
  })

  test('is refused with the view alone, never with lines of the log', async () => {
    const opened = await openWithHomeowner()
    const gone = { ...firstAnswer(opened.view), place: '0|overheating.nowhere#1' }
    const reply = await ask(server.app, 'POST', `/api/jobs/${opened.homeowner_token}/commands?after=0`, envelopeOf(gone, HOME))
    expect([reply.status, reply.body.code]).toEqual([409, 'JOB_PLACE_GONE'])
    expect(reply.body.details.view).toBeDefined()
    expect(reply.body.details).not.toHaveProperty('events')
  })
})

describe('a link that opens nothing', () => {
  test.each(['A'.repeat(32), `${'A'.repeat(31)}_`, 'A'.repeat(128), 'short', '%00', '%F0%9F%9B%81'])(
    'is an unknown job: %s',
    async (token) => {
      for (const [method, path] of [
        ['GET', 'view'],
        ['GET', 'events'],
        ['GET', 'note'],
        ['DELETE', 'content'],
      ] as const) {
        const reply = await ask(server.app, method, `/api/jobs/${token}/${path}`)
        expect([reply.status, reply.body.code]).toEqual([404, 'JOB_UNKNOWN'])
      }
      expect((await send(server.app, token, { type: 'undo' })).body.code).toBe('JOB_UNKNOWN')
    },
  )

  test('is not the id of the job, nor its short id, nor the hash of a link', async () => {
    const opened = await openJob(server.app)
    for (const guess of [opened.job, opened.short]) {
      expect((await ask(server.app, 'GET', `/api/jobs/${guess}/view`)).body.code).toBe('JOB_UNKNOWN')
    }
  })
})

describe('the list of jobs', () => {
  const elsewhere: [string, { remoteAddress?: string; headers?: { [name: string]: string } }][] = [
    ['from another machine', { remoteAddress: '192.0.2.7' }],
    ['through a proxy', { headers: { 'x-forwarded-for': '192.0.2.7' } }],
    ['under a name that another site points here', { headers: { host: 'elsewhere.example' } }],
  ]
  test.each(elsewhere)('is not shown %s', async (_name, more) => {
    const opened = await openJob(server.app)
    for (const [method, url] of [
      ['GET', '/api/jobs'],
      ['POST', `/api/jobs/${opened.job}/links`],
    ] as const) {
      const response = await server.app.inject({ method, url, ...more })
      expect([response.statusCode, response.json<Body>().code]).toEqual([403, 'AUTH_LOOPBACK_ONLY'])
    }
  })
})

describe('a page of another site', () => {
  test.each([
    { 'sec-fetch-site': 'cross-site' },
    { 'sec-fetch-site': 'same-site' },
    { origin: 'https://elsewhere.example' },
    { origin: 'null' },
  ])('opens and answers nothing: %j', async (headers) => {
    const opened = await openJob(server.app)
    const url = `/api/jobs/${opened.staff_token}/commands`
    const reply = await ask(server.app, 'POST', url, envelopeOf(firstAnswer(opened.view)), headers)
    expect([reply.status, reply.body.code]).toEqual([403, 'AUTH_FOREIGN_PAGE'])
    expect((await ask(server.app, 'GET', `/api/jobs/${opened.staff_token}/events`)).body.events).toHaveLength(2)
  })

  test.each([{ 'sec-fetch-site': 'same-origin' }, { origin: 'http://localhost:80', host: 'localhost:80' }, {}])(
    'is not what our own page or a program looks like: %j',
    async (headers) => {
      const opened = await openJob(server.app)
      const url = `/api/jobs/${opened.staff_token}/commands`
      expect((await ask(server.app, 'POST', url, envelopeOf(firstAnswer(opened.view)), headers)).status).toBe(200)
    },
  )
})
