// An edition for the tests of the server, compiled from the library as it stands, and the parts a server is built from.
// What the library says is tested elsewhere.
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { pino } from 'pino'
import { createEngine, matchWords } from '#graphs'
import type { Edition } from '#graphs'
import { compileLibrary } from '#graphs/author'
import { buildApp } from '../../server/app.ts'
import type { App } from '../../server/app-type.ts'
import type { AppDeps } from '../../server/app.ts'
import { collectEditions } from '../../server/editions.ts'
import type { Editions } from '../../server/editions.ts'
import type { EventLog } from '../../server/storage/event-log.ts'
import { openSqliteLog } from '../../server/storage/sqlite.ts'

const LIBRARY = fileURLToPath(new URL('../../graphs/library', import.meta.url))
let compiled: Edition | undefined

export function testEdition(): Edition {
  if (compiled !== undefined) return compiled
  const paths = readdirSync(LIBRARY, { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith('.yaml'))
  const result = compileLibrary(
    paths.map((path) => ({ path, text: readFileSync(join(LIBRARY, path), 'utf8') })),
    1,
  )
  if (!result.ok) throw new Error(JSON.stringify(result.problem, null, 1))
  compiled = result.value
  return compiled
}

export function testEditions(edition: Edition = testEdition()): Editions {
  const bytes = Buffer.from(JSON.stringify(edition))
  const editions = collectEditions([{ number: edition.number, hash: 'test', bytes, engine: createEngine(edition) }], 'tests')
  if (!editions.ok) throw new Error(editions.problem.message)
  return editions.value
}

export type Clock = { now: () => number; set: (now: number) => void; pass: (ms: number) => void }

/** A clock that moves a second at each look, so that order shows. */
export function createClock(start = Date.UTC(2026, 2, 3, 9, 0)): Clock {
  let at = start
  return { now: () => (at += 1000), set: (now) => (at = now), pass: (ms) => (at += ms) }
}

export function createFolder(): { path: string; remove: () => void } {
  const path = mkdtempSync(join(tmpdir(), 'backwrench-'))
  return { path, remove: () => rmSync(path, { recursive: true, force: true }) }
}

export function openLog(dataDir: string, now: () => number): EventLog {
  const log = openSqliteLog({ dataDir, now })
  if (!log.ok) throw new Error(log.problem.message)
  return log.value
}

export type TestServer = { app: App; log: EventLog; clock: Clock; printed: () => string; close: () => Promise<void> }

/** A server on an empty folder, its replies compared with their schemas. */
export async function createTestServer(more: Partial<AppDeps> = {}): Promise<TestServer> {
  const folder = createFolder()
  const clock = createClock()
  const log = more.log ?? openLog(folder.path, clock.now)
  let printed = ''
  const logger = pino({ level: 'debug' }, { write: (line: string) => void (printed += line) })
  const pages = join(folder.path, 'no-pages')
  const app = await buildApp({
    editions: testEditions(),
    matchSymptoms: matchWords,
    logger,
    now: clock.now,
    pages,
    checkReplies: true,
    ...more,
    log,
  })
  const close = async (): Promise<void> => {
    await app.close()
    await log.close()
    folder.remove()
  }
  return { app, log, clock, printed: () => printed, close }
}
