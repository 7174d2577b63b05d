// Jobs in memory: folded once, forgotten when room is needed, and right again when another server wrote meanwhile.
// What the log promises is event-log.contract.ts; HTTP is routes.test.ts.
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { createId, createTokens } from '../../server/access/link.ts'
import { createJobs } from '../../server/jobs.ts'
import type { Jobs } from '../../server/jobs.ts'
import { createRecent, createTurns } from '../../server/job-memory.ts'
import type { EventLog } from '../../server/storage/event-log.ts'
import { DESK, envelopeOf, firstAnswer, OPENING } from './client.ts'
import { createClock, createFolder, openLog, testEditions } from './edition.ts'
import type { Clock } from './edition.ts'
import { codeOf, valueOf } from './event-log.contract.ts'
import { createMemory, openMemoryLog } from './memory-log.ts'

let folder: { path: string; remove: () => void }
let log: EventLog
let clock: Clock
let reads = 0

beforeEach(() => {
  folder = createFolder()
  clock = createClock()
  const store = openLog(folder.path, clock.now)
  reads = 0
  log = {
    ...store,
    read: async (...wanted) => {
      reads += 1
      return await store.read(...wanted)
    },
  }
})
afterEach(async () => {
  await log.close()
  folder.remove()
})

function createServer(most = 100, on: EventLog = log): Jobs {
  const { engine } = testEditions().current
  return createJobs({
    log: on,
    engines: { current: engine, get: (number) => (number === 1 ? engine : undefined) },
    now: clock.now,
    newId: createId,
    most,
  })
}

async function open(jobs: Jobs): Promise<string> {
  const { practice, ...order } = OPENING
  const opened = valueOf(
    await jobs.open({ order: { ...order, practice, person: DESK }, device: 'desk-01', channel: 'phone', links: createTokens().links }),
  )
  return opened.folded.job
}

async function answerNext(jobs: Jobs, job: string): Promise<string> {
  const view = valueOf(await jobs.view(job, DESK.id))
  return codeOf(await jobs.command(job, envelopeOf(firstAnswer(view))))
}

test('the state in memory is the one that the log folds to, after every answer', async () => {
  const jobs = createServer()
  const job = await open(jobs)
  for (let answer = 0; answer < 6; answer += 1) {
    expect(await answerNext(jobs, job)).toBe('ok')
    const { state, seq, hash } = valueOf(await jobs.find(job))
    const again = valueOf(await createServer().find(job))
    expect([again.state, again.seq, again.hash]).toEqual([state, seq, hash])
  }
})

test('a job in use is not read from the log again', async () => {
  const jobs = createServer()
  const job = await open(jobs)
  for (let time = 0; time < 4; time += 1) expect(await answerNext(jobs, job)).toBe('ok')
  expect(reads).toBe(0)
  expect(jobs.counts).toMatchObject({ answers: 4, replays: 0 })
})

test('a job that made room is read once, and is as it was', async () => {
  const jobs = createServer(2)
  const first = await open(jobs)
  await answerNext(jobs, first)
  const before = valueOf(await jobs.view(first, DESK.id))
  await open(jobs)
  await open(jobs)
  expect(valueOf(await jobs.view(first, DESK.id))).toEqual(before)
  expect(jobs.counts.replays).toBe(1)
})

test('a restarted server knows repeats of commands from before', async () => {
  const jobs = createServer()
  const job = await open(jobs)
  const envelope = envelopeOf(firstAnswer(valueOf(await jobs.view(job, DESK.id))))
  const first = valueOf(await jobs.command(job, envelope))
  const again = valueOf(await createServer().command(job, envelope))
  expect(again.repeat).toBe(true)
  expect(again.stored).toEqual(first.stored)
})

test('another server that wrote meanwhile is noticed, and the command decided again on the new log', async () => {
  const [one, two] = [createServer(), createServer()]
  const job = await open(one)
  for (let round = 0; round < 3; round += 1) {
    expect(await answerNext(two, job)).toBe('ok')
    // The first server still holds the old fold: its own view is stale, and a fact is stated on it.
    const stated = envelopeOf({ type: 'state-fact', slug: 'volume', value: { typed: String(300 + round), unit: 'gal' }, source: 'told' })
    expect(codeOf(await one.command(job, stated))).toBe('ok')
    two.forget(job)
  }
  expect(one.counts.stale).toBeGreaterThan(0)
  expect(codeOf(await log.verify(job))).toBe('ok')
})

test('a step answered on another server is gone here too', async () => {
  const [one, two] = [createServer(), createServer()]
  const job = await open(one)
  const view = valueOf(await one.view(job, DESK.id))
  valueOf(await two.command(job, envelopeOf(firstAnswer(view))))
  expect(codeOf(await one.command(job, envelopeOf(firstAnswer(view))))).toBe('JOB_PLACE_GONE')
})

test('a job on an edition that is not here is refused in words', async () => {
  const job = await open(createServer())
  const { engine } = testEditions().current
  const without = createJobs({ log, engines: { current: engine, get: () => undefined }, now: clock.now, newId: createId })
  expect(codeOf(await without.find(job))).toBe('GRAPH_EDITION_UNKNOWN')
})

test('on the store in memory jobs go the same way', async () => {
  const jobs = createServer(100, openMemoryLog(createMemory(), clock.now))
  const job = await open(jobs)
  for (let time = 0; time < 3; time += 1) expect(await answerNext(jobs, job)).toBe('ok')
})

describe('what time has brought about', () => {
  test('is written before a job is shown', async () => {
    const { engine } = testEditions().current
    let due = true
    const lapsing = {
      ...engine,
      due: () => due,
      run: ((state, envelope, context) => {
        if (envelope.command.type !== 'wake') return engine.run(state, envelope, context)
        due = false
        return engine.run(
          state,
          { ...envelope, command: { type: 'state-fact', slug: 'volume', value: { typed: '340', unit: 'gal' }, source: 'told' } },
          context,
        )
      }) as typeof engine.run,
    }
    const jobs = createJobs({ log, engines: { current: lapsing, get: () => lapsing }, now: clock.now, newId: createId })
    const job = await open(jobs)
    expect(valueOf(await jobs.view(job, DESK.id)).facts).toHaveLength(1)
    expect(valueOf(await log.read(job)).at(-1)?.event).toMatchObject({ type: 'fact-stated', device: 'server' })
  })

  test('is shown even when the store cannot write it', async () => {
    const { engine } = testEditions().current
    let isFull = false
    const full: EventLog = {
      ...log,
      append: async (batch) =>
        isFull ? batch.map(() => ({ ok: false, problem: { code: 'STORE_FULL', message: 'Full.' } })) : await log.append(batch),
    }
    const lapsing = {
      ...engine,
      due: () => true,
      run: ((state, envelope, context) =>
        engine.run(
          state,
          envelope.command.type === 'wake'
            ? { ...envelope, command: { type: 'state-fact', slug: 'volume', value: { typed: '340', unit: 'gal' }, source: 'told' } }
            : envelope,
          context,
        )) as typeof engine.run,
    }
    const jobs = createJobs({ log: full, engines: { current: lapsing, get: () => lapsing }, now: clock.now, newId: createId })
    const job = await open(jobs)
    isFull = true
    expect(valueOf(await jobs.view(job, DESK.id)).facts).toHaveLength(1)
    expect(valueOf(await log.read(job))).toHaveLength(2)
  })
})

describe('turns', () => {
  test('of one key come one after the other, and a failing one holds up nobody', async () => {
    const turns = createTurns()
    const order: string[] = []
    const work = (name: string) => async () => {
      order.push(`${name} begins`)
      await new Promise((resolve) => setImmediate(resolve))
      order.push(`${name} ends`)
      if (name === 'a') throw new Error('a failed')
    }
    const results = await Promise.allSettled([turns('job', work('a')), turns('job', work('b')), turns('job', work('c'))])
    expect(order).toEqual(['a begins', 'a ends', 'b begins', 'b ends', 'c begins', 'c ends'])
    expect(results.map((result) => result.status)).toEqual(['rejected', 'fulfilled', 'fulfilled'])
  })
})

describe('the recent ones', () => {
  test('lose the one that was not used for longest', () => {
    const recent = createRecent<number>(2)
    recent.set('a', 1)
    recent.set('b', 2)
    recent.get('a')
    recent.set('c', 3)
    expect([recent.get('a'), recent.get('b'), recent.get('c'), recent.size()]).toEqual([1, undefined, 3, 2])
  })
})
