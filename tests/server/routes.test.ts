// Every route once as it is meant to be used, on the real engine, each reply compared with its schema.
// What is refused stands in bad-input.test.ts and access.test.ts; the pages in pages.test.ts.
import { gunzipSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Command } from '#graphs/contract'
import { DESK, ask, envelopeOf, firstAnswer, OPENING, openJob, send, TECH } from './client.ts'
import { createTestServer, testEdition } from './edition.ts'
import type { TestServer } from './edition.ts'
import { newId } from './sample-events.ts'

let server: TestServer
beforeAll(async () => {
  server = await createTestServer({
    writeNote: ({ voice, format, events }) => (format === 'json' ? `{"voice":"${voice}"}` : `<p>${voice} ${events.length}</p>`),
  })
})
afterAll(async () => await server.close())

describe('opening', () => {
  test('gives the job, its links, its first events with seqs and hashes, and the first step', async () => {
    const reply = await ask(server.app, 'POST', '/api/jobs', { ...OPENING, person: DESK })
    expect(reply.status).toBe(201)
    expect(reply.body.events.map((event) => event.type)).toEqual(['job-opened', 'person-joined'])
    expect(reply.body.acks.map((ack) => ack.seq)).toEqual([1, 2])
    expect(reply.body.view.step).toBeDefined()
    expect(reply.body.short).toMatch(/^[2-9A-Z]{3}-[2-9A-Z]{3}$/)
    // 192 random bits.
    for (const token of [reply.body.staff_token, reply.body.homeowner_token]) expect(Buffer.from(token, 'base64url')).toHaveLength(24)
  })

  test('twice with the same id opens one job, and both links work', async () => {
    const order = { ...OPENING, person: DESK, id: newId('an-opening-made-by-a-phone') }
    const first = await ask(server.app, 'POST', '/api/jobs', order)
    const again = await ask(server.app, 'POST', '/api/jobs', order)
    expect(again.status).toBe(201)
    expect(again.body.repeat).toBe(true)
    expect(again.body.job).toBe(first.body.job)
    expect(again.body.acks).toEqual(first.body.acks)
    for (const { staff_token } of [first.body, again.body]) {
      expect((await ask(server.app, 'GET', `/api/jobs/${staff_token}/events`)).body.events).toHaveLength(2)
    }
  })

  test('tokens are nowhere in the store', async () => {
    const job = await openJob(server.app)
    const read = await server.log.read(job.job)
    expect(JSON.stringify(read)).not.toContain(job.staff_token)
    expect(await server.log.findLink(job.staff_token)).toBeUndefined()
  })
})

test('a recheck lists the verdicts that would be given otherwise today: none on a job that was just opened', async () => {
  const job = await openJob(server.app)
  const reply = await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/recheck`)
  expect([reply.status, reply.body]).toEqual([200, { verdicts: [] }])
})

describe('a command', () => {
  test('is decided, written and acknowledged, and the next step is shown', async () => {
    const job = await openJob(server.app)
    const reply = await send(server.app, job.staff_token, firstAnswer(job.view))
    expect(reply.status).toBe(200)
    expect(reply.body.repeat).toBe(false)
    expect(reply.body.events[0]?.type).toBe('answer-given')
    expect(reply.body.acks[0]?.seq).toBe(3)
    expect(reply.body.view.trail).toHaveLength(1)
    expect(reply.body.view.step?.place).not.toBe(job.view.step?.place)
  })

  test('sent five times counts once and is answered the same', async () => {
    const job = await openJob(server.app)
    const envelope = envelopeOf(firstAnswer(job.view))
    const url = `/api/jobs/${job.staff_token}/commands`
    const first = await ask(server.app, 'POST', url, envelope)
    for (let time = 0; time < 4; time += 1) {
      const again = await ask(server.app, 'POST', url, envelope)
      expect(again.status).toBe(200)
      expect(again.body.repeat).toBe(true)
      expect(again.body.acks).toEqual(first.body.acks)
      expect(again.body.events).toEqual(first.body.events)
    }
    expect((await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/events`)).body.events).toHaveLength(2 + first.body.events.length)
  })

  test('can leave the view out of the reply', async () => {
    const job = await openJob(server.app)
    const reply = await ask(server.app, 'POST', `/api/jobs/${job.staff_token}/commands?view=no`, envelopeOf(firstAnswer(job.view)))
    expect(reply.body).not.toHaveProperty('view')
    expect(reply.body.acks).toHaveLength(reply.body.events.length)
  })

  test('an answer is taken back and given anew', async () => {
    const job = await openJob(server.app)
    await send(server.app, job.staff_token, firstAnswer(job.view))
    const undone = await send(server.app, job.staff_token, { type: 'undo' })
    expect(undone.body.view.step?.place).toBe(job.view.step?.place)
    expect((await send(server.app, job.staff_token, firstAnswer(undone.body.view))).status).toBe(200)
  })
})

describe('looking at a job', () => {
  test('shows the step to the person who may do it', async () => {
    const job = await openJob(server.app)
    const reply = await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/view?person=${DESK.id}`)
    expect(reply.status).toBe(200)
    expect(reply.headers['cache-control']).toBe('no-store')
    expect(reply.body).toEqual(job.view)
  })

  test('with a device shows whether that phone holds the tub', async () => {
    const job = await openJob(server.app, TECH)
    expect((await send(server.app, job.staff_token, { type: 'arrive' }, TECH)).body.view.holds).toBe(true)
    const holds = async (device: string): Promise<unknown> =>
      (await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/view?${new URLSearchParams({ person: TECH.id, device })}`)).body
    expect(await holds(`phone-${TECH.id}`)).toMatchObject({ holds: true })
    expect(await holds('second-phone-of-the-test')).toMatchObject({ holds: false })
  })

  test('without a person shows what a homeowner sees', async () => {
    const job = await openJob(server.app)
    const reply = await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/view`)
    expect(reply.status).toBe(200)
    expect(reply.body).toMatchObject({ facts: [], can_arrive: false })
  })

  test('the log is read from any seq on, each event with its acknowledgement', async () => {
    const job = await openJob(server.app)
    const answered = await send(server.app, job.staff_token, firstAnswer(job.view))
    const all = await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/events`)
    expect(all.body.events).toEqual([...job.events, ...answered.body.events])
    expect(all.body.acks).toEqual([...job.acks, ...answered.body.acks])
    expect(all.body.head).toEqual(all.body.acks.at(-1))
    const rest = await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/events?after=2`)
    expect(rest.body.events).toEqual(answered.body.events)
    const none = await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/events?after=${all.body.head.seq}`)
    expect(none.body).toMatchObject({ events: [], head: all.body.head })
  })

  test('recent jobs are listed with a title and without names or words', async () => {
    const job = await openJob(server.app)
    const list = await ask(server.app, 'GET', '/api/jobs')
    expect(list.body.jobs.find((row) => row.job === job.job)).toMatchObject({ short: job.short, state: 'open', title: job.view.title })
    for (const words of [DESK.name, OPENING.words, job.staff_token]) expect(list.text).not.toContain(words)
  })

  test('a listed job gets new links on this machine', async () => {
    const job = await openJob(server.app)
    const links = await ask(server.app, 'POST', `/api/jobs/${job.job}/links`)
    expect(links.status).toBe(201)
    expect((await ask(server.app, 'GET', `/api/jobs/${links.body.staff_token}/events`)).body.job).toBe(job.job)
    expect((await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/events`)).status).toBe(200)
  })

  test('the note is handed out in every voice and format', async () => {
    const job = await openJob(server.app)
    for (const [format, type] of [
      ['html', 'text/html'],
      ['md', 'text/markdown'],
      ['txt', 'text/plain'],
      ['json', 'application/json'],
    ] as const) {
      for (const voice of ['customer', 'office', 'next-technician', 'warranty']) {
        const reply = await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/note?voice=${voice}&format=${format}`)
        expect(reply.status).toBe(200)
        expect(reply.type).toContain(type)
        expect(reply.headers['content-security-policy']).toMatch(/^default-src 'none'; style-src 'self';/)
        expect(reply.headers['content-security-policy']).not.toMatch(/unsafe|data:|\*/)
        expect(reply.text).toBe(format === 'json' ? `{"voice":"${voice}"}` : `<p>${voice} 2</p>`)
      }
    }
  })
})

describe('erasing', () => {
  test('takes names and words out of everything the server hands out, and the job goes on', async () => {
    const job = await openJob(server.app, { ...DESK, name: 'Erasable Person' })
    await send(server.app, job.staff_token, { ...firstAnswer(job.view), words: 'erasable words' } as Command)
    const erased = await ask(server.app, 'DELETE', `/api/jobs/${job.staff_token}/content`)
    expect(erased.body).toEqual({ erased: 3 })
    for (const path of [`view?person=${DESK.id}`, 'events']) {
      const reply = await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/${path}`)
      expect(reply.status).toBe(200)
      for (const words of ['Erasable Person', 'erasable words', OPENING.words]) expect(reply.text).not.toContain(words)
    }
    const view = (await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/view?person=${DESK.id}`)).body as unknown as typeof job.view
    expect((await send(server.app, job.staff_token, firstAnswer(view))).status).toBe(200)
    expect((await server.log.verify(job.job)).ok).toBe(true)
  })
})

describe('editions and symptoms', () => {
  test('an edition comes byte by byte and may be kept for ever', async () => {
    const list = await ask(server.app, 'GET', '/api/editions')
    expect(list.body).toMatchObject({ current: 1, editions: [{ number: 1, hash: 'test' }] })
    const edition = await ask(server.app, 'GET', '/api/editions/1')
    expect(edition.text).toBe(JSON.stringify(testEdition()))
    expect(edition.headers['cache-control']).toContain('immutable')
    const packed = await server.app.inject({ url: '/api/editions/1', headers: { 'accept-encoding': 'gzip, br' } })
    expect(packed.headers['content-encoding']).toBe('gzip')
    expect(gunzipSync(packed.rawPayload).toString()).toBe(edition.text)
    expect(packed.rawPayload.length).toBeLessThan(edition.text.length / 4)
    const again = await ask(server.app, 'GET', '/api/editions/1', undefined, { 'if-none-match': '"test"' })
    expect(again.status).toBe(304)
    expect((await ask(server.app, 'GET', '/api/editions/77')).status).toBe(404)
  })

  test('words are matched to complaints, and red words are named', async () => {
    const reply = await ask(server.app, 'POST', '/api/symptoms', { words: 'the water is way too hot and there is smoke' })
    const body = reply.body as unknown as { complaints: { complaint: string }[]; red_flags: { slug: string; word: string }[] }
    expect(body.complaints[0]).toMatchObject({ complaint: 'hotter-than-set', sure: true })
    expect(body.red_flags).toContainEqual(expect.objectContaining({ slug: 'burning', word: 'smoke' }))
  })
})

describe('health', () => {
  test('alive, ready, and counters without any id', async () => {
    const job = await openJob(server.app)
    await send(server.app, job.staff_token, firstAnswer(job.view), DESK)
    expect((await ask(server.app, 'GET', '/livez')).body).toEqual({ alive: true })
    expect((await ask(server.app, 'GET', '/readyz')).body).toEqual({ ready: true, edition: 1 })
    const metrics = await ask(server.app, 'GET', '/metrics')
    expect(metrics.text).toMatch(/^backwrench_answers_total [1-9]/m)
    expect(metrics.text).toContain('route="/api/jobs/:token/commands",status="200"')
    for (const secret of [job.staff_token, job.job]) expect(metrics.text).not.toContain(secret)
  })
})

describe('the description of the API', () => {
  test('is OpenAPI 3.1 and names every route with its replies', async () => {
    const reply = await ask(server.app, 'GET', '/api/openapi.json')
    const description = JSON.parse(reply.text) as {
      openapi: string
      paths: { [path: string]: { [method: string]: { responses: object } } }
      components: { schemas: object }
    }
    expect(description.openapi).toMatch(/^3\.1/)
    expect(Object.keys(description.paths).toSorted()).toEqual([
      '/api/editions',
      '/api/editions/{number}',
      '/api/editions/{number}/pictures/{block}',
      '/api/jobs',
      '/api/jobs/{job}/links',
      '/api/jobs/{token}/commands',
      '/api/jobs/{token}/content',
      '/api/jobs/{token}/events',
      '/api/jobs/{token}/note',
      '/api/jobs/{token}/past',
      '/api/jobs/{token}/recheck',
      '/api/jobs/{token}/view',
      '/api/symptoms',
      '/livez',
      '/metrics',
      '/readyz',
    ])
    expect(Object.keys(description.components.schemas)).toEqual(expect.arrayContaining(['JobView', 'JobEvent', 'Envelope', 'Problem']))
  })
})

test('no log line holds a token, a name or a word', async () => {
  const job = await openJob(server.app, { ...TECH, name: 'Unlogged Person' })
  await send(server.app, job.staff_token, { ...firstAnswer(job.view), words: 'unlogged words' } as Command, TECH)
  await ask(server.app, 'GET', `/job/${job.staff_token}`)
  await ask(server.app, 'GET', `/nowhere/${job.staff_token}`)
  await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/nowhere`)
  expect(server.printed()).toContain('/api/jobs/:token/commands')
  for (const secret of [job.staff_token, job.homeowner_token, 'Unlogged', 'unlogged', OPENING.words])
    expect(server.printed()).not.toContain(secret)
})
