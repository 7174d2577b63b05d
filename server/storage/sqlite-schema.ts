// The tables of the embedded store and how an older file is brought up to date.
// Statements that read and write them stand in sqlite.ts.
import type { Driver } from './driver.ts'

/** Written into the file; a file of another number is refused. */
export const SCHEMA_VERSION = 2

const TABLES = `
  -- Each job with its last line, written down apart from the lines: a cut log is seen. Short numbers keep the other tables small.
  CREATE TABLE heads (
    no INTEGER PRIMARY KEY, job TEXT NOT NULL UNIQUE, seq INTEGER NOT NULL, hash TEXT NOT NULL, row INTEGER NOT NULL, last_at INTEGER NOT NULL
  ) STRICT;
  -- One line an event, never changed. Lines of all jobs stand one behind the other as they came in, each with the row of the line before it
  -- in its job: a flush carries the end of one table, where an index would carry a page for each job.
  -- command: the first event of the append it came with, NULL for that event itself.
  CREATE TABLE events (
    row INTEGER PRIMARY KEY, before INTEGER, no INTEGER NOT NULL, seq INTEGER NOT NULL, id TEXT NOT NULL, command TEXT,
    hash TEXT NOT NULL, line TEXT NOT NULL
  ) STRICT;
  -- Names and free words. text and salt are NULL once erased; the row stays, so that a lost text differs from an erased one.
  CREATE TABLE contents (job TEXT NOT NULL, id TEXT NOT NULL, salt TEXT, text TEXT, PRIMARY KEY (job, id)) STRICT, WITHOUT ROWID;
  CREATE TABLE links (hash TEXT PRIMARY KEY, job TEXT NOT NULL, kind TEXT NOT NULL CHECK (kind IN ('staff', 'homeowner'))) STRICT, WITHOUT ROWID;
  CREATE TABLE probes (one INTEGER PRIMARY KEY CHECK (one = 1), at INTEGER NOT NULL) STRICT;
`

/** A projection: dropped and made again from the events. What changes with each answer stands in heads; a row here moves once a day. */
export const JOB_LIST = `
  DROP TABLE IF EXISTS job_list;
  CREATE TABLE job_list (no INTEGER PRIMARY KEY, last_day INTEGER NOT NULL, row TEXT NOT NULL) STRICT;
  CREATE INDEX job_list_by_day ON job_list (last_day DESC);
`

/** Words when the file cannot be used as it is. */
export function prepareSchema(driver: Driver): string | undefined {
  // Erased texts are overwritten, not only unlinked.
  driver.exec('PRAGMA secure_delete = ON')
  const version = Number(driver.prepare('PRAGMA user_version').get()?.['user_version'] ?? 0)
  if (version > SCHEMA_VERSION)
    return 'The jobs in DATA_DIR were written by a newer Backwrench. Start that version, or name another folder.'
  if (version === SCHEMA_VERSION) return undefined
  if (version > 0) return 'The jobs in DATA_DIR were written by a trial version. Move them away, or name another folder.'
  driver.exec('BEGIN IMMEDIATE')
  driver.exec(TABLES)
  driver.exec(JOB_LIST)
  driver.exec(`PRAGMA user_version = ${SCHEMA_VERSION}`)
  driver.exec('COMMIT')
  return undefined
}
