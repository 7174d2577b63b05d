// The embedded store on node:sqlite: WAL, every commit flushed, one writer, commits grouped per turn of the event loop.
// What may stand in a line is content.ts and chain.ts; nothing here knows HTTP or the engine.
import { existsSync, mkdirSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { failed, ok } from '../errors.ts'
import type { Outcome } from '../errors.ts'
import { createLine, readLine, verifyChain } from './chain.ts'
import type { Line } from './chain.ts'
import { createContent, hashContent, splitEvent } from './content.ts'
import { holdFolder, isBusy, openDriver } from './driver.ts'
import type { Driver, Row } from './driver.ts'
import type { Ack, Append, Appended, EventLog, JobRow, Link, NewLink, Stored, Verified } from './event-log.ts'
import { createGroupCommit, describeStoreError, endLeftover } from './group-commit.ts'
import type { GroupCommit } from './group-commit.ts'
import { projectJob } from './job-list.ts'
import { JOB_LIST, prepareSchema } from './sqlite-schema.ts'

export type SqliteOptions = {
  /** Folder of the store; made when it is not there. */
  readonly dataDir: string
  readonly now: () => number
  /** Tests hand in a driver that fails on purpose. */
  readonly open?: (path: string) => Driver
}

/** The last line of a job; seq 0 and FIRST_PREV while it has none. */
type Head = Ack & { readonly no: number }
const DAY_MS = 24 * 60 * 60 * 1000

type Store = {
  readonly driver: Driver
  readonly now: () => number
  readonly group: GroupCommit
  readonly sql: ReturnType<typeof prepareStatements>
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
    const store: Store = { driver, now: options.now, group: createGroupCommit(driver), sql: prepareStatements(driver) }
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
    append: async (batch) => await Promise.all(batch.map((item) => group.write(() => appendItem(store, item)))),
    read: async (job, afterSeq = 0) => guard(store, () => readJob(store, job, afterSeq)),
    jobs: async (most) => {
      endLeftover(driver)
      return sql.listJobs.all(most).map((row) => JSON.parse(String(row['row'])) as JobRow)
    },
    rebuildJobs: async () => {
      await group.write(() => ok(rebuildJobs(store)))
    },
    verify: async (job, known) => guard(store, () => verifyJob(store, job, known)),
    content: {
      put: async (job, id, text) => await group.write(() => ok(putContent(store, job, createContent(id, text)))),
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
    addLinks: async (job, links) => await group.write(() => ok(addLinks(store, job, links))),
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

/** The id of the first event of an append stands only once. */
const LINE = 'seq, hash, coalesce(command, id) AS command, line'

function prepareStatements(driver: Driver) {
  return {
    head: driver.prepare('SELECT no, seq, hash FROM heads WHERE job = ?'),
    addHead: driver.prepare("INSERT INTO heads (job, seq, hash) VALUES (?, 0, '') RETURNING no, seq, hash"),
    setHead: driver.prepare('UPDATE heads SET seq = ?2, hash = ?3 WHERE no = ?1'),
    find: driver.prepare(`SELECT ${LINE} FROM events WHERE no = ? AND id = ?`),
    add: driver.prepare('INSERT INTO events (no, seq, id, command, hash, line) VALUES (?, ?, ?, ?, ?, ?)'),
    read: driver.prepare(`SELECT ${LINE} FROM events WHERE no = ? AND seq > ? ORDER BY seq`),
    everyJob: driver.prepare('SELECT job, no FROM heads ORDER BY no'),
    contents: driver.prepare('SELECT id, salt, text FROM contents WHERE job = ?'),
    getContent: driver.prepare('SELECT text FROM contents WHERE job = ? AND id = ?'),
    putContent: driver.prepare(
      'INSERT INTO contents (job, id, salt, text) VALUES (?1, ?2, ?3, ?4) ON CONFLICT (job, id) DO UPDATE SET salt = ?3, text = ?4',
    ),
    eraseOne: driver.prepare('UPDATE contents SET salt = NULL, text = NULL WHERE job = ? AND id = ? AND text IS NOT NULL RETURNING id'),
    eraseAll: driver.prepare('UPDATE contents SET salt = NULL, text = NULL WHERE job = ? AND text IS NOT NULL RETURNING id'),
    addLink: driver.prepare('INSERT INTO links (hash, job, kind) VALUES (?, ?, ?)'),
    findLink: driver.prepare('SELECT job, kind FROM links WHERE hash = ?'),
    probe: driver.prepare('INSERT INTO probes (one, at) VALUES (1, ?1) ON CONFLICT (one) DO UPDATE SET at = ?1'),
    getRow: driver.prepare('SELECT row FROM job_list WHERE no = ?'),
    setRow: driver.prepare(
      'INSERT INTO job_list (no, last_day, last_at, row) VALUES (?1, ?2, ?3, ?4) ON CONFLICT (no) DO UPDATE SET last_day = ?2, last_at = ?3, row = ?4',
    ),
    listJobs: driver.prepare('SELECT row FROM job_list ORDER BY last_day DESC, last_at DESC, no LIMIT ?'),
  }
}

function appendItem(store: Store, item: Append): Outcome<Appended> {
  const { sql } = store
  const known = readHead(sql.head.get(item.job))
  const found = known === undefined ? [] : item.events.map((event) => sql.find.get(known.no, event.id))
  if (found.length > 0 && found.every((row) => row !== undefined)) return repeat(store, item.job, found)
  if ((known?.seq ?? 0) !== item.expectedSeq || found.some((row) => row !== undefined)) return stale(known)
  const head = known ?? readHead(sql.addHead.get(item.job))
  if (head === undefined) throw new Error('The store gave a new job no number.')
  const stored: Stored[] = []
  const receivedAt = store.now()
  const command = item.events[0]?.id ?? ''
  let { seq, hash } = head
  for (const event of item.events) {
    const { seq: _seq, receivedAt: _receivedAt, ...made } = event
    const split = splitEvent(made)
    seq += 1
    const line = createLine(split.event, seq, receivedAt, hash)
    hash = line.hash
    sql.add.run(head.no, seq, event.id, event.id === command ? null : command, hash, line.json)
    for (const content of split.contents) putContent(store, item.job, content)
    stored.push({ event: { ...made, seq, receivedAt }, ack: { seq, hash }, command })
  }
  sql.setHead.run(head.no, seq, hash)
  projectRow(store, head.no, stored)
  addLinks(store, item.job, item.links ?? [])
  return ok({ stored, repeat: false })
}

function repeat(store: Store, job: string, rows: readonly Row[]): Outcome<Appended> {
  const read = readLines(store, job, rows)
  return read.ok ? ok({ stored: read.value, repeat: true }) : read
}

function stale(head: Ack | undefined): Outcome<never> {
  return failed('LOG_SEQUENCE_STALE', 'The log went on in the meantime. Read it again, then decide again.', {
    details: { seq: head?.seq ?? 0 },
  })
}

function readJob(store: Store, job: string, afterSeq: number): Outcome<Stored[]> {
  const head = readHead(store.sql.head.get(job))
  return head === undefined ? unknownJob() : readLines(store, job, store.sql.read.all(head.no, afterSeq))
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
  const lines = sql.read.all(head.no, 0).map(rowToLine)
  const contents = new Map(sql.contents.all(job).map((row) => [String(row['id']), row]))
  const isContentFit = (id: string, hash: string): boolean => {
    const row = contents.get(id)
    if (row === undefined) return false
    const text = readText(row)
    return text === undefined || hashContent({ id, salt: String(row['salt']), text }) === hash
  }
  return verifyChain({ lines, head, known, isContentFit })
}

function projectRow(store: Store, no: number, stored: readonly Stored[]): void {
  const before = store.sql.getRow.get(no)
  let row = before === undefined ? undefined : (JSON.parse(String(before['row'])) as JobRow)
  for (const { event } of stored) row = projectJob(row, event)
  if (row !== undefined) store.sql.setRow.run(no, Math.floor(row.lastAt / DAY_MS), row.lastAt, JSON.stringify(row))
}

function rebuildJobs(store: Store): void {
  store.driver.exec(JOB_LIST)
  // The statements of the old table went with it.
  Object.assign(store.sql, prepareStatements(store.driver))
  for (const row of store.sql.everyJob.all()) {
    const read = readJob(store, String(row['job']), 0)
    // A log that cannot be read is left out of the list; reading the job itself says why.
    if (read.ok) projectRow(store, Number(row['no']), read.value)
  }
}

/** Texts are kept as JSON strings: SQLite cuts a plain text at a zero character. */
function putContent(store: Store, job: string, content: { id: string; salt: string; text: string }): void {
  store.sql.putContent.run(job, content.id, content.salt, JSON.stringify(content.text))
}

function eraseContent(store: Store, job: string, id: string | undefined): number {
  return (id === undefined ? store.sql.eraseAll.all(job) : store.sql.eraseOne.all(job, id)).length
}

function addLinks(store: Store, job: string, links: readonly NewLink[]): void {
  for (const link of links) store.sql.addLink.run(link.hash, job, link.kind)
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

function readHead(row: Row | undefined): Head | undefined {
  return row === undefined ? undefined : { no: Number(row['no']), seq: Number(row['seq']), hash: String(row['hash']) }
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
