// The embedded store on node:sqlite: WAL, every commit flushed, one writer, commits grouped (group-commit.ts).
// What may stand in a line is content.ts and chain.ts; nothing here knows HTTP or the engine.
import { existsSync, mkdirSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { failed, ok } from '../errors.ts'
import type { Outcome } from '../errors.ts'
import { readLine, verifyChain } from './chain.ts'
import type { Line } from './chain.ts'
import { createContent, hashContent } from './content.ts'
import { holdFolder, isBusy, openDriver } from './driver.ts'
import type { Driver, Row } from './driver.ts'
import type { Ack, Append, Appended, EventLog, Link, Stored, Verified } from './event-log.ts'
import { createGroupCommit, describeStoreError, endLeftover } from './group-commit.ts'
import type { GroupCommit } from './group-commit.ts'
import {
  addLines,
  addLinks,
  createTails,
  fitOf,
  listJob,
  prepareAppend,
  putContent,
  readHead,
  readListed,
  readTail,
  refuseStale,
  WALK,
} from './sqlite-append.ts'
import type { Added, Tail } from './sqlite-append.ts'
import { JOB_LIST, prepareSchema } from './sqlite-schema.ts'

export type SqliteOptions = {
  /** Folder of the store; made when it is not there. */
  readonly dataDir: string
  readonly now: () => number
  /** Tests hand in a driver that fails on purpose. */
  readonly open?: (path: string) => Driver
}

type Store = {
  readonly driver: Driver
  readonly now: () => number
  readonly group: GroupCommit
  readonly sql: ReturnType<typeof prepareStatements>
  /** Ends of logs as they were committed; only this process writes. */
  readonly tails: ReturnType<typeof createTails>
}

export function openSqliteLog(options: SqliteOptions): Outcome<EventLog> {
  let hold: { release: () => void } | undefined
  try {
    makeFolder(resolve(options.dataDir))
    hold = holdFolder(join(options.dataDir, 'in-use.db'))
    const driver = (options.open ?? openDriver)(join(options.dataDir, 'jobs.db'))
    const words = prepareSchema(driver)
    if (words !== undefined) {
      driver.close()
      hold.release()
      return failed('STORE_FAILED', words)
    }
    const [group, sql, tails] = [createGroupCommit(driver), prepareStatements(driver), createTails()]
    const store: Store = { driver, now: options.now, group, sql, tails }
    return ok(createLog(store, hold.release))
  } catch (error) {
    hold?.release()
    return failed('STORE_FAILED', describeOpening(error, options.dataDir))
  }
}

function createLog(store: Store, release: () => void): EventLog {
  const { sql, group, driver } = store
  let closed = false
  return {
    counts: () => group.counts,
    append: async (batch) => await Promise.all(batch.map(async (item) => await append(store, item))),
    read: async (job, afterSeq = 0) => guard(store, () => readJob(store, job, afterSeq)),
    jobs: async (most) => {
      endLeftover(driver)
      return sql.listJobs.all(most).flatMap((row) => readListed(row, { seq: Number(row['seq']), lastAt: Number(row['last_at']) }) ?? [])
    },
    rebuildJobs: async () => {
      await group.write(() => ok(rebuildJobs(store)))
    },
    verify: async (job, known) => guard(store, () => verifyJob(store, job, known)),
    content: {
      put: async (job, id, text) => await group.write(() => ok(putContent(sql, job, createContent(id, text)))),
      get: async (job, id) => {
        endLeftover(driver)
        return readText(sql.getContent.get(job, id))
      },
      erase: async (job, id) => {
        const erased = await group.write(() => ok(eraseContent(store, job, id)))
        // The old pages also stand in the write-ahead log until it is folded back and cut.
        if (erased.ok) driver.exec('PRAGMA wal_checkpoint(TRUNCATE)')
        return erased
      },
    },
    addLinks: async (job, links) => await group.write(() => ok(addLinks(sql, job, links))),
    findLink: async (hash) => {
      endLeftover(driver)
      return readLink(sql.findLink.get(hash))
    },
    probe: async () => await group.write(() => ok(sql.probe.run(store.now()))),
    close: async () => {
      if (closed) return
      closed = true
      group.close()
      driver.close()
      release()
    },
  }
}

function prepareStatements(driver: Driver) {
  return {
    ...prepareAppend(driver),
    // The id of the first event of an append stands only once.
    read: driver.prepare(`${WALK} SELECT events.seq, hash, coalesce(command, id) AS command, line FROM up JOIN events USING (row)
      WHERE events.seq > ?2 ORDER BY events.seq`),
    everyJob: driver.prepare('SELECT job, no FROM heads ORDER BY no'),
    contents: driver.prepare('SELECT id, salt, text FROM contents WHERE job = ?'),
    getContent: driver.prepare('SELECT text FROM contents WHERE job = ? AND id = ?'),
    eraseOne: driver.prepare('UPDATE contents SET salt = NULL, text = NULL WHERE job = ? AND id = ? AND text IS NOT NULL RETURNING id'),
    eraseAll: driver.prepare('UPDATE contents SET salt = NULL, text = NULL WHERE job = ? AND text IS NOT NULL RETURNING id'),
    findLink: driver.prepare('SELECT job, kind FROM links WHERE hash = ?'),
    probe: driver.prepare('INSERT INTO probes (one, at) VALUES (1, ?1) ON CONFLICT (one) DO UPDATE SET at = ?1'),
    listJobs: driver.prepare(
      'SELECT job_list.row, seq, last_at FROM job_list JOIN heads USING (no) ORDER BY last_day DESC, last_at DESC, no LIMIT ?',
    ),
  }
}

/** What memory knows of a job is what was committed last: put there after the commit, and dropped at any doubt. */
async function append(store: Store, item: Append): Promise<Outcome<Appended>> {
  const { group, tails } = store
  let after: Tail | undefined
  try {
    const outcome = await group.write(() => {
      const tail = tails.get(item.job) ?? readTail(store.sql, item.job)
      // Neighbours of the same commit read what this one wrote.
      tails.delete(item.job)
      const added = appendItem(store, item, tail)
      after = added.ok && 'tail' in added.value ? added.value.tail : undefined
      return added
    })
    if (!outcome.ok || after === undefined) tails.delete(item.job)
    else tails.set(item.job, after)
    if (!outcome.ok) return outcome
    return ok('tail' in outcome.value ? { stored: outcome.value.stored, repeat: false } : outcome.value)
  } catch (error) {
    tails.delete(item.job)
    throw error
  }
}

function appendItem(store: Store, item: Append, tail: Tail | undefined): Outcome<Added | Appended> {
  switch (fitOf(item, tail)) {
    case 'repeat':
      return repeat(store, item)
    case 'stale':
      return refuseStale(tail)
    default:
      return ok(addLines(store.sql, item, tail, store.now()))
  }
}

function repeat(store: Store, item: Append): Outcome<Appended> {
  const read = readJob(store, item.job, 0)
  if (!read.ok) return read
  const ids = new Set(item.events.map((event) => event.id))
  return ok({ stored: read.value.filter((line) => ids.has(line.event.id)), repeat: true })
}

function readJob(store: Store, job: string, afterSeq: number): Outcome<Stored[]> {
  const head = readHead(store.sql.head.get(job))
  return head === undefined ? unknownJob() : readLines(store, job, store.sql.read.all(head.row, afterSeq, head.no))
}

function readLines(store: Store, job: string, rows: readonly Row[]): Outcome<Stored[]> {
  const texts = new Map<string, string>()
  if (rows.some((row) => String(row['line']).includes('"$content"'))) {
    for (const row of store.sql.contents.all(job)) {
      const text = readText(row)
      if (text !== undefined) texts.set(String(row['id']), text)
    }
  }
  const stored: Stored[] = []
  for (const row of rows) {
    const line = rowToLine(row)
    const event = readLine(line, (id) => texts.get(id))
    if (!event.ok) return event
    stored.push({ event: event.value, ack: { seq: line.seq, hash: line.hash }, command: String(row['command']) })
  }
  return ok(stored)
}

function verifyJob(store: Store, job: string, known: Ack | undefined): Outcome<Verified> {
  const { sql } = store
  const head = readHead(sql.head.get(job))
  if (head === undefined) return unknownJob()
  const lines = sql.read.all(head.row, 0, head.no).map(rowToLine)
  const contents = new Map(sql.contents.all(job).map((row) => [String(row['id']), row]))
  const isContentFit = (id: string, hash: string): boolean => {
    const row = contents.get(id)
    if (row === undefined) return false
    const text = readText(row)
    return text === undefined || hashContent({ id, salt: String(row['salt']), text }) === hash
  }
  return verifyChain({ lines, head, known, isContentFit })
}

function rebuildJobs(store: Store): void {
  store.driver.exec(JOB_LIST)
  // The statements of the old table went with it.
  Object.assign(store.sql, prepareStatements(store.driver))
  for (const row of store.sql.everyJob.all()) {
    const read = readJob(store, String(row['job']), 0)
    // A log that cannot be read is left out of the list; reading the job itself says why.
    if (read.ok) listJob(store.sql, Number(row['no']), undefined, read.value)
  }
}

function eraseContent(store: Store, job: string, id: string | undefined): number {
  return (id === undefined ? store.sql.eraseAll.all(job) : store.sql.eraseOne.all(job, id)).length
}

function guard<T>({ driver }: Store, read: () => Outcome<T>): Outcome<T> {
  try {
    endLeftover(driver)
    return read()
  } catch (error) {
    const problem = describeStoreError(error)
    if (problem === undefined) throw error
    return problem
  }
}

/** One level at a time: the recursive way of Node never ends in folders that cannot hold another. */
function makeFolder(path: string): void {
  if (existsSync(path)) return
  const above = dirname(path)
  if (above !== path) makeFolder(above)
  mkdirSync(path, { mode: 0o700 })
}

function describeOpening(error: unknown, dataDir: string): string {
  if (isBusy(error)) return `Another Backwrench is using the folder ${dataDir}. Stop it first, or set DATA_DIR to another folder.`
  const reason = error instanceof Error ? error.message : String(error)
  return `The folder ${dataDir} cannot be used: ${reason}. Set DATA_DIR to a folder that this user may write to.`
}

function unknownJob(): Outcome<never> {
  return failed('JOB_UNKNOWN', 'There is no such job. Check the link, or open a new job.')
}

function rowToLine(row: Row): Line {
  return { seq: Number(row['seq']), hash: String(row['hash']), json: String(row['line']) }
}

function readText(row: Row | undefined): string | undefined {
  const text = row?.['text']
  return typeof text === 'string' ? (JSON.parse(text) as string) : undefined
}

function readLink(row: Row | undefined): Link | undefined {
  return row === undefined ? undefined : { job: String(row['job']), kind: row['kind'] === 'staff' ? 'staff' : 'homeowner' }
}
