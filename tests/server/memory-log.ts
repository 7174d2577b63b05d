// A store that forgets when the process ends: the second implementation that keeps the contract of stores honest.
// It shares the chain and the content rules with the real one, and nothing else.
import { createLine, FIRST_PREV, readLine, verifyChain } from '../../server/storage/chain.ts'
import type { Line } from '../../server/storage/chain.ts'
import { createContent, hashContent, splitEvent } from '../../server/storage/content.ts'
import { failed, ok } from '../../server/errors.ts'
import type { Outcome } from '../../server/errors.ts'
import type { Append, Appended, EventLog, JobRow, Link, Stored } from '../../server/storage/event-log.ts'
import { projectJob } from '../../server/storage/job-list.ts'

type Kept = { id: string; command: string; line: Line }
type Job = { lines: Kept[]; head: { seq: number; hash: string }; texts: Map<string, { salt: string; text: string | undefined }> }
export type Memory = { jobs: Map<string, Job>; rows: Map<string, JobRow>; links: Map<string, Link> }

export function createMemory(): Memory {
  return { jobs: new Map(), rows: new Map(), links: new Map() }
}

export function openMemoryLog(memory: Memory, now: () => number): EventLog {
  const unknown = (): Outcome<never> => failed('JOB_UNKNOWN', 'There is no such job.')
  return {
    append: async (batch) => batch.map((item) => append(memory, item, now())),
    read: async (job, afterSeq = 0) => {
      const kept = memory.jobs.get(job)
      return kept === undefined
        ? unknown()
        : readKept(
            kept,
            kept.lines.filter(({ line }) => line.seq > afterSeq),
          )
    },
    jobs: async (most) => [...memory.rows.values()].toSorted((a, b) => b.lastAt - a.lastAt || (a.job < b.job ? -1 : 1)).slice(0, most),
    rebuildJobs: async () => rebuild(memory),
    verify: async (job, known) => {
      const kept = memory.jobs.get(job)
      if (kept === undefined) return unknown()
      const isContentFit = (id: string, hash: string): boolean => {
        const found = kept.texts.get(id)
        return found !== undefined && (found.text === undefined || hashContent({ id, salt: found.salt, text: found.text }) === hash)
      }
      return verifyChain({ lines: kept.lines.map(({ line }) => line), head: kept.head, known, isContentFit })
    },
    content: createContentStore(memory),
    addLinks: async (job, links) => {
      for (const { hash, kind } of links) memory.links.set(hash, { job, kind })
      return ok(undefined)
    },
    findLink: async (hash) => memory.links.get(hash),
    probe: async () => ok(undefined),
    counts: () => ({ commits: 0, writes: 0 }),
    close: async () => undefined,
  }
}

function createContentStore({ jobs }: Memory): EventLog['content'] {
  return {
    put: async (job, id, text) => {
      const { salt } = createContent(id, text)
      const kept = jobs.get(job) ?? { lines: [], head: { seq: 0, hash: FIRST_PREV }, texts: new Map() }
      jobs.set(job, kept)
      kept.texts.set(id, { salt, text })
      return ok(undefined)
    },
    get: async (job, id) => jobs.get(job)?.texts.get(id)?.text,
    erase: async (job, id) => {
      const texts = [...(jobs.get(job)?.texts ?? [])].filter(([each, { text }]) => (id === undefined || each === id) && text !== undefined)
      for (const [, kept] of texts) kept.text = undefined
      return ok(texts.length)
    },
  }
}

function append({ jobs, rows, links }: Memory, item: Append, receivedAt: number): Outcome<Appended> {
  const before: Job = jobs.get(item.job) ?? { lines: [], head: { seq: 0, hash: FIRST_PREV }, texts: new Map() }
  const found = item.events.map((event) => before.lines.find(({ id }) => id === event.id))
  if (found.length > 0 && found.every((one) => one !== undefined)) {
    const read = readKept(before, found)
    return read.ok ? ok({ stored: read.value, repeat: true }) : read
  }
  if (before.head.seq !== item.expectedSeq || found.some((one) => one !== undefined)) return failed('LOG_SEQUENCE_STALE', 'Read again.')
  const after: Job = { lines: [...before.lines], head: before.head, texts: new Map(before.texts) }
  const command = item.events[0]?.id ?? ''
  const stored: Stored[] = []
  for (const { seq: _seq, receivedAt: _receivedAt, ...made } of item.events) {
    const split = splitEvent(made)
    const line = createLine(split.event, after.head.seq + 1, receivedAt, after.head.hash)
    after.lines.push({ id: made.id, command, line })
    after.head = { seq: line.seq, hash: line.hash }
    for (const { id, salt, text } of split.contents) after.texts.set(id, { salt, text })
    stored.push({ event: { ...made, seq: line.seq, receivedAt }, ack: after.head, command })
  }
  jobs.set(item.job, after)
  for (const { hash, kind } of item.links ?? []) links.set(hash, { job: item.job, kind })
  project(rows, item.job, stored)
  return ok({ stored, repeat: false })
}

function project(rows: Map<string, JobRow>, job: string, stored: readonly Stored[]): void {
  let row = rows.get(job)
  for (const { event } of stored) row = projectJob(row, event)
  if (row !== undefined) rows.set(job, row)
}

function rebuild({ jobs, rows }: Memory): void {
  rows.clear()
  for (const [job, kept] of jobs) {
    const read = readKept(kept, kept.lines)
    if (read.ok) project(rows, job, read.value)
  }
}

function readKept(job: Job, lines: readonly Kept[]): Outcome<Stored[]> {
  const stored: Stored[] = []
  for (const { line, command } of lines) {
    const event = readLine(line, (id) => job.texts.get(id)?.text)
    if (!event.ok) return event
    stored.push({ event: event.value, ack: { seq: line.seq, hash: line.hash }, command })
  }
  return ok(stored)
}
