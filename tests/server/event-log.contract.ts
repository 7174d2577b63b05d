// What every store of jobs must do, as tests that each implementation runs.
// How a store does it is not looked at; harm to what it keeps is done by a hand that the implementation lends.
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import type { Outcome } from '../../server/errors.ts'
import type { Append, Appended, EventLog, JobRow } from '../../server/storage/event-log.ts'
import { answered, joined, newId, opened, plain } from './sample-events.ts'

export type Harm = 'lose-line' | 'alter-line' | 'alter-line-and-hash' | 'cut-tail' | 'alter-text' | 'lose-text' | 'cut-tail-and-head'

export type OpenStore = {
  log: EventLog
  /** Everything that is kept for ever, as one text. */
  chained: () => string
  harm: (job: string, seq: number, harm: Harm) => void
  reopen: () => Promise<EventLog>
  remove: () => Promise<void>
}

export function eventLogContract(name: string, open: () => OpenStore | Promise<OpenStore>): void {
  let store: OpenStore
  beforeEach(async () => {
    store = await open()
  })
  afterEach(async () => await store.remove())
  describe(`${name}: appending`, () => {
    appending(() => store)
  })
  describe(`${name}: appending more`, () => {
    appendingMany(() => store)
  })
  describe(`${name}: reading`, () => {
    reading(() => store)
  })
  describe(`${name}: the chain`, () => {
    chain(() => store)
  })
  describe(`${name}: names and words`, () => {
    content(() => store)
  })
  describe(`${name}: lists and links`, () => {
    lists(() => store)
  })
}

export async function appendOne(log: EventLog, item: Append): Promise<Outcome<Appended>> {
  const [result] = await log.append([item])
  if (result === undefined) throw new Error('no result')
  return result
}

export function valueOf<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(`${outcome.problem.code}: ${outcome.problem.message}`)
  return outcome.value
}

export function codeOf(outcome: Outcome<unknown> | undefined): string {
  return outcome === undefined ? 'no result' : outcome.ok ? 'ok' : outcome.problem.code
}

async function openJob(log: EventLog, job: string): Promise<Appended> {
  return valueOf(await appendOne(log, { job, expectedSeq: 0, events: [opened(job), joined(job)] }))
}

function appending(at: () => OpenStore): void {
  test('gives each line its seq and hash, from 1 on', async () => {
    const { stored, repeat } = await openJob(at().log, 'job-one')
    expect(stored.map((line) => line.ack.seq)).toEqual([1, 2])
    expect(stored.map((line) => line.event.seq)).toEqual([1, 2])
    expect(new Set(stored.map((line) => line.ack.hash)).size).toBe(2)
    expect(stored.every((line) => line.event.receivedAt !== undefined)).toBe(true)
    expect(repeat).toBe(false)
  })

  test('a repeat with the same ids writes nothing and answers the same', async () => {
    const { log } = at()
    const item = { job: 'job-one', expectedSeq: 0, events: [opened('job-one'), joined('job-one')] }
    const first = valueOf(await appendOne(log, item))
    for (let time = 0; time < 4; time += 1) {
      const again = valueOf(await appendOne(log, item))
      expect(again.repeat).toBe(true)
      expect(again.stored).toEqual(first.stored)
    }
    expect(valueOf(await log.read('job-one'))).toHaveLength(2)
  })

  test('a stale expected seq is refused and writes nothing', async () => {
    const { log } = at()
    await openJob(log, 'job-one')
    for (const expectedSeq of [0, 1, 3, 99]) {
      expect(codeOf(await appendOne(log, { job: 'job-one', expectedSeq, events: [answered('job-one')] }))).toBe('LOG_SEQUENCE_STALE')
    }
    expect(valueOf(await log.read('job-one'))).toHaveLength(2)
  })

  test('of two writers with the same expected seq one is written, the other refused', async () => {
    const { log } = at()
    await openJob(log, 'job-one')
    const results = await log.append([1, 2].map(() => ({ job: 'job-one', expectedSeq: 2, events: [answered('job-one')] })))
    expect(results.map((result) => codeOf(result))).toEqual(['ok', 'LOG_SEQUENCE_STALE'])
  })

  test('a bad item does not sink its neighbours', async () => {
    const { log } = at()
    const results = await log.append([
      { job: 'job-one', expectedSeq: 0, events: [opened('job-one')] },
      { job: 'job-two', expectedSeq: 7, events: [opened('job-two')] },
      { job: 'job-three', expectedSeq: 0, events: [opened('job-three')] },
      { job: 'job-one', expectedSeq: 1, events: [answered('job-one')] },
    ])
    expect(results.map((result) => codeOf(result))).toEqual(['ok', 'LOG_SEQUENCE_STALE', 'ok', 'ok'])
    expect(codeOf(await log.read('job-two'))).toBe('JOB_UNKNOWN')
    expect(valueOf(await log.read('job-one'))).toHaveLength(2)
  })
}

function appendingMany(at: () => OpenStore): void {
  test('an item of which one id is known already is refused whole', async () => {
    const { log } = at()
    const known = answered('job-one')
    await openJob(log, 'job-one')
    await appendOne(log, { job: 'job-one', expectedSeq: 2, events: [known] })
    expect(codeOf(await appendOne(log, { job: 'job-one', expectedSeq: 3, events: [answered('job-one'), known] }))).toBe(
      'LOG_SEQUENCE_STALE',
    )
    expect(valueOf(await log.read('job-one'))).toHaveLength(3)
  })

  test('the same id in two jobs is two events', async () => {
    const { log } = at()
    const id = newId()
    for (const job of ['job-one', 'job-two']) valueOf(await appendOne(log, { job, expectedSeq: 0, events: [opened(job, { id })] }))
    expect(valueOf(await log.read('job-two'))[0]?.event.job).toBe('job-two')
  })

  test('many items of many jobs in one batch all come through in order', async () => {
    const { log } = at()
    const jobs = Array.from({ length: 40 }, (_, index) => `job-${index + 10}`)
    const results = await log.append([
      ...jobs.map((job) => ({ job, expectedSeq: 0, events: [opened(job)] })),
      ...jobs.map((job) => ({ job, expectedSeq: 1, events: [answered(job)] })),
    ])
    expect(results.every((result) => result.ok)).toBe(true)
    for (const job of jobs) expect(codeOf(await log.verify(job))).toBe('ok')
  })
}

function reading(at: () => OpenStore): void {
  test('gives back what was stored, also after the store was opened again', async () => {
    const { stored } = await openJob(at().log, 'job-one')
    expect(valueOf(await at().log.read('job-one'))).toEqual(stored)
    expect(valueOf(await (await at().reopen()).read('job-one'))).toEqual(stored)
  })

  test('gives only the lines after a seq', async () => {
    const { log } = at()
    await openJob(log, 'job-one')
    expect(valueOf(await log.read('job-one', 1)).map((line) => line.ack.seq)).toEqual([2])
    expect(valueOf(await log.read('job-one', 2))).toEqual([])
    expect(valueOf(await log.read('job-one', 99))).toEqual([])
  })

  test('an unknown job is refused', async () => {
    expect(codeOf(await at().log.read('job-none'))).toBe('JOB_UNKNOWN')
    expect(codeOf(await at().log.verify('job-none'))).toBe('JOB_UNKNOWN')
  })

  test('names the command that each line came with', async () => {
    const { stored } = await openJob(at().log, 'job-one')
    const first = stored[0]?.event.id
    expect(valueOf(await at().log.read('job-one')).map((line) => line.command)).toEqual([first, first])
  })

  test('texts with zero characters, quotes and signs of all planes come back as they were', async () => {
    const { log } = at()
    const name = 'A\u0000nn "Exämple" \u{1F6C1} \\ \n'
    valueOf(await appendOne(log, { job: 'job-one', expectedSeq: 0, events: [opened('job-one'), joined('job-one', name)] }))
    expect(valueOf(await log.read('job-one', 1))[0]?.event.body).toMatchObject({ person: { name } })
  })
}

function chain(at: () => OpenStore): void {
  const fill = async (): Promise<EventLog> => {
    const { log } = at()
    await openJob(log, 'job-one')
    for (let seq = 2; seq < 6; seq += 1) await appendOne(log, { job: 'job-one', expectedSeq: seq, events: [answered('job-one')] })
    return log
  }

  test('an untouched log holds, and so does an acknowledgement that somebody kept', async () => {
    const log = await fill()
    const lines = valueOf(await log.read('job-one'))
    for (const { ack } of lines) expect(valueOf(await log.verify('job-one', ack))).toEqual({ lines: 6, head: lines[5]?.ack })
  })

  test.each<Harm>(['lose-line', 'alter-line', 'alter-line-and-hash', 'cut-tail', 'alter-text', 'lose-text'])(
    '%s is found',
    async (harm) => {
      const log = await fill()
      at().harm('job-one', harm === 'cut-tail' ? 6 : 3, harm)
      expect(codeOf(await log.verify('job-one'))).toBe('LOG_CHAIN_BROKEN')
    },
  )

  test('a tail that was cut with all its traces is found by whoever kept the acknowledgement', async () => {
    const log = await fill()
    const kept = valueOf(await log.read('job-one')).at(-1)?.ack
    at().harm('job-one', 6, 'cut-tail-and-head')
    expect(codeOf(await log.verify('job-one'))).toBe('ok')
    expect(codeOf(await log.verify('job-one', kept))).toBe('LOG_CHAIN_BROKEN')
  })

  test('an acknowledgement with another hash is found', async () => {
    const log = await fill()
    expect(codeOf(await log.verify('job-one', { seq: 3, hash: 'another' }))).toBe('LOG_CHAIN_BROKEN')
  })
}

function content(at: () => OpenStore): void {
  const WORDS = ['Ann Example', 'far too hot', '4711']

  test('never stand in the chained log', async () => {
    const { log } = at()
    await openJob(log, 'job-one')
    await appendOne(log, { job: 'job-one', expectedSeq: 2, events: [answered('job-one')] })
    expect(at().chained()).toContain('job-opened')
    for (const words of WORDS) expect(at().chained()).not.toContain(words)
  })

  test('are gone once erased, and the chain still holds', async () => {
    const { log } = at()
    await openJob(log, 'job-one')
    await appendOne(log, { job: 'job-one', expectedSeq: 2, events: [answered('job-one')] })
    expect(valueOf(await log.content.erase('job-one'))).toBe(3)
    expect(valueOf(await log.content.erase('job-one'))).toBe(0)
    const text = JSON.stringify(valueOf(await log.read('job-one')))
    for (const words of WORDS) expect(text).not.toContain(words)
    expect(text).toContain('(erased)')
    expect(codeOf(await log.verify('job-one'))).toBe('ok')
  })

  test('of one job are erased without those of another', async () => {
    const { log } = at()
    await openJob(log, 'job-one')
    await openJob(log, 'job-two')
    await log.content.erase('job-one')
    expect(JSON.stringify(valueOf(await log.read('job-two')))).toContain('Ann Example')
  })

  test('are put, got and erased one by one', async () => {
    const { content } = at().log
    valueOf(await content.put('job-one', 'phone', '555-0100'))
    valueOf(await content.put('job-one', 'address', '1 Invented Road'))
    valueOf(await content.put('job-one', 'phone', '555-0101'))
    expect(await content.get('job-one', 'phone')).toBe('555-0101')
    expect(await content.get('job-two', 'phone')).toBeUndefined()
    expect(valueOf(await content.erase('job-one', 'phone'))).toBe(1)
    expect(await content.get('job-one', 'phone')).toBeUndefined()
    expect(await content.get('job-one', 'address')).toBe('1 Invented Road')
  })

  test('of the same event have another hash in another job', async () => {
    const { log } = at()
    for (const job of ['job-one', 'job-two']) await openJob(log, job)
    const hashes = [
      ...at()
        .chained()
        .matchAll(/"\$hash":"([^"]+)"/g),
    ].map((match) => match[1])
    expect(hashes.length).toBeGreaterThanOrEqual(4)
    expect(new Set(hashes).size).toBe(hashes.length)
  })
}

function lists(at: () => OpenStore): void {
  const ROW: Partial<JobRow> = {
    job: 'job-one',
    short: 'ABC-234',
    flow: 'overheating',
    practice: true,
    state: 'open',
    edition: 1,
    events: 2,
  }

  test('the job list follows the log, most recent first', async () => {
    const { log } = at()
    await openJob(log, 'job-one')
    await openJob(log, 'job-two')
    const later = { at: Date.UTC(2026, 2, 4) }
    const ended = { type: 'job-ended', body: { ending: 'normal', tub: 'safe-to-use', step: 'end' } } as const
    await appendOne(log, { job: 'job-one', expectedSeq: 2, events: [plain('job-one', { ...later, ...ended })] })
    const rows = await log.jobs(10)
    expect(rows.map((row) => [row.job, row.state])).toEqual([
      ['job-one', 'ended'],
      ['job-two', 'open'],
    ])
    expect(await log.jobs(1)).toHaveLength(1)
    const reopened = { type: 'job-reopened', body: { why: 'visit' } } as const
    await appendOne(log, { job: 'job-one', expectedSeq: 3, events: [plain('job-one', { ...later, ...reopened })] })
    expect((await log.jobs(10))[0]).toMatchObject({ ...ROW, events: 4 })
    expect((await log.jobs(10))[0]).not.toHaveProperty('ending')
  })

  test('the job list made again from the log is the same', async () => {
    const { log } = at()
    await openJob(log, 'job-one')
    await openJob(log, 'job-two')
    const before = await log.jobs(10)
    await log.rebuildJobs()
    expect(await log.jobs(10)).toEqual(before)
    await appendOne(log, { job: 'job-two', expectedSeq: 2, events: [plain('job-two')] })
    expect((await log.jobs(10)).find((row) => row.job === 'job-two')?.events).toBe(3)
  })

  test('a link comes to life with the events of its job, or not at all', async () => {
    const { log } = at()
    const links = [{ hash: 'hash-of-staff', kind: 'staff' as const }]
    await appendOne(log, { job: 'job-one', expectedSeq: 5, events: [opened('job-one')], links })
    expect(await log.findLink('hash-of-staff')).toBeUndefined()
    await appendOne(log, { job: 'job-one', expectedSeq: 0, events: [opened('job-one')], links })
    expect(await log.findLink('hash-of-staff')).toEqual({ job: 'job-one', kind: 'staff' })
    await log.addLinks('job-one', [{ hash: 'hash-of-home', kind: 'homeowner' }])
    expect(await log.findLink('hash-of-home')).toEqual({ job: 'job-one', kind: 'homeowner' })
  })

  test('a probe answers', async () => {
    expect(codeOf(await at().log.probe())).toBe('ok')
  })
}
