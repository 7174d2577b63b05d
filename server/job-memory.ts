// Jobs that were used lately, folded and kept in memory, and the rule that one job is written by one caller at a time.
// Reading and deciding are jobs.ts; nothing here waits for the disk.
import type { Engine, JobState } from '#graphs'
import type { Stored } from './storage/event-log.ts'

export type FoldedJob = {
  readonly job: string
  readonly engine: Engine
  readonly state: JobState
  /** The last line. */
  readonly seq: number
  readonly hash: string
  /** Seqs of the lines of each command, so that a repeat is known. */
  readonly commands: Map<string, { readonly from: number; readonly to: number }>
  readonly eventIds: Set<string>
}

/** A job read from its log. */
export function createFolded(job: string, engine: Engine, state: JobState, stored: readonly Stored[]): FoldedJob {
  const folded: FoldedJob = { job, engine, state, seq: 0, hash: '', commands: new Map(), eventIds: new Set() }
  return noteStored(folded, stored)
}

/** Further lines, and the state they lead to. The maps are shared with the job before: it is not used again. */
export function withStored(before: FoldedJob, stored: readonly Stored[], state: JobState): FoldedJob {
  return noteStored({ ...before, state }, stored)
}

function noteStored(folded: FoldedJob, stored: readonly Stored[]): FoldedJob {
  const { commands, eventIds } = folded
  for (const { event, ack, command } of stored) {
    eventIds.add(event.id)
    commands.set(command, { from: commands.get(command)?.from ?? ack.seq, to: ack.seq })
  }
  return { ...folded, ...stored.at(-1)?.ack }
}

/** Least recently used goes first. A Map keeps the order in which its keys were put. */
export type Recent<T> = {
  readonly get: (key: string) => T | undefined
  readonly set: (key: string, value: T) => void
  readonly delete: (key: string) => void
  readonly size: () => number
}

export function createRecent<T>(most: number): Recent<T> {
  const kept = new Map<string, T>()
  return {
    get: (key) => {
      const value = kept.get(key)
      if (value === undefined) return undefined
      kept.delete(key)
      kept.set(key, value)
      return value
    },
    set: (key, value) => {
      kept.delete(key)
      kept.set(key, value)
      if (kept.size <= most) return
      // Only now: finding the first key walks over all that were put again since.
      const [oldest] = kept.keys()
      if (oldest !== undefined) kept.delete(oldest)
    },
    delete: (key) => void kept.delete(key),
    size: () => kept.size,
  }
}

/** Runs what is asked for one key one after the other; different keys do not wait for each other. */
export type Turns = <T>(key: string, work: () => Promise<T>) => Promise<T>

export function createTurns(): Turns {
  const last = new Map<string, Promise<unknown>>()
  return async (key, work) => {
    const before = last.get(key)
    const mine = before === undefined ? work() : before.then(work, work)
    last.set(key, mine)
    try {
      return await mine
    } finally {
      if (last.get(key) === mine) last.delete(key)
    }
  }
}
