// The thread of the store: opens the SQLite log of one folder and carries out the calls that come in by message.
// It decides nothing and knows no requests; the server's side is log-thread.ts.
import { flushCompileCache } from 'node:module'
import { parentPort, workerData } from 'node:worker_threads'
import { callsOf } from './log-calls.ts'
import type { Answered, Asked, Calls, Thrown, Told } from './log-calls.ts'
import type { EventLog } from './event-log.ts'
import { openSqliteLog } from './sqlite.ts'

/** Texts are packed by JSON: many small objects go over faster so than as a structured clone. */
function tell(told: Told): void {
  // oxlint-disable-next-line unicorn/require-post-message-target-origin -- a thread, not a window
  parentPort?.postMessage(JSON.stringify(told))
}

function serve(log: EventLog): void {
  const calls = callsOf(log)
  let answers: Answered[] = []
  const sendAnswers = (): void => {
    tell({ answers, counts: log.counts() })
    answers = []
  }
  const answer = (answered: Answered): void => {
    // All that one commit settles goes back in one message, ahead of the next commit.
    if (answers.length === 0) setImmediate(sendAnswers)
    answers.push(answered)
  }
  parentPort?.on('message', (packed: string) => {
    for (const asked of JSON.parse(packed) as Asked[]) {
      carryOut(calls, asked).then(
        (value) => answer({ no: asked.no, value }),
        (error: unknown) => answer({ no: asked.no, thrown: thrownOf(error) }),
      )
    }
  })
}

async function carryOut(calls: Calls, { name, args }: Asked): Promise<unknown> {
  return await (calls[name] as (...args: readonly unknown[]) => Promise<unknown>)(...args)
}

function thrownOf(error: unknown): Thrown {
  if (!(error instanceof Error)) return { message: String(error) }
  const { code, errcode } = error as { readonly code?: unknown; readonly errcode?: unknown }
  return {
    message: error.message,
    ...(error.stack === undefined ? {} : { stack: error.stack }),
    ...(typeof code === 'string' ? { code } : {}),
    ...(typeof errcode === 'number' ? { errcode } : {}),
  }
}

const { dataDir } = workerData as { readonly dataDir: string }
const opened = openSqliteLog({ dataDir, now: () => Date.now() })
tell({ opened: opened.ok ? { ok: true, value: null } : opened })
if (opened.ok) serve(opened.value)
flushCompileCache()
