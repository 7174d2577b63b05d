// The few calls the SQLite store makes, so that a test can make any one of them fail, and the driver can be changed.
// No SQL of ours lives here but the settings of a connection.
import { DatabaseSync } from 'node:sqlite'

export type Value = string | number | null
export type Row = { readonly [column: string]: Value }
export type Statement = {
  readonly run: (...values: Value[]) => void
  readonly get: (...values: Value[]) => Row | undefined
  readonly all: (...values: Value[]) => Row[]
}
export type Driver = {
  readonly exec: (sql: string) => void
  readonly prepare: (sql: string) => Statement
  readonly inTransaction: () => boolean
  readonly close: () => void
}

export function openDriver(path: string): Driver {
  const database = new DatabaseSync(path)
  // Set by hand: the `timeout` option was ignored by some releases of Node.
  database.exec('PRAGMA busy_timeout = 5000')
  database.exec('PRAGMA journal_mode = WAL')
  // NORMAL may lose the last commits on power loss; an acknowledged answer needs FULL.
  database.exec('PRAGMA synchronous = FULL')
  // 16 MB of log between two foldings: folding flushes as well.
  database.exec('PRAGMA wal_autocheckpoint = 4000')
  database.exec('PRAGMA trusted_schema = OFF')
  return {
    exec: (sql) => database.exec(sql),
    prepare: (sql) => {
      const statement = database.prepare(sql)
      return {
        run: (...values) => void statement.run(...values),
        get: (...values) => statement.get(...values) as Row | undefined,
        all: (...values) => statement.all(...values) as Row[],
      }
    },
    inTransaction: () => database.isTransaction,
    close: () => database.close(),
  }
}

/** SQLITE_FULL, also in its extended forms. */
export function isDiskFull(error: unknown): boolean {
  const code = (error as { readonly errcode?: unknown } | null)?.errcode
  return typeof code === 'number' && (code & 0xff) === 13
}

export function isBusy(error: unknown): boolean {
  const code = (error as { readonly errcode?: unknown } | null)?.errcode
  return typeof code === 'number' && ((code & 0xff) === 5 || (code & 0xff) === 6)
}

/** Held as long as this process lives, and freed by the system however it ends: two servers never share a folder. */
export function holdFolder(path: string): { readonly release: () => void } {
  const database = new DatabaseSync(path)
  try {
    database.exec('PRAGMA busy_timeout = 200')
    database.exec('BEGIN EXCLUSIVE')
  } catch (error) {
    database.close()
    throw error
  }
  return { release: () => database.close() }
}
