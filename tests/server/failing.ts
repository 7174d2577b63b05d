// A driver that fails on purpose at its Nth call, before or after doing it, once or from then on.
// It stands between the SQLite store and SQLite; the store cannot tell it from a failing disk.
import { openDriver } from '../../server/storage/driver.ts'
import type { Driver, Statement } from '../../server/storage/driver.ts'

/**
 * before: nothing was done · after: it was done, and the error came all the same · lost: SQLite gave up the whole transaction.
 */
export type Manner = 'before' | 'after' | 'lost'
export type FailingDriver = Driver & {
  /** Counts from the next call on. */
  readonly failAt: (call: number, manner: Manner, lasting: boolean) => void
  readonly heal: () => void
  /** Calls since failAt. */
  readonly calls: () => number
  readonly failed: () => boolean
}

/** As node:sqlite throws when the disk reports an error: SQLITE_IOERR is 10. */
export function createDiskError(errcode = 10): Error {
  return Object.assign(new Error('disk I/O error'), { code: 'ERR_SQLITE_ERROR', errcode })
}

export function openFailingDriver(path: string): FailingDriver {
  const driver = openDriver(path)
  let plan: { call: number; manner: Manner; lasting: boolean } | undefined
  let calls = 0
  let failed = false
  const run = <T>(work: () => T): T => {
    calls += 1
    const fails = plan !== undefined && (plan.lasting ? calls >= plan.call : calls === plan.call)
    if (!fails) return work()
    failed = true
    if (plan?.manner === 'after') work()
    if (plan?.manner === 'lost' && driver.inTransaction()) driver.exec('ROLLBACK')
    throw createDiskError()
  }
  const wrap = (statement: Statement): Statement => ({
    run: (...values) => run(() => statement.run(...values)),
    get: (...values) => run(() => statement.get(...values)),
    all: (...values) => run(() => statement.all(...values)),
  })
  return {
    exec: (sql) => run(() => driver.exec(sql)),
    prepare: (sql) => wrap(driver.prepare(sql)),
    inTransaction: driver.inTransaction,
    close: driver.close,
    failAt: (call, manner, lasting) => {
      plan = { call, manner, lasting }
      calls = 0
      failed = false
    },
    heal: () => (plan = undefined),
    calls: () => calls,
    failed: () => failed,
  }
}
