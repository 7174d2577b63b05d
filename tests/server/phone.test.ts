// A staff phone that runs the engine itself: it decides on its own copy, sends later, and is decided again.
// One command at a time, without an engine on the phone, is routes.test.ts.
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Engine, JobState } from '#graphs'
import type { Command, Envelope, JobEvent } from '#graphs/contract'
import { ask, DESK, envelopeOf, firstAnswer, openJob, send } from './client.ts'
import type { Body, Reply, Someone } from './client.ts'
import { createTestServer, testEditions } from './edition.ts'
import type { TestServer } from './edition.ts'

let server: TestServer
beforeAll(async () => {
  server = await createTestServer()
})
afterAll(async () => await server.close())

type Sent = { envelope: Envelope; events: JobEvent[] }

/** A copy of the log on a phone, with answers that were not sent yet. */
function createPhone(job: Body, person: Someone = DESK, device = 'phone-of-dana') {
  const engine: Engine = testEditions().current.engine
  const start = engine.fold(job.events)
  if (start === undefined) throw new Error('no events')
  let state: JobState = start
  let now = server.clock.now()
  const outbox: Sent[] = []
  return {
    outbox,
    view: () => engine.view(state, person.id, now),
    tap: (command: Command): Sent => {
      now += 1000
      const envelope = envelopeOf(command, person, { device })
      const decided = engine.decide(state, envelope, { now })
      if (!decided.ok) throw new Error(JSON.stringify(decided.problem))
      state = decided.value.reduce<JobState>(engine.evolve, state)
      const sent = { envelope, events: decided.value }
      outbox.push(sent)
      return sent
    },
    flush: async (after: number, items: readonly Sent[] = outbox): Promise<Reply> =>
      await ask(server.app, 'POST', `/api/jobs/${job.staff_token}/events`, { after, items }),
  }
}

async function logOf(job: Body): Promise<JobEvent[]> {
  return (await ask(server.app, 'GET', `/api/jobs/${job.staff_token}/events`)).body.events
}

describe('a batch of a phone', () => {
  test('is taken in with the ids and times of the phone', async () => {
    const job = await openJob(server.app)
    const phone = createPhone(job)
    for (let tap = 0; tap < 4; tap += 1) phone.tap(firstAnswer(phone.view()))
    const reply = await phone.flush(2)
    expect(reply.status).toBe(200)
    expect(reply.body.items.map((item) => [item.taken, item.agreed, item.repeat])).toEqual(
      Array.from({ length: 4 }, () => [true, true, false]),
    )
    const sent = phone.outbox.flatMap((item) => item.events)
    const stored = (await logOf(job)).slice(2)
    expect(stored.map(({ seq: _seq, receivedAt: _receivedAt, ...event }) => event)).toEqual(sent)
    expect(reply.body.items.flatMap((item) => item.acks ?? []).map((ack) => ack.seq)).toEqual(stored.map((event) => event.seq))
    expect(reply.body.head).toEqual(reply.body.items.at(-1)?.acks?.at(-1))
    expect(reply.body.items[0]).not.toHaveProperty('events')
  })

  test('sent again after the reply was lost changes nothing and is answered the same', async () => {
    const job = await openJob(server.app)
    const phone = createPhone(job)
    for (let tap = 0; tap < 3; tap += 1) phone.tap(firstAnswer(phone.view()))
    const first = await phone.flush(2)
    const before = await logOf(job)
    for (let time = 0; time < 3; time += 1) {
      const again = await phone.flush(2)
      expect(again.status).toBe(200)
      expect(again.body.items.every((item) => item.repeat === true)).toBe(true)
      expect(again.body.items.map((item) => item.acks)).toEqual(first.body.items.map((item) => item.acks))
    }
    expect(await logOf(job)).toEqual(before)
  })

  test('half of which came through before is completed', async () => {
    const job = await openJob(server.app)
    const phone = createPhone(job)
    for (let tap = 0; tap < 4; tap += 1) phone.tap(firstAnswer(phone.view()))
    await phone.flush(2, phone.outbox.slice(0, 2))
    const reply = await phone.flush(2)
    expect(reply.body.items.map((item) => item.repeat)).toEqual([true, true, false, false])
    expect((await logOf(job)).length).toBe(2 + phone.outbox.flatMap((item) => item.events).length)
  })
})

describe('another phone was first', () => {
  test('the answer to a step that is gone is refused, with the lines missed and what is offered now', async () => {
    const job = await openJob(server.app)
    const phone = createPhone(job)
    const typed = phone.tap(firstAnswer(phone.view()))
    const other = await send(server.app, job.staff_token, firstAnswer(job.view))
    const reply = await phone.flush(2)
    expect([reply.status, reply.body.code]).toEqual([409, 'JOB_PLACE_GONE'])
    expect(reply.body.details.items).toEqual([expect.objectContaining({ id: typed.envelope.id, taken: false, code: 'JOB_PLACE_GONE' })])
    expect(reply.body.details.events).toEqual(other.body.events)
    expect(reply.body.details.acks).toEqual(other.body.acks)
    expect(reply.body.details.view?.step?.place).toBe(other.body.view.step?.place)
  })

  test('what still counts is taken, behind an item that does not', async () => {
    const job = await openJob(server.app)
    const phone = createPhone(job)
    const gone = phone.tap(firstAnswer(phone.view()))
    const flag = phone.tap({ type: 'red-flag', flag: 'burning' })
    await send(server.app, job.staff_token, firstAnswer(job.view))
    const reply = await phone.flush(2)
    expect(reply.status).toBe(409)
    expect(reply.body.details.items?.map((item) => [item.id, item.taken])).toEqual([
      [gone.envelope.id, false],
      [flag.envelope.id, true],
    ])
    expect((await logOf(job)).some((event) => event.type === 'hazard-seen' && event.id.startsWith(flag.envelope.id))).toBe(true)
  })

  test('a step that is still offered is taken, though the log went on', async () => {
    const job = await openJob(server.app)
    const phone = createPhone(job)
    phone.tap(firstAnswer(phone.view()))
    await send(server.app, job.staff_token, { type: 'state-fact', slug: 'volume', value: { typed: '340', unit: 'gal' }, source: 'told' })
    const reply = await phone.flush(2)
    expect(reply.status).toBe(200)
    expect(reply.body.items[0]).toMatchObject({ taken: true, agreed: true })
  })
})

describe('a phone that is not to be believed', () => {
  async function tampered(change: (item: Sent) => Sent, after = 2): Promise<{ reply: Reply; lines: number }> {
    const job = await openJob(server.app)
    const phone = createPhone(job)
    const item = change(phone.tap(firstAnswer(phone.view())))
    const reply = await phone.flush(after, [item])
    return { reply, lines: (await logOf(job)).length }
  }

  test('events other than the engine makes are refused and not written', async () => {
    const changes: ((event: JobEvent) => JobEvent)[] = [
      (event) => ({ ...event, by: { person: 'theo-tech', role: 'technician' } }),
      (event) => ({ ...event, visit: 7 }),
      (event) => ({ ...event, type: 'powered', body: { to: 'off' } }) as JobEvent,
      (event) => ({ ...event, body: { ...event.body, outcome: 'done-otherwise' } }) as JobEvent,
    ]
    for (const change of changes) {
      const { reply, lines } = await tampered((item) => ({ ...item, events: item.events.map((event) => change(event)) }))
      expect([reply.status, reply.body.code, lines]).toEqual([409, 'SYNC_DECISION_DIFFERS', 2])
    }
  })

  test('events too many are refused and not written', async () => {
    const proof = { type: 'proof-made', body: { prover: DESK.id, places: ['board'], witnesses: [] } }
    const { reply, lines } = await tampered((item) => {
      const extra = { ...item.events[0], id: `${item.envelope.id}-1`, ...proof } as JobEvent
      return { ...item, events: [...item.events, extra] }
    })
    expect([reply.status, reply.body.code, lines]).toEqual([409, 'SYNC_DECISION_DIFFERS', 2])
  })

  test('from a phone that is behind, the server writes what it decides itself and says so', async () => {
    const change = (item: Sent): Sent => ({ ...item, events: item.events.map((event) => ({ ...event, visit: 7 })) })
    const { reply, lines } = await tampered(change, 1)
    expect(reply.status).toBe(200)
    expect(reply.body.items[0]).toMatchObject({ taken: true, agreed: false })
    expect(reply.body.items[0]?.events?.map((event) => event.visit)).toEqual([0])
    expect(lines).toBeGreaterThan(2)
  })

  test('a batch that cannot be meant is refused whole', async () => {
    const changes: ((item: Sent) => Sent)[] = [
      (item) => ({ ...item, events: item.events.map((event) => ({ ...event, job: 'another-job' })) }),
      (item) => ({ ...item, events: item.events.map((event) => ({ ...event, id: 'another-id' })) }),
      (item) => ({ ...item, events: [...item.events, ...item.events] }),
      (item) => ({ ...item, events: [] }),
    ]
    for (const change of changes) {
      const { reply, lines } = await tampered(change)
      expect([reply.status, reply.body.code, lines]).toEqual([400, 'JOB_COMMAND_UNREADABLE', 2])
    }
  })

  test('a clock more than a day ahead is refused in words', async () => {
    const ahead = server.clock.now() + 3 * 24 * 3600 * 1000
    const { reply, lines } = await tampered((item) => ({ ...item, events: item.events.map((event) => ({ ...event, at: ahead })) }))
    expect([reply.status, reply.body.code, lines]).toEqual([409, 'SYNC_CLOCK_AHEAD', 2])
  })

  test('a clock set back is taken, and its times never run back in the log', async () => {
    const job = await openJob(server.app)
    const phone = createPhone(job)
    phone.tap(firstAnswer(phone.view()))
    const second = phone.tap(firstAnswer(phone.view()))
    for (const event of second.events) event.at -= 3600_000
    expect((await phone.flush(2)).status).toBe(200)
    const times = (await logOf(job)).slice(2).map((event) => event.at)
    expect(times).toEqual(times.toSorted((a, b) => a - b))
  })

  test('more than 50 items at once are refused', async () => {
    const job = await openJob(server.app)
    const phone = createPhone(job)
    const item = phone.tap(firstAnswer(phone.view()))
    expect(
      (
        await phone.flush(
          2,
          Array.from({ length: 51 }, () => item),
        )
      ).status,
    ).toBe(400)
  })
})
