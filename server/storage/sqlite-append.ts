// Appending to the embedded store: what is known of the end of a job's log, and the lines, head and list row that an append writes.
// Reading, checking and opening are sqlite.ts; whether a commit went through is known only there.
import { createRecent } from '../job-memory.ts'
import type { Recent } from '../job-memory.ts'
import { failed } from '../errors.ts'
import type { Outcome } from '../errors.ts'
import { createLine, FIRST_PREV } from './chain.ts'
import { splitEvent } from './content.ts'
import type { Content } from './content.ts'
import type { Driver, Row } from './driver.ts'
import type { Append, JobRow, NewLink, Stored } from './event-log.ts'
import { projectJob } from './job-list.ts'

const DAY_MS = 24 * 60 * 60 * 1000
/** Jobs whose end is kept in memory. */
const TAILS_MOST = 1000

/** The last line of a job as the store wrote it down; `row` is where it stands among the lines of all jobs. */
export type Head = { readonly no: number; readonly seq: number; readonly hash: string; readonly row: number; readonly lastAt: number }
/** The end of a job's log: enough to append without reading. */
export type Tail = Head & { readonly ids: Set<string>; readonly listed: JobRow | undefined }
export type Added = { readonly stored: readonly Stored[]; readonly tail: Tail }

export type AppendSql = ReturnType<typeof prepareAppend>

export function prepareAppend(driver: Driver) {
  return {
    head: driver.prepare('SELECT no, seq, hash, row, last_at FROM heads WHERE job = ?'),
    addHead: driver.prepare("INSERT INTO heads (job, seq, hash, row, last_at) VALUES (?, 0, '', 0, 0) RETURNING no"),
    // Held to the line it follows: whatever went wrong in memory, two lines never follow the same one.
    setHead: driver.prepare('UPDATE heads SET seq = ?3, hash = ?4, row = ?5, last_at = ?6 WHERE no = ?1 AND seq = ?2 RETURNING no'),
    ids: driver.prepare(`${WALK} SELECT id FROM up JOIN events USING (row)`),
    add: driver.prepare('INSERT INTO events (before, no, seq, id, command, hash, line) VALUES (?, ?, ?, ?, ?, ?, ?) RETURNING row'),
    putContent: driver.prepare(
      'INSERT INTO contents (job, id, salt, text) VALUES (?1, ?2, ?3, ?4) ON CONFLICT (job, id) DO UPDATE SET salt = ?3, text = ?4',
    ),
    addLink: driver.prepare('INSERT INTO links (hash, job, kind) VALUES (?, ?, ?)'),
    getRow: driver.prepare('SELECT row FROM job_list WHERE no = ?'),
    setRow: driver.prepare(
      'INSERT INTO job_list (no, last_day, row) VALUES (?1, ?2, ?3) ON CONFLICT (no) DO UPDATE SET last_day = ?2, row = ?3',
    ),
  }
}

/** From the last row of a job back to the line after seq ?2; ?3 is the job. A row that is named twice ends the walk. */
export const WALK = `
  WITH RECURSIVE up (row, before, seq) AS (
    SELECT row, before, seq FROM events WHERE row = ?1 AND no = ?3
    UNION SELECT older.row, older.before, older.seq FROM up JOIN events AS older ON older.row = up.before WHERE up.seq > ?2 + 1 AND older.no = ?3
  )`

export function createTails(): Recent<Tail> {
  return createRecent<Tail>(TAILS_MOST)
}

export function readHead(row: Row | undefined): Head | undefined {
  if (row === undefined) return undefined
  return {
    no: Number(row['no']),
    seq: Number(row['seq']),
    hash: String(row['hash']),
    row: Number(row['row']),
    lastAt: Number(row['last_at']),
  }
}

export function readTail(sql: AppendSql, job: string): Tail | undefined {
  const head = readHead(sql.head.get(job))
  if (head === undefined) return undefined
  const ids = sql.ids.all(head.row, 0, head.no).map((row) => String(row['id']))
  return { ...head, ids: new Set(ids), listed: readListed(sql.getRow.get(head.no), head) }
}

/** A row of the list; how far the job has come is written in its head alone. */
export function readListed(row: Row | undefined, { seq, lastAt }: Pick<Head, 'seq' | 'lastAt'>): JobRow | undefined {
  return row === undefined ? undefined : { ...(JSON.parse(String(row['row'])) as JobRow), lastAt, events: seq }
}

/** Everything that belongs to one append; the caller sees to it that all of it is committed, or nothing. */
export function addLines(sql: AppendSql, item: Append, before: Tail | undefined, receivedAt: number): Added {
  const start = before ?? createHead(sql, item.job)
  const stored: Stored[] = []
  // Taken over with the tail, which is dropped unless all of it is committed: a copy would grow with the job.
  const { ids } = start
  const command = item.events[0]?.id ?? ''
  let { seq, hash, row, lastAt } = start
  for (const event of item.events) {
    const { seq: _seq, receivedAt: _receivedAt, ...made } = event
    const split = splitEvent(made)
    const line = createLine(split.event, seq + 1, receivedAt, hash)
    const own = event.id === command ? null : command
    const added = sql.add.get(seq === 0 ? null : row, start.no, line.seq, event.id, own, line.hash, line.json)
    for (const content of split.contents) putContent(sql, item.job, content)
    ;({ seq, hash } = line)
    row = Number(added?.['row'])
    lastAt = Math.max(lastAt, event.at)
    ids.add(event.id)
    stored.push({ event: { ...made, seq, receivedAt }, ack: { seq, hash }, command })
  }
  if (sql.setHead.get(start.no, start.seq, seq, hash, row, lastAt) === undefined) throw new Error('The log of a job went on unseen.')
  addLinks(sql, item.job, item.links ?? [])
  return { stored, tail: { no: start.no, seq, hash, row, lastAt, ids, listed: listJob(sql, start.no, start.listed, stored) } }
}

function createHead(sql: AppendSql, job: string): Tail {
  const no = Number(sql.addHead.get(job)?.['no'])
  return { no, seq: 0, hash: FIRST_PREV, row: 0, lastAt: 0, ids: new Set(), listed: undefined }
}

/** Written only when something shows that the head of the job does not tell, and once a day for the order of the list. */
export function listJob(sql: AppendSql, no: number, before: JobRow | undefined, stored: readonly Stored[]): JobRow | undefined {
  let after = before
  for (const { event } of stored) after = projectJob(after, event)
  if (after === undefined) return undefined
  const isSame =
    before?.state === after.state && before.ending === after.ending && before.edition === after.edition && dayOf(before) === dayOf(after)
  if (!isSame) sql.setRow.run(no, dayOf(after), JSON.stringify(after))
  return after
}

function dayOf(row: JobRow): number {
  return Math.floor(row.lastAt / DAY_MS)
}

/** Texts are kept as JSON strings: SQLite cuts a plain text at a zero character. */
export function putContent(sql: AppendSql, job: string, content: Content): void {
  sql.putContent.run(job, content.id, content.salt, JSON.stringify(content.text))
}

export function addLinks(sql: AppendSql, job: string, links: readonly NewLink[]): void {
  for (const link of links) sql.addLink.run(link.hash, job, link.kind)
}

/** The log went on, or a part of the append stands in it already. */
export function refuseStale(tail: Tail | undefined): Outcome<never> {
  return failed('LOG_SEQUENCE_STALE', 'The log went on in the meantime. Read it again, then decide again.', {
    details: { seq: tail?.seq ?? 0 },
  })
}

export type Fit = 'repeat' | 'stale' | 'next'

export function fitOf(item: Append, tail: Tail | undefined): Fit {
  const known = item.events.filter((event) => tail?.ids.has(event.id) === true).length
  if (known > 0 && known === item.events.length) return 'repeat'
  return known > 0 || (tail?.seq ?? 0) !== item.expectedSeq ? 'stale' : 'next'
}
