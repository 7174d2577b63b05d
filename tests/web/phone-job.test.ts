// The job on the phone against a server in memory: written before sent, sent once, nothing refused dropped, others' lines taken in.
// The engine and the edition are the real ones; disk and network fail here on command.
import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { createEngine, foldLog } from '#graphs'
import type { Edition, JobState, Result } from '#graphs'
import type { Envelope, JobEvent, Person } from '#graphs/contract'
import { createPhoneJob } from '../../web/engine/phone-job.ts'
import type { PhoneDeps, PhoneJob } from '../../web/engine/phone-job.ts'
import { describeCommand } from '../../web/engine/phone-state.ts'
import { createMemoryStore } from '../../web/engine/store.ts'
import type { PhoneStore } from '../../web/engine/store.ts'
import type { Api } from '../../web/remote/api.ts'

const FOLDER = new URL('../../graphs/editions/', import.meta.url)
const { current } = JSON.parse(readFileSync(new URL('index.json', FOLDER), 'utf8')) as { current?: number }
const edition = JSON.parse(readFileSync(new URL(`${current ?? 1}.json`, FOLDER), 'utf8')) as Edition
const engine = createEngine(edition)
/** The same library, released once more. */
const newer = createEngine({ ...edition, number: edition.number + 1 })
const engines = new Map([engine, newer].map((each) => [each.edition.number, each]))
const START = Date.UTC(2026, 0, 15, 9)

const ash: Person = { id: 'person-ash', name: 'Ash (invented)', role: 'dispatcher', signed: [] }
const sam: Person = { id: 'person-sam', name: 'Sam (invented)', role: 'dispatcher', signed: [] }

type World = {
  readonly api: Api
  readonly log: JobEvent[]
  readonly asked: string[]
  now: number
  reach: 'yes' | 'no' | 'reply-lost'
  readonly direct: (person: Person, command: Envelope['command']) => void
}

function createWorld(): World {
  const asked: string[] = []
  const log: JobEvent[] = []
  const opened = engine.open(
    { flow: 'overheating', complaint: 'hotter-than-set', words: 'invented', person: ash },
    { job: 'job-of-the-test', short: 'ABC-DEF', device: 'office-device', channel: 'page', commandId: 'opening-of-the-test', now: START },
  )
  if (!opened.ok) throw new Error(opened.problem.message)
  addTo(log, opened.value)
  const world: World = {
    log,
    asked,
    now: START + 60_000,
    reach: 'yes',
    api: {} as Api,
    direct: (person, command) => {
      const id = `direct-${log.length}-${person.id}`
      const envelope: Envelope = { id, person: person.id, role: person.role, device: 'other-device', channel: 'page', command }
      const decided = decideOn(log, envelope, world.now)
      if (!decided.ok) throw new Error(decided.problem.message)
      addTo(log, decided.value)
    },
  }
  return Object.assign(world, { api: createApi(world) })
}

function addTo(log: JobEvent[], events: readonly JobEvent[]): void {
  for (const event of events) log.push({ ...event, seq: log.length + 1 })
}

function stateOf(log: readonly JobEvent[]): JobState {
  const folded = foldLog(log, (number) => engines.get(number))
  if (!folded.ok) throw new Error(folded.problem.message)
  return folded.value.state
}

function decideOn(log: readonly JobEvent[], envelope: Envelope, now: number): Result<JobEvent[]> {
  const state = stateOf(log)
  const { command } = envelope
  return (engines.get(command.type === 'carry-over' ? command.to : state.edition) ?? engine).decide(state, envelope, { now })
}

function createApi(world: World): Api {
  const { asked, log } = world
  const hash = (seq: number): string =>
    `hash ${log
      .slice(0, seq)
      .map((event) => event.id)
      .join(' ')}`
  return {
    view: async () => unreached(),
    past: async () => unreached(),
    command: async () => unreached(),
    edition: async (number) => {
      asked.push(`edition ${number}`)
      return world.reach === 'yes' ? { ok: true, value: structuredClone(engines.get(number)?.edition) } : unreached()
    },
    log: async (_token, after) => {
      asked.push(`log ${after}`)
      if (world.reach !== 'yes') return unreached()
      const events = structuredClone(log.slice(after))
      const acks = events.map(({ seq = 0 }) => ({ seq, hash: hash(seq) }))
      return {
        ok: true,
        value: { job: 'job-of-the-test', edition: stateOf(log).edition, events, acks, head: { seq: log.length, hash: hash(log.length) } },
      }
    },
    takeEvents: async (_token, _after, items) => {
      asked.push(`take ${items.length}`)
      if (world.reach === 'no') return unreached()
      const results = items.map(({ envelope }) => {
        if (log.some((event) => event.id === envelope.id)) return { id: envelope.id, taken: true }
        const decided = decideOn(log, envelope, world.now)
        if (!decided.ok) return { id: envelope.id, taken: false, code: decided.problem.code, detail: decided.problem.message }
        addTo(log, decided.value)
        return { id: envelope.id, taken: true }
      })
      if (world.reach === 'reply-lost') return unreached()
      const refused = results.find((one) => !one.taken)
      if (refused !== undefined)
        return {
          ok: false,
          status: 409,
          problem: { code: refused.code ?? '', message: refused.detail ?? '', details: { items: results } },
        }
      return { ok: true, value: { items: results, head: { seq: log.length, hash: hash(log.length) } } }
    },
  }
}

function unreached(): { ok: false; status: number; problem: { code: string; message: string } } {
  return { ok: false, status: 0, problem: { code: 'UNREACHED', message: 'No answer.' } }
}

type Phone = { readonly job: PhoneJob; readonly store: PhoneStore; readonly retry: () => void; readonly people: Map<string, Person> }

function createPhone(world: World, store: PhoneStore = createMemoryStore(), part: Partial<PhoneDeps> = {}): Phone {
  let ids = 0
  let waiting: (() => void) | undefined
  const people = new Map<string, Person>([['job-of-the-test', ash]])
  const deps: PhoneDeps = {
    store,
    api: world.api,
    createEngine: (found) => createEngine(found as Edition),
    now: () => world.now,
    newId: () => `phone-command-${(ids += 1)}-${Math.floor(world.now)}`,
    device: 'phone-device',
    recallPerson: (job) => people.get(job),
    rememberPerson: (job, person) => void people.set(job, person),
    later: (_ms, work) => {
      waiting = work
      return () => (waiting = undefined)
    },
    exclusive: async (_name, work) => {
      await work()
      return true
    },
    ...part,
  }
  return { job: createPhoneJob('token-of-the-test', deps), store, retry: () => waiting?.(), people }
}

async function settle(): Promise<void> {
  for (let turn = 0; turn < 40; turn += 1) await new Promise((resolve) => setImmediate(resolve))
}

async function give(job: PhoneJob, outcome: string): Promise<Awaited<ReturnType<PhoneJob['send']>>> {
  return await job.send({ type: 'answer', place: job.read().view?.step?.place ?? 'none', outcome })
}

function stepOf(job: PhoneJob): string | undefined {
  return job.read().view?.step?.step
}

function answersIn(world: World): string[] {
  return world.log.flatMap((event) => (event.type === 'answer-given' ? [`${event.body.step}=${event.body.outcome}`] : []))
}

describe('opening', () => {
  test('the log and the edition are fetched once and kept: without a signal the same job opens again', async () => {
    const world = createWorld()
    const { job, store } = createPhone(world)
    expect(await job.open()).toBe('ready')
    await settle()
    expect(stepOf(job)).toBe('reach-back')
    world.reach = 'no'
    const again = createPhone(world, store)
    expect(await again.job.open()).toBe('ready')
    expect(stepOf(again.job)).toBe('reach-back')
    expect(world.asked.filter((one) => one.startsWith('edition'))).toEqual(['edition 1'])
  })
  test('an edition that this program cannot run is said so, and the server’s views take over', async () => {
    const { job } = createPhone(createWorld(), createMemoryStore(), {
      createEngine: () => {
        throw new Error('other semantics')
      },
    })
    expect(await job.open()).toBe('no-engine')
  })
  test('an unknown link gives the sentence of the server and no job', async () => {
    const world = createWorld()
    const { job } = createPhone({
      ...world,
      api: {
        ...world.api,
        log: async () => ({ ok: false, status: 404, problem: { code: 'JOB_UNKNOWN', message: 'There is no such job.' } }),
      },
    })
    expect(await job.open()).toBe('trouble')
    expect(job.read().trouble?.code).toBe('JOB_UNKNOWN')
  })
})

describe('answering', () => {
  test('an answer is on the disk before it is sent, and the step goes on before the server has answered', async () => {
    const world = createWorld()
    const store = createMemoryStore()
    const order: string[] = []
    const { job } = createPhone(
      { ...world, api: { ...world.api, takeEvents: async (...given) => (order.push('sent'), await world.api.takeEvents(...given)) } },
      { ...store, put: async (one) => (order.push('written'), await store.put(one)) },
    )
    await job.open()
    await settle()
    const sent = await give(job, 'done')
    expect(sent.ok).toBe(true)
    expect(stepOf(job)).toBe('people')
    await settle()
    expect(order).toEqual(['written', 'sent'])
    expect(answersIn(world)).toEqual(['reach-back=done'])
    expect((await store.load('token-of-the-test')).outgoing).toEqual([])
  })
  test('two taps on the same answer are one answer', async () => {
    const world = createWorld()
    const { job } = createPhone(world)
    await job.open()
    await settle()
    const place = job.read().view?.step?.place ?? ''
    const both = await Promise.all([
      job.send({ type: 'answer', place, outcome: 'done' }),
      job.send({ type: 'answer', place, outcome: 'done' }),
    ])
    expect(both.map((one) => one.ok)).toEqual([true, false])
    await settle()
    expect(answersIn(world)).toEqual(['reach-back=done'])
  })
  test('what the engine refuses is neither written nor sent', async () => {
    const world = createWorld()
    const { job, store } = createPhone(world)
    await job.open()
    await settle()
    const sent = await give(job, 'no-such-answer')
    expect(sent.ok ? '' : sent.problem.code).toBe('JOB_ANSWER_NOT_OFFERED')
    expect((await store.load('token-of-the-test')).outgoing).toEqual([])
    expect(world.asked.filter((one) => one.startsWith('take'))).toEqual([])
  })
  test('a clock that was set back does not run the log back', async () => {
    const world = createWorld()
    const { job } = createPhone(world)
    await job.open()
    await settle()
    await give(job, 'done')
    await settle()
    world.now -= 3_600_000
    await give(job, 'nobody')
    await settle()
    const times = world.log.filter((event) => event.device === 'phone-device').map((event) => event.at)
    expect(times).toEqual(times.toSorted((a, b) => a - b))
  })
})

describe('the network', () => {
  test('an answer whose acknowledgement was lost stands in the log once', async () => {
    const world = createWorld()
    const { job, retry } = createPhone(world)
    await job.open()
    await settle()
    world.reach = 'reply-lost'
    await give(job, 'done')
    await settle()
    expect(job.read()).toMatchObject({ unsent: 1, offline: true })
    world.reach = 'yes'
    retry()
    await settle()
    expect(job.read()).toMatchObject({ unsent: 0, offline: false })
    expect(answersIn(world)).toEqual(['reach-back=done'])
  })
  test('answers of an hour without a signal arrive in their order', async () => {
    const world = createWorld()
    const { job } = createPhone(world)
    await job.open()
    await settle()
    world.reach = 'no'
    for (const outcome of ['done', 'nobody', 'none', 'none', 'none']) {
      world.now += 60_000
      expect((await give(job, outcome)).ok).toBe(true)
    }
    expect(job.read().unsent).toBe(5)
    world.reach = 'yes'
    job.wake()
    await settle()
    expect(answersIn(world)).toEqual(['reach-back=done', 'people=nobody', 'shock=none', 'burning=none', 'water-at-wiring=none'])
  })
  test('a log that was cut or altered on the server is seen, and the phone keeps what it has', async () => {
    const world = createWorld()
    const { job } = createPhone(world)
    await job.open()
    await settle()
    await give(job, 'done')
    await settle()
    world.log.pop()
    job.wake()
    await settle()
    expect(job.read().trouble?.code).toBe('LOG_CHAIN_BROKEN')
    expect(stepOf(job)).toBe('people')
  })
})

describe('others', () => {
  test('what somebody else answered comes in, is told, and the step moves', async () => {
    const world = createWorld()
    const { job } = createPhone(world)
    await job.open()
    await settle()
    world.direct(sam, { type: 'join', person: sam, on_site: false })
    world.direct(sam, { type: 'answer', place: job.read().view?.step?.place ?? '', outcome: 'done' })
    job.wake()
    await settle()
    expect(stepOf(job)).toBe('people')
    expect(job.read().news).toContain('Sam (invented)')
  })
  test('a job that the office carried over goes on here on the newer edition', async () => {
    const world = createWorld()
    const { job, store } = createPhone(world)
    await job.open()
    await settle()
    world.direct(sam, { type: 'join', person: sam, on_site: false })
    world.direct(sam, { type: 'carry-over', to: newer.edition.number })
    job.wake()
    await settle()
    expect(job.read().view?.edition).toBe(newer.edition.number)
    expect(job.read().news).toContain('carried the job over')
    await give(job, 'done')
    await settle()
    expect(world.log.at(-1)).toMatchObject({ type: 'answer-given', edition: newer.edition.number })
    // Opened again without a signal: both editions are on the phone.
    world.reach = 'no'
    const again = createPhone(world, store)
    expect(await again.job.open()).toBe('ready')
    expect(again.job.read().view).toEqual(job.read().view)
  })

  test('a job is carried over here, and the server decides the same', async () => {
    const world = createWorld()
    const { job } = createPhone(world)
    await job.open()
    await settle()
    expect(await job.send({ type: 'carry-over', to: newer.edition.number })).toEqual({ ok: true })
    expect(job.read().view?.edition).toBe(newer.edition.number)
    await settle()
    expect(world.log.at(-1)).toMatchObject({ type: 'job-carried-over', body: { to: newer.edition.number } })
    expect(job.read()).toMatchObject({ unsent: 0, parked: [] })
    world.reach = 'no'
    expect((await job.send({ type: 'carry-over', to: 99 })).ok).toBe(false)
    expect(job.read().view?.edition).toBe(newer.edition.number)
  })

  test('an answer to a step that is gone is kept with its words and the reason, until it was seen', async () => {
    const world = createWorld()
    const { job, store } = createPhone(world)
    await job.open()
    await settle()
    world.reach = 'no'
    await job.send({ type: 'answer', place: job.read().view?.step?.place ?? '', not_done: 'not-known', words: 'the line was bad' })
    world.direct(sam, { type: 'join', person: sam, on_site: false })
    world.direct(sam, {
      type: 'answer',
      place: engine.view(engine.fold(world.log) as JobState, sam.id, world.now).step?.place ?? '',
      outcome: 'done',
    })
    world.reach = 'yes'
    job.wake()
    await settle()
    const [parked] = job.read().parked
    expect(parked?.lines).toContain('the line was bad')
    expect(parked?.problem.code).toBe('JOB_PLACE_GONE')
    expect(job.read().unsent).toBe(0)
    expect((await store.load('token-of-the-test')).outgoing).toHaveLength(1)
    job.setAside(parked?.id ?? '')
    await settle()
    expect(job.read().parked).toEqual([])
    expect((await store.load('token-of-the-test')).outgoing).toEqual([])
    expect(answersIn(world)).toEqual(['reach-back=done'])
  })
})

describe('the disk of the phone', () => {
  test('where it fails, the answer counts all the same, is sent, and the page is told; when it works again, the page is told too', async () => {
    const world = createWorld()
    const store = createMemoryStore()
    let fails = false
    const broken = async (): Promise<never> => await Promise.reject(new Error('no disk'))
    const { job } = createPhone(world, {
      ...store,
      put: async (one) => (fails ? await broken() : await store.put(one)),
      settle: async (all) => (fails ? await broken() : await store.settle(all)),
    })
    await job.open()
    await settle()
    fails = true
    await give(job, 'done')
    await settle()
    expect(job.read().kept).toBe('memory')
    expect(answersIn(world)).toEqual(['reach-back=done'])
    fails = false
    await give(job, 'nobody')
    await settle()
    expect(job.read().kept).toBe('phone')
  })
  test('whichever call of the store fails, every answer is in the log or on the phone afterwards, once', async () => {
    let failing = 1
    for (; failing < 40; failing += 1) {
      const world = createWorld()
      const store = createMemoryStore()
      let calls = 0
      const flaky =
        <T extends unknown[], R>(work: (...given: T) => Promise<R>) =>
        async (...given: T): Promise<R> => {
          calls += 1
          if (calls === failing) throw new Error('no disk')
          return await work(...given)
        }
      const { job } = createPhone(world, {
        load: flaky(store.load),
        put: flaky(store.put),
        settle: flaky(store.settle),
        edition: flaky(store.edition),
        keepEdition: flaky(store.keepEdition),
        jobs: store.jobs,
      })
      await job.open()
      await settle()
      for (const outcome of ['done', 'nobody', 'none']) {
        expect((await give(job, outcome)).ok, `call ${failing}`).toBe(true)
        await settle()
      }
      expect(answersIn(world), `call ${failing}`).toEqual(['reach-back=done', 'people=nobody', 'shock=none'])
      const again = createPhone(world, store)
      await again.job.open()
      await settle()
      expect(stepOf(again.job), `call ${failing}`).toBe('burning')
      if (calls < failing) break
    }
    expect(failing).toBeGreaterThan(5)
    expect(failing).toBeLessThan(40)
  })
})

describe('an entry in words', () => {
  test('of pairs, readings and a list is read without brackets or names of fields', () => {
    const place = '0|make-dead.prove#1'
    const volts = { 'board:L1-L2': { typed: '0.0', unit: 'V' }, 'board:L1-N': { typed: '0.1', unit: 'V' } }
    const pairs = describeCommand(
      { type: 'answer', place, form: { form: 'pairs', tester_before: true, tester_after: false, volts } },
      undefined,
    )
    expect(pairs.lines).toEqual(['tester before: yes', 'tester after: no', 'volts: board L1-L2 0.0 V, board L1-N 0.1 V'])
    const water = [{ typed: '102.5', unit: 'degF' }]
    expect(describeCommand({ type: 'answer', place, readings: { water } }, undefined).lines).toEqual(['102.5 °F'])
  })
})
