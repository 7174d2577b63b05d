// An event log whose work is done in a thread of its own: while the disk is flushed there, requests go on here.
// What is kept and how is sqlite.ts, in that thread; the promises of event-log.ts hold unchanged.
import { getCompileCacheDir } from 'node:module'
import { Worker } from 'node:worker_threads'
import { failed, ok } from '../errors.ts'
import type { Outcome } from '../errors.ts'
import { describeStoreError, StoreGoneError } from './group-commit.ts'
import type { EventLog } from './event-log.ts'
import { withEvents } from './log-calls.ts'
import type { Answered, Asked, CallName, Calls, Counts, Told, Written } from './log-calls.ts'

export type ThreadOptions = {
  readonly dataDir: string
  /** The thread died by itself: nothing can be kept any more. */
  readonly onLost: (error: Error) => void
}

type Waiting = { readonly resolve: (value: never) => void; readonly reject: (error: Error) => void }
type Call = <Name extends CallName>(name: Name, ...args: Parameters<Calls[Name]>) => ReturnType<Calls[Name]>
type Line = { readonly call: Call; readonly take: (answers: readonly Answered[]) => void; readonly cut: (error: Error) => void }

export async function openThreadLog({ dataDir, onLost }: ThreadOptions): Promise<Outcome<EventLog>> {
  // The thread reads its source from where this one keeps what it compiled.
  const compiled = getCompileCacheDir()
  const env = compiled === undefined ? process.env : { ...process.env, NODE_COMPILE_CACHE: compiled }
  const worker = new Worker(new URL('./log-thread-main.ts', import.meta.url), { workerData: { dataDir }, env })
  const line = createLine(worker)
  let counts: Counts = { commits: 0, writes: 0 }
  let closed = false
  const opened = await new Promise<Outcome<null>>((resolve, reject) => {
    const lose = (error: Error): void => {
      line.cut(new StoreGoneError(error))
      reject(error)
      if (!closed) onLost(error)
    }
    worker.on('error', lose)
    worker.once('exit', () => lose(new Error('The thread of the store ended.')))
    worker.on('message', (packed: string) => {
      const told = JSON.parse(packed) as Told
      if ('opened' in told) return resolve(told.opened)
      counts = told.counts
      return line.take(told.answers)
    })
  })
  const close = async (): Promise<void> => {
    if (closed) return
    closed = true
    if (opened.ok) await line.call('close')
    await worker.terminate()
  }
  if (opened.ok) return ok(createLog(line.call, () => counts, close))
  await close()
  return opened
}

/**
 * What is asked for while the thread works on a message goes over together in the next: it could not be begun before,
 * and a message costs as much as a request. Answers come back by number.
 */
function createLine(worker: Worker): Line {
  const waiting = new Map<number, Waiting>()
  let asked: Asked[] = []
  let [last, scheduled] = [0, false]
  let gone: Error | undefined
  const send = (): void => {
    scheduled = false
    // oxlint-disable-next-line unicorn/require-post-message-target-origin -- a thread, not a window
    if (asked.length > 0) worker.postMessage(JSON.stringify(asked))
    asked = []
  }
  /** After everything that came in during this turn of the event loop. */
  const schedule = (): void => {
    if (!scheduled) setImmediate(send)
    scheduled = true
  }
  const call = async (name: CallName, ...args: readonly unknown[]): Promise<never> => {
    if (gone !== undefined) throw gone
    return await new Promise<never>((resolve, reject) => {
      last += 1
      const isThreadFree = waiting.size === asked.length
      asked.push({ no: last, name, args })
      waiting.set(last, { resolve, reject })
      if (isThreadFree) schedule()
    })
  }
  return {
    call: call as unknown as Call,
    take: (answers) => {
      for (const { no, value, thrown } of answers) {
        const one = waiting.get(no)
        waiting.delete(no)
        if (thrown === undefined) one?.resolve(value as never)
        else one?.reject(Object.assign(new Error(thrown.message), thrown))
      }
      schedule()
    },
    cut: (error) => {
      gone = error
      for (const one of waiting.values()) one.reject(error)
      waiting.clear()
    },
  }
}

function createLog(call: Call, counts: () => Counts, close: () => Promise<void>): EventLog {
  return {
    counts,
    append: async (batch) => {
      const written = await outcomeOf<readonly Outcome<Written>[]>(call('append', batch).then(ok))
      return batch.map((item, index) => {
        const outcome = written.ok ? written.value[index] : written
        return outcome === undefined ? failed('STORE_FAILED', 'The store gave no result. Send it again.') : withEvents(item, outcome)
      })
    },
    read: async (job, afterSeq = 0) => await outcomeOf(call('read', job, afterSeq)),
    jobs: async (most) => await call('jobs', most),
    rebuildJobs: async () => await call('rebuildJobs'),
    // JSON has no "undefined": what was left out stays left out.
    verify: async (job, known) => await outcomeOf(known === undefined ? call('verify', job) : call('verify', job, known)),
    content: {
      put: async (job, id, text) => await outcomeOf(call('putContent', job, id, text)),
      get: async (job, id) => await call('getContent', job, id),
      erase: async (job, id) => await outcomeOf(id === undefined ? call('eraseContent', job) : call('eraseContent', job, id)),
    },
    addLinks: async (job, links) => await outcomeOf(call('addLinks', job, links)),
    findLink: async (hash) => await call('findLink', hash),
    probe: async () => await outcomeOf(call('probe')),
    close,
  }
}

/** A thread that is gone is a problem that a caller can be told; anything else is thrown as it came. */
async function outcomeOf<T>(asking: Promise<Outcome<T>>): Promise<Outcome<T>> {
  try {
    return await asking
  } catch (error) {
    const problem = describeStoreError(error)
    if (problem === undefined) throw error
    return problem
  }
}
