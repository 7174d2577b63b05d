// What only a store on disk can suffer: a call that fails, a full disk, a second server, a file from the future.
// What every store must do is the contract in event-log.contract.ts.
import { DatabaseSync } from 'node:sqlite'
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { openDriver } from '../../server/storage/driver.ts'
import type { EventLog } from '../../server/storage/event-log.ts'
import { openSqliteLog } from '../../server/storage/sqlite.ts'
import { createClock, createFolder, openLog } from './edition.ts'
import { appendOne, codeOf, valueOf } from './event-log.contract.ts'
import { openFailingDriver } from './failing.ts'
import type { FailingDriver, Manner } from './failing.ts'
import { answered, joined, opened } from './sample-events.ts'

let folder: { path: string; remove: () => void }
const { now } = createClock()
const logs: EventLog[] = []

beforeEach(() => {
  folder = createFolder()
})
afterEach(async () => {
  for (const log of logs.splice(0)) await log.close()
  folder.remove()
})

function openFailing(): { log: EventLog; driver: FailingDriver } {
  let driver: FailingDriver | undefined
  const log = valueOf(openSqliteLog({ dataDir: folder.path, now, open: (path) => (driver = openFailingDriver(path)) }))
  logs.push(log)
  if (driver === undefined) throw new Error('the driver was not opened')
  return { log, driver }
}

/** Old (2 lines) or new (4), whole in every table; anything between throws. */
async function stateOf(log: EventLog, job: string): Promise<'old' | 'new'> {
  const lines = valueOf(await log.read(job))
  const row = (await log.jobs(500)).find((each) => each.job === job)
  expect(valueOf(await log.verify(job)).lines).toBe(lines.length)
  expect(row?.events).toBe(lines.length)
  expect([2, 4]).toContain(lines.length)
  const linked = (await log.findLink(`link-of-${job}`)) !== undefined
  expect(linked).toBe(lines.length === 4)
  return lines.length === 2 ? 'old' : 'new'
}

describe.each<Manner>(['before', 'after', 'lost'])('a call that fails (%s)', (manner) => {
  test.each([false, true])('leaves the old or the new state, never between (lasting: %s)', { timeout: 60_000 }, async (lasting) => {
    const { log, driver } = openFailing()
    const seen = new Set<string>()
    for (let call = 1; call < 200; call += 1) {
      const job = `job-no-${call}`
      valueOf(await appendOne(log, { job, expectedSeq: 0, events: [opened(job), joined(job)] }))
      const item = {
        job,
        expectedSeq: 2,
        events: [answered(job), answered(job)],
        links: [{ hash: `link-of-${job}`, kind: 'staff' as const }],
      }
      driver.failAt(call, manner, lasting)
      const result = await appendOne(log, item)
      const hasFailed = driver.failed()
      driver.heal()
      const state = await stateOf(log, job)
      // What was acknowledged is there. What was not may be there, when the error came after the commit.
      if (result.ok) expect(state).toBe('new')
      else expect(result.problem.code).toBe('STORE_FAILED')
      if (!result.ok && manner !== 'after') expect(state).toBe('old')
      seen.add(`${result.ok ? 'ok' : 'failed'} ${state}`)
      // Sent again, it is there once.
      expect(codeOf(await appendOne(log, item))).toBe('ok')
      expect(await stateOf(log, job)).toBe('new')
      if (!hasFailed) {
        expect(call).toBeGreaterThanOrEqual(8)
        expect(seen).toContain('ok new')
        if (lasting) expect(seen).toContain('failed old')
        return
      }
    }
    throw new Error('the append never came through')
  })
})

test('a failing item does not sink its neighbours in the same commit', async () => {
  const { log, driver } = openFailing()
  const jobs = ['job-one', 'job-two', 'job-three']
  for (let call = 2; call < 40; call += 3) {
    driver.failAt(call, 'before', false)
    const results = await log.append(jobs.map((job) => ({ job: `${job}-${call}`, expectedSeq: 0, events: [opened(`${job}-${call}`)] })))
    driver.heal()
    for (const [index, job] of jobs.entries()) {
      const there = (await log.read(`${job}-${call}`)).ok
      expect(there).toBe(results[index]?.ok)
    }
    expect(results.filter((result) => result.ok).length).toBeGreaterThanOrEqual(2)
  }
})

test('many failing items do not sink their neighbours in the same commit', async () => {
  const log = openLog(folder.path, now)
  logs.push(log)
  // A link opens one job: the store refuses it to each job after the first.
  const links = [{ hash: 'one-link', kind: 'staff' as const }]
  const items = Array.from({ length: 12 }, (_, number) => {
    const job = `job-no-${number}`
    return { job, expectedSeq: 0, events: [opened(job)], ...(number % 2 === 1 ? { links } : {}) }
  })
  const results = await log.append(items)
  const expected = items.map((_, number) => (number % 2 === 0 || number === 1 ? 'ok' : 'STORE_FAILED'))
  expect(results.map((result) => codeOf(result))).toEqual(expected)
  for (const [number, { job }] of items.entries()) {
    expect(codeOf(await log.read(job))).toBe(expected[number] === 'ok' ? 'ok' : 'JOB_UNKNOWN')
    if (expected[number] === 'ok') expect(codeOf(await log.verify(job))).toBe('ok')
  }
})

describe('a flush of the disk', () => {
  const order = (job: string) => ({ job, expectedSeq: 0, events: [opened(job)] })
  const turn = async (): Promise<void> => await new Promise((resolve) => setImmediate(resolve))

  test('is shared by what is asked for at once', async () => {
    const log = openLog(folder.path, now)
    logs.push(log)
    const before = log.counts().commits
    const done = await Promise.all(Array.from({ length: 40 }, async (_, number) => await appendOne(log, order(`job-no-${number}`))))
    expect(done.every((outcome) => outcome.ok)).toBe(true)
    expect(log.counts().commits - before).toBe(1)
  })

  test('waits for what the next turns of the event loop bring, and no longer than they bring something', async () => {
    const log = openLog(folder.path, now)
    logs.push(log)
    const before = log.counts().commits
    const asked: Promise<unknown>[] = []
    for (let turns = 0; turns < 5; turns += 1) {
      asked.push(appendOne(log, order(`job-of-turn-${turns}`)))
      await turn()
    }
    await Promise.all(asked)
    expect(log.counts().commits - before).toBe(1)
    await appendOne(log, order('job-alone'))
    expect(log.counts().commits - before).toBe(2)
  })

  test('comes in the end, though every turn brings more', async () => {
    const log = openLog(folder.path, now)
    logs.push(log)
    const before = log.counts().commits
    const asked: Promise<unknown>[] = []
    for (let turns = 0; turns < 60; turns += 1) {
      asked.push(appendOne(log, order(`job-of-turn-${turns}`)))
      await turn()
    }
    await Promise.all(asked)
    expect(log.counts().commits - before).toBeGreaterThan(2)
  })
})

describe('a full disk', () => {
  /** A file that may not grow beyond `pages` more pages stands for a disk without room. */
  function openSmall(pages: number): { log: EventLog; makeRoom: () => void } {
    openLog(folder.path, now)
      .close()
      .catch(() => undefined)
    let makeRoom = (): void => undefined
    const open = (path: string) => {
      const driver = openDriver(path)
      const used = Number(driver.prepare('PRAGMA page_count').get()?.['page_count'])
      driver.exec(`PRAGMA max_page_count = ${used + pages}`)
      makeRoom = () => driver.exec('PRAGMA max_page_count = 1000000')
      return driver
    }
    const log = valueOf(openSqliteLog({ dataDir: folder.path, now, open }))
    logs.push(log)
    return { log, makeRoom: () => makeRoom() }
  }

  test('is said in words, loses nothing that was acknowledged, and writes nothing half', async () => {
    const { log, makeRoom } = openSmall(20)
    const job = 'job-one'
    valueOf(await appendOne(log, { job, expectedSeq: 0, events: [opened(job)] }))
    let seq = 1
    let code = 'ok'
    while (code === 'ok' && seq < 2000) {
      code = codeOf(await appendOne(log, { job, expectedSeq: seq, events: [answered(job), answered(job)] }))
      if (code === 'ok') seq += 2
    }
    expect(code).toBe('STORE_FULL')
    expect(seq).toBeGreaterThan(3)
    expect(valueOf(await log.verify(job)).lines).toBe(seq)
    expect((await log.jobs(5))[0]?.events).toBe(seq)
    makeRoom()
    expect(codeOf(await appendOne(log, { job, expectedSeq: seq, events: [answered(job)] }))).toBe('ok')
    expect(valueOf(await log.verify(job)).lines).toBe(seq + 1)
  })

  test('hits the item that needs the room, not its neighbours', async () => {
    const { log } = openSmall(12)
    const big = [opened('job-big'), ...Array.from({ length: 200 }, () => answered('job-big'))]
    const results = await log.append([
      { job: 'job-one', expectedSeq: 0, events: [opened('job-one')] },
      { job: 'job-big', expectedSeq: 0, events: big },
      { job: 'job-two', expectedSeq: 0, events: [opened('job-two')] },
    ])
    expect(results.map((result) => codeOf(result))).toEqual(['ok', 'STORE_FULL', 'ok'])
    expect(codeOf(await log.read('job-big'))).toBe('JOB_UNKNOWN')
    expect(codeOf(await log.verify('job-one'))).toBe('ok')
    expect(codeOf(await log.verify('job-two'))).toBe('ok')
  })
})

describe('opening', () => {
  test('a second server on the same folder is refused in words', () => {
    logs.push(openLog(folder.path, now))
    const second = openSqliteLog({ dataDir: folder.path, now })
    expect(second.ok ? '' : second.problem.message).toContain('Another Backwrench is using the folder')
  })

  test('the folder is free again after the first server closed', async () => {
    await openLog(folder.path, now).close()
    const second = openSqliteLog({ dataDir: folder.path, now })
    if (second.ok) logs.push(second.value)
    expect(codeOf(second)).toBe('ok')
  })

  test('a store written by a newer program is refused in words', async () => {
    await openLog(folder.path, now).close()
    const database = new DatabaseSync(join(folder.path, 'jobs.db'))
    database.exec('PRAGMA user_version = 99')
    database.close()
    const opening = openSqliteLog({ dataDir: folder.path, now })
    expect(opening.ok ? '' : opening.problem.message).toContain('newer Backwrench')
  })

  test('a folder that is a file is refused in words', () => {
    const path = join(folder.path, 'file')
    writeFileSync(path, 'not a folder')
    const opening = openSqliteLog({ dataDir: path, now })
    expect(opening.ok ? '' : opening.problem.message).toContain('Set DATA_DIR to a folder')
  })

  test('a store that is not a database is refused in words', () => {
    const path = join(folder.path, 'broken')
    mkdirSync(path)
    writeFileSync(join(path, 'jobs.db'), 'this is not a database, it is a text of some length')
    const opening = openSqliteLog({ dataDir: path, now })
    expect(opening.ok ? '' : opening.problem.message).toContain('cannot be used')
  })

  test('every commit is flushed to disk before it counts', () => {
    const driver = openDriver(join(folder.path, 'any.db'))
    // 2 is FULL.
    expect(driver.prepare('PRAGMA synchronous').get()?.['synchronous']).toBe(2)
    expect(driver.prepare('PRAGMA journal_mode').get()?.['journal_mode']).toBe('wal')
    driver.close()
  })
})

test('after it was closed, the store takes nothing more', async () => {
  const log = openLog(folder.path, now)
  await log.close()
  expect(codeOf(await appendOne(log, { job: 'job-one', expectedSeq: 0, events: [opened('job-one')] }))).toBe('STORE_CLOSED')
})

test('what waits for a commit is written when the store closes', async () => {
  const log = openLog(folder.path, now)
  const pending = appendOne(log, { job: 'job-one', expectedSeq: 0, events: [opened('job-one')] })
  await log.close()
  expect(codeOf(await pending)).toBe('ok')
  const again = openLog(folder.path, now)
  logs.push(again)
  expect(valueOf(await again.read('job-one'))).toHaveLength(1)
})

test('erased words are gone from the files, not only from the tables', async () => {
  const { readFileSync, readdirSync } = await import('node:fs')
  const log = openLog(folder.path, now)
  logs.push(log)
  const bytes = (): string =>
    readdirSync(folder.path)
      .map((name) => readFileSync(join(folder.path, name), 'latin1'))
      .join('')
  valueOf(await appendOne(log, { job: 'job-one', expectedSeq: 0, events: [opened('job-one'), joined('job-one')] }))
  expect(bytes()).toContain('Ann Example')
  valueOf(await log.content.erase('job-one'))
  expect(bytes()).not.toContain('Ann Example')
})
