// Many writers, one flush of the disk: what comes in while the event loop still brings more is committed together.
// It knows transactions; what is written is the caller's, and may be run again when its neighbours failed.
import { failed } from '../errors.ts'
import type { Outcome } from '../errors.ts'
import { isBusy, isDiskFull } from './driver.ts'
import type { Driver } from './driver.ts'

export type GroupCommit = {
  /** Settles only after the commit. A failed outcome must have written nothing; a throw is undone alone. */
  readonly write: <T>(work: () => Outcome<T>) => Promise<Outcome<T>>
  /** Commits what waits, then takes no more. */
  readonly close: () => void
  readonly counts: { readonly commits: number; readonly writes: number }
}

type Waiting = {
  readonly work: () => Outcome<unknown>
  readonly settle: (outcome: Outcome<unknown>) => void
  readonly reject: (error: unknown) => void
}
type Done = { readonly ok: true; readonly outcome: Outcome<unknown> } | { readonly ok: false; readonly error: unknown }

/** Bounds the time one turn can take; the rest goes into the next turn. */
const GROUP_MOST = 512
/** Writes that may throw before each of a group goes alone. */
const THROWN_MOST = 3
/** Turns of the event loop that a group waits at the most. */
const TURNS_MOST = 16

export function createGroupCommit(driver: Driver): GroupCommit {
  const counts = { commits: 0, writes: 0 }
  let queue: Waiting[] = []
  let scheduled = false
  let closed = false

  const flush = (): void => {
    scheduled = false
    const group = queue.slice(0, GROUP_MOST)
    queue = queue.slice(GROUP_MOST)
    if (queue.length > 0) schedule()
    const dones = commitTogether(driver, group) ?? group.map((item) => commitAlone(driver, item))
    counts.commits += 1
    counts.writes += group.length
    for (const [index, item] of group.entries()) {
      const done = dones[index]
      if (done === undefined) item.reject(new Error('A write of the group has no result.'))
      else if (done.ok) item.settle(done.outcome)
      else settleError(item, done.error)
    }
  }
  /** As long as each turn brings more, the group waits for one more turn: a flush costs the same for one write as for many. */
  const gather = (turns: number, before: number): void => {
    if (turns < TURNS_MOST && queue.length > before && queue.length < GROUP_MOST) setImmediate(gather, turns + 1, queue.length)
    else flush()
  }
  const schedule = (): void => {
    if (scheduled) return
    scheduled = true
    setImmediate(gather, 1, 0)
  }
  return {
    counts,
    write: async <T>(work: () => Outcome<T>): Promise<Outcome<T>> => {
      if (closed) return failed('STORE_CLOSED', 'The server is stopping. Send it again in a moment.')
      return await new Promise<Outcome<T>>((resolve, reject) => {
        queue.push({ work, settle: resolve as (outcome: Outcome<unknown>) => void, reject })
        schedule()
      })
    },
    close: () => {
      closed = true
      while (queue.length > 0) flush()
    },
  }
}

/**
 * Undefined when the whole transaction was lost: nothing of the group is in the store, and each goes again alone.
 * A write that throws is taken out, and the rest begin anew: a mark to go back to before each write would cost every write.
 */
function commitTogether(driver: Driver, group: readonly Waiting[]): Done[] | undefined {
  const thrown = new Map<Waiting, Done>()
  while (thrown.size <= THROWN_MOST) {
    try {
      begin(driver)
    } catch (error) {
      // Nobody gets in: waiting once more for each of the group would only hold up the rest.
      return group.map((item) => thrown.get(item) ?? { ok: false, error })
    }
    try {
      const dones: Done[] = []
      for (const item of group) dones.push(thrown.get(item) ?? runNoting(driver, item, thrown))
      driver.exec('COMMIT')
      return dones
    } catch (error) {
      rollBack(driver)
      if (!(error instanceof TakenOut)) return undefined
    }
  }
  return undefined
}

class TakenOut extends Error {}

/** A full disk or a failing one may have ended the whole transaction on its own: then no write is to blame. */
function runNoting(driver: Driver, item: Waiting, thrown: Map<Waiting, Done>): Done {
  try {
    return { ok: true, outcome: item.work() }
  } catch (error) {
    if (!driver.inTransaction()) throw error
    thrown.set(item, { ok: false, error })
    throw new TakenOut()
  }
}

function commitAlone(driver: Driver, item: Waiting): Done {
  try {
    begin(driver)
    const outcome = item.work()
    driver.exec('COMMIT')
    return { ok: true, outcome }
  } catch (error) {
    rollBack(driver)
    return { ok: false, error }
  }
}

function begin(driver: Driver): void {
  endLeftover(driver)
  try {
    driver.exec('BEGIN IMMEDIATE')
  } catch (error) {
    rollBack(driver)
    throw error
  }
}

/** A transaction whose end failed is still open: its half-written lines must be neither read nor committed with the next. Throws while it stays. */
export function endLeftover(driver: Driver): void {
  if (driver.inTransaction()) driver.exec('ROLLBACK')
}

function rollBack(driver: Driver): void {
  try {
    endLeftover(driver)
  } catch {
    // Tried again before the next read or write.
  }
}

function settleError(item: Waiting, error: unknown): void {
  const problem = describeStoreError(error)
  if (problem === undefined) item.reject(error)
  else item.settle(problem)
}

/** A problem for what the disk did; undefined for a fault of the program. */
export function describeStoreError(error: unknown): Outcome<never> | undefined {
  if (isDiskFull(error)) {
    return failed('STORE_FULL', 'The disk of the server is full, so nothing was saved. Free some space, then send it again.')
  }
  if (isBusy(error))
    return failed('STORE_FAILED', 'The store is busy with another program, so nothing was saved. Send it again in a moment.')
  const code = (error as { readonly code?: unknown } | null)?.code
  if (code !== 'ERR_SQLITE_ERROR') return undefined
  return failed('STORE_FAILED', 'The store could not be reached, so nothing was acknowledged. Send it again in a moment.')
}
