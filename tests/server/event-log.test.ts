// The contract of stores, run by each of them: SQLite on disk, and its twin in memory.
// What only SQLite can do wrong (a full disk, a failing one) is sqlite.test.ts.
import { DatabaseSync } from 'node:sqlite'
import { join } from 'node:path'
import { hashLine } from '../../server/storage/chain.ts'
import type { EventLog } from '../../server/storage/event-log.ts'
import { createClock, createFolder, openLog } from './edition.ts'
import { eventLogContract } from './event-log.contract.ts'
import type { Harm, OpenStore } from './event-log.contract.ts'
import { createMemory, openMemoryLog } from './memory-log.ts'
import type { Memory } from './memory-log.ts'

eventLogContract('SQLite', () => {
  const { now } = createClock()
  return openOnDisk(async (path) => openLog(path, now))
})

async function openOnDisk(open: (path: string) => Promise<EventLog>): Promise<OpenStore> {
  const folder = createFolder()
  let log = await open(folder.path)
  const inFile = <T>(work: (database: DatabaseSync) => T): T => {
    const database = new DatabaseSync(join(folder.path, 'jobs.db'))
    try {
      return work(database)
    } finally {
      database.close()
    }
  }
  return {
    log,
    chained: () => inFile((database) => JSON.stringify(database.prepare('SELECT * FROM events').all()).replaceAll('\\"', '"')),
    harm: (job, seq, harm) => inFile((database) => harmFile(database, job, seq, harm)),
    reopen: async (): Promise<EventLog> => {
      await log.close()
      log = await open(folder.path)
      return log
    },
    remove: async () => {
      await log.close()
      folder.remove()
    },
  }
}

eventLogContract('memory', () => {
  const memory = createMemory()
  const { now } = createClock()
  return {
    log: openMemoryLog(memory, now),
    chained: () => JSON.stringify([...memory.jobs.values()].flatMap((job) => job.lines)).replaceAll('\\"', '"'),
    harm: (job, seq, harm) => harmMemory(memory, job, seq, harm),
    reopen: async () => openMemoryLog(memory, now),
    remove: async () => undefined,
  }
})

function altered(json: string): string {
  return json.replace('"desk-01"', '"desk-02"')
}

function harmFile(database: DatabaseSync, job: string, seq: number, harm: Harm): void {
  const line = String(
    database.prepare('SELECT line FROM events WHERE no = (SELECT no FROM heads WHERE job = ?) AND seq = ?').get(job, seq)?.['line'],
  )
  const before =
    database.prepare('SELECT hash FROM events WHERE no = (SELECT no FROM heads WHERE job = ?) AND seq = ?').get(job, seq - 1)?.['hash'] ??
    ''
  const set = (sql: string, ...values: (string | number)[]): void => void database.prepare(sql).run(...values)
  if (harm === 'alter-line')
    set('UPDATE events SET line = ? WHERE no = (SELECT no FROM heads WHERE job = ?) AND seq = ?', altered(line), job, seq)
  else if (harm === 'alter-line-and-hash') {
    set(
      'UPDATE events SET line = ?, hash = ? WHERE no = (SELECT no FROM heads WHERE job = ?) AND seq = ?',
      altered(line),
      hashLine(altered(line)),
      job,
      seq,
    )
  } else if (harm === 'alter-text') set(`UPDATE contents SET text = '"other"' WHERE job = ?`, job)
  else if (harm === 'lose-text') set('DELETE FROM contents WHERE job = ?', job)
  else set('DELETE FROM events WHERE no = (SELECT no FROM heads WHERE job = ?) AND seq = ?', job, seq)
  if (harm === 'cut-tail-and-head') {
    const row = 'SELECT max(row) FROM events WHERE no = heads.no'
    set(`UPDATE heads SET seq = ?, hash = ?, row = (${row}) WHERE job = ?`, seq - 1, String(before), job)
  }
}

function harmMemory(memory: Memory, job: string, seq: number, harm: Harm): void {
  const kept = memory.jobs.get(job)
  const at = kept?.lines[seq - 1]
  if (kept === undefined || at === undefined) throw new Error('nothing to harm')
  const json = altered(at.line.json)
  if (harm === 'alter-line') at.line = { ...at.line, json }
  else if (harm === 'alter-line-and-hash') at.line = { ...at.line, json, hash: hashLine(json) }
  else if (harm === 'alter-text') for (const text of kept.texts.values()) text.text = 'other'
  else if (harm === 'lose-text') kept.texts.clear()
  else kept.lines.splice(seq - 1, 1)
  const last = kept.lines.at(-1)?.line
  if (harm === 'cut-tail-and-head' && last !== undefined) kept.head = { seq: last.seq, hash: last.hash }
}
