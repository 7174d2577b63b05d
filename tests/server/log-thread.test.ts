// What the thread of the store adds to the store itself: it opens or says why not, settles what waits, and shares a flush.
// What every store must do is the contract in event-log.contract.ts.
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { openThreadLog } from '../../server/storage/log-thread.ts'
import { createFolder, openLog } from './edition.ts'
import { appendOne, codeOf, valueOf } from './event-log.contract.ts'
import { answered, joined, opened } from './sample-events.ts'

let folder: { path: string; remove: () => void }
beforeEach(() => {
  folder = createFolder()
})
afterEach(() => folder.remove())

const ONE = { job: 'job-one', expectedSeq: 0, events: [opened('job-one'), joined('job-one')] }

async function openThread(dataDir = folder.path) {
  const lost: Error[] = []
  const log = await openThreadLog({ dataDir, onLost: (error) => lost.push(error) })
  return { log, lost }
}

test('a folder that cannot be used is refused in the same words as without a thread', async () => {
  const path = join(folder.path, 'file')
  writeFileSync(path, 'not a folder')
  const { log, lost } = await openThread(path)
  expect(log.ok ? '' : log.problem.message).toContain('Set DATA_DIR to a folder')
  expect(lost).toEqual([])
})

test('what waits for a commit is written when the store closes, and the folder is free after it', async () => {
  const log = valueOf((await openThread()).log)
  const pending = appendOne(log, ONE)
  await log.close()
  expect(codeOf(await pending)).toBe('ok')
  const again = openLog(folder.path, Date.now)
  expect(valueOf(await again.read('job-one'))).toHaveLength(2)
  await again.close()
})

test('after it was closed it takes nothing more, and nobody is told of a loss', async () => {
  const { log: opening, lost } = await openThread()
  const log = valueOf(opening)
  await log.close()
  expect(codeOf(await appendOne(log, ONE))).toBe('STORE_CLOSED')
  expect(codeOf(await log.read('job-one'))).toBe('STORE_CLOSED')
  expect(codeOf(await log.probe())).toBe('STORE_CLOSED')
  expect(lost).toEqual([])
})

test('an append answers with the events as they are read back', async () => {
  const log = valueOf((await openThread()).log)
  const { stored } = valueOf(await appendOne(log, ONE))
  expect(valueOf(await log.read('job-one'))).toEqual(stored)
  const more = { job: 'job-one', expectedSeq: 2, events: [answered('job-one')] }
  const [next, stale] = await log.append([more, { ...more, events: [answered('job-one')] }])
  expect(codeOf(next)).toBe('ok')
  expect(codeOf(stale)).toBe('LOG_SEQUENCE_STALE')
  expect(log.counts().writes).toBeGreaterThanOrEqual(3)
  await log.close()
})

test('appends that are asked for at once share a flush', async () => {
  const log = valueOf((await openThread()).log)
  const jobs = Array.from({ length: 40 }, (_, number) => `job-no-${number}`)
  const before = log.counts()
  const done = await Promise.all(jobs.map(async (job) => await appendOne(log, { job, expectedSeq: 0, events: [opened(job)] })))
  expect(done.every((outcome) => outcome.ok)).toBe(true)
  expect(log.counts().writes - before.writes).toBe(40)
  expect(log.counts().commits - before.commits).toBe(1)
  await log.close()
})
