// Starts the server: settings, store, editions, app, port. Says in one line where to open it, and stops in order on SIGTERM.
// Nothing is decided here; every part is made by the file that holds it.
import { fileURLToPath } from 'node:url'
import { DatabaseSync } from 'node:sqlite'
import { pino } from 'pino'
import { matchWords } from '#graphs'
import { buildApp } from './app.ts'
import type { App } from './app-type.ts'
import { checkRuntime, readConfig } from './config.ts'
import type { Config } from './config.ts'
import { readEditions } from './editions.ts'
import { createNoteWriter } from './notes/write-note.ts'
import { openSqliteLog } from './storage/sqlite.ts'

const EDITIONS = fileURLToPath(new URL('../graphs/editions', import.meta.url))

/** A request in hand gets this long after SIGTERM. */
const STOP_MOST_MS = 5000

export async function start(): Promise<void> {
  const faults = checkRuntime({ node: process.versions.node, sqlite: readSqliteVersion() })
  const config = readConfig(process.env)
  if (!config.ok || faults.length > 0) return refuse([...faults, ...(config.ok ? [] : config.faults)])
  const { host, port, dataDir, logLevel } = config.value
  const editions = readEditions(EDITIONS)
  if (!editions.ok) return refuse([editions.problem.message])
  const now = (): number => Date.now()
  const log = openSqliteLog({ dataDir, now })
  if (!log.ok) return refuse([log.problem.message])
  const app = await buildApp({
    log: log.value,
    editions: editions.value,
    pictures: EDITIONS,
    matchSymptoms: matchWords,
    // Times on a note are those of the shop, and the server stands in the shop.
    writeNote: createNoteWriter(editions.value, { timeZone: new Intl.DateTimeFormat().resolvedOptions().timeZone }),
    logger: createLogger(logLevel),
    now,
    pages: fileURLToPath(new URL('../web/dist', import.meta.url)),
  })
  const stop = createStop(app, log.value.close)
  process.once('SIGTERM', stop)
  process.once('SIGINT', stop)
  try {
    await app.listen({ host, port })
  } catch (error) {
    await log.value.close()
    return refuse([describeListening(error, config.value)])
  }
  const bound = app.server.address()
  const boundPort = typeof bound === 'object' && bound !== null ? bound.port : port
  const address = `http://${host.includes(':') ? `[${host}]` : host}:${boundPort}`
  process.stdout.write(`Backwrench is ready. Open ${address} in a browser. Jobs are kept in ${dataDir}.\n`)
}

function createStop(app: App, closeLog: () => Promise<void>): () => void {
  return () => {
    setTimeout(() => process.exit(1), STOP_MOST_MS).unref()
    void app
      .close()
      .then(closeLog)
      .then(() => process.exit(0))
  }
}

/** Nothing that names a person or opens a job goes into a log line. */
function createLogger(level: Config['logLevel']) {
  const hidden = [
    'req.url',
    'req.headers',
    '*.token',
    '*.staff_token',
    '*.homeowner_token',
    '*.name',
    '*.words',
    '*.phone',
    '*.address',
    '*.body',
  ]
  return pino({ level, redact: { paths: hidden, censor: '(hidden)' } }, pino.destination({ fd: 2, sync: false }))
}

function readSqliteVersion(): string {
  const database = new DatabaseSync(':memory:')
  const row = database.prepare('SELECT sqlite_version() AS version').get()
  database.close()
  return String(row?.['version'])
}

function describeListening(error: unknown, { host, port }: Config): string {
  const code = (error as { readonly code?: unknown }).code
  if (code === 'EADDRINUSE') return `Port ${port} is in use. Stop the other program, or set PORT to another number.`
  if (code === 'EACCES') return `Port ${port} may not be opened by this user. Set PORT to a number above 1023.`
  if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND') return `HOST ${host} is not an address of this machine. Set it to 127.0.0.1.`
  return `The server cannot listen on ${host}, port ${port}: ${error instanceof Error ? error.message : String(error)}`
}

function refuse(sentences: readonly string[]): void {
  process.stderr.write(`Backwrench does not start.\n${sentences.map((sentence) => `- ${sentence}\n`).join('')}`)
  process.exitCode = 1
}
