// The tables of the embedded store and how an older file is brought up to date.
// Statements that read and write them stand in sqlite.ts.
import type { Driver } from './driver.ts'

/** Written into the file; a file of a newer number is refused. */
export const SCHEMA_VERSION = 1

const TABLES = `
  -- One line an event, never changed. command: the first event of the append it came with.
  CREATE TABLE events (
    job TEXT NOT NULL, seq INTEGER NOT NULL, id TEXT NOT NULL, command TEXT NOT NULL, hash TEXT NOT NULL, line TEXT NOT NULL,
    PRIMARY KEY (job, seq), UNIQUE (job, id)
  ) STRICT;
  -- The last line of each job, written down apart from it: a cut log is seen.
  CREATE TABLE heads (job TEXT PRIMARY KEY, seq INTEGER NOT NULL, hash TEXT NOT NULL) STRICT;
  -- Names and free words. text and salt are NULL once erased; the row stays, so that a lost text differs from an erased one.
  CREATE TABLE contents (job TEXT NOT NULL, id TEXT NOT NULL, salt TEXT, text TEXT, PRIMARY KEY (job, id)) STRICT, WITHOUT ROWID;
  CREATE TABLE links (hash TEXT PRIMARY KEY, job TEXT NOT NULL, kind TEXT NOT NULL CHECK (kind IN ('staff', 'homeowner'))) STRICT, WITHOUT ROWID;
  CREATE TABLE probes (one INTEGER PRIMARY KEY CHECK (one = 1), at INTEGER NOT NULL) STRICT;
`

/** A projection: dropped and made again from the events. */
export const JOB_LIST = `
  DROP TABLE IF EXISTS job_list;
  CREATE TABLE job_list (job TEXT PRIMARY KEY, last_at INTEGER NOT NULL, row TEXT NOT NULL) STRICT, WITHOUT ROWID;
  CREATE INDEX job_list_by_time ON job_list (last_at DESC);
`

/** Words when the file cannot be used as it is. */
export function prepareSchema(driver: Driver): string | undefined {
  // Erased texts are overwritten, not only unlinked.
  driver.exec('PRAGMA secure_delete = ON')
  const version = Number(driver.prepare('PRAGMA user_version').get()?.['user_version'] ?? 0)
  if (version > SCHEMA_VERSION)
    return 'The jobs in DATA_DIR were written by a newer Backwrench. Start that version, or name another folder.'
  if (version === SCHEMA_VERSION) return undefined
  driver.exec('BEGIN IMMEDIATE')
  driver.exec(TABLES)
  driver.exec(JOB_LIST)
  driver.exec(`PRAGMA user_version = ${SCHEMA_VERSION}`)
  driver.exec('COMMIT')
  return undefined
}
