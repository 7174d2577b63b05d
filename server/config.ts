// The settings of the server, read from the environment once at start; every fault is said at once, in words.
// Nothing here opens a file or a port; main.ts does.
import { z } from 'zod'

export type Config = {
  readonly host: string
  readonly port: number
  readonly dataDir: string
  readonly logLevel: 'fatal' | 'error' | 'warn' | 'info' | 'debug' | 'trace' | 'silent'
}

/** Either the settings, or what to put right: one sentence a fault. */
export type Checked<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly faults: readonly string[] }

const LEVELS = ['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent'] as const

const environment = z.object({
  HOST: z
    .string()
    .regex(/^[A-Za-z0-9.:[\]_-]{1,255}$/)
    .default('127.0.0.1'),
  PORT: z
    .string()
    .regex(/^\d{1,5}$/)
    .transform(Number)
    .refine((port) => port <= 65_535)
    .default(8080),
  DATA_DIR: z.string().min(1).default('./data'),
  DATABASE_URL: z.undefined(),
  LOG_LEVEL: z.enum(LEVELS).default('info'),
})

const FAULTS: { readonly [name in keyof z.infer<typeof environment>]: string } = {
  HOST: 'HOST is not a host name or address. Set it to 127.0.0.1 for this machine only, or to 0.0.0.0 for the network.',
  PORT: 'PORT is not a number from 0 to 65535. Set it to a free port, such as 8080.',
  DATA_DIR: 'DATA_DIR is empty. Name the folder where the jobs are kept, such as ./data.',
  DATABASE_URL: 'DATABASE_URL is set, but PostgreSQL comes later. Unset it: jobs are kept in DATA_DIR for now.',
  LOG_LEVEL: `LOG_LEVEL is not known. Choose one of ${LEVELS.join(', ')}.`,
}

export function readConfig(env: { readonly [name: string]: string | undefined }): Checked<Config> {
  // A variable set to nothing counts as not set, except where an empty value would point at the wrong place.
  const given = Object.fromEntries(
    Object.keys(FAULTS).map((name) => [name, env[name] === '' && name !== 'DATA_DIR' ? undefined : env[name]]),
  )
  const parsed = environment.safeParse(given)
  if (!parsed.success) {
    const names = new Set(parsed.error.issues.map((issue) => issue.path[0] as keyof typeof FAULTS))
    return { ok: false, faults: [...names].map((name) => FAULTS[name]) }
  }
  const { HOST, PORT, DATA_DIR, LOG_LEVEL } = parsed.data
  return { ok: true, value: { host: HOST, port: PORT, dataDir: DATA_DIR, logLevel: LOG_LEVEL } }
}

/**
 * Node 24.12 is the first that runs TypeScript as it stands without a warning.
 * SQLite 3.7.0 to 3.51.2 may lose commits under WAL when a log reset races (fixed in 3.51.3, and in 3.44.6 and 3.50.7).
 */
export function checkRuntime(versions: { readonly node: string; readonly sqlite: string }): readonly string[] {
  const faults: string[] = []
  if (isBefore(versions.node, [24, 12, 0])) {
    faults.push(`Node ${versions.node} is too old. Start with "npm start", which brings its own Node, or install Node 24.12 or newer.`)
  }
  const mended = ['3.44.6', '3.50.7'].includes(versions.sqlite)
  if (!mended && !isBefore(versions.sqlite, [3, 7, 0]) && isBefore(versions.sqlite, [3, 51, 3])) {
    faults.push(`SQLite ${versions.sqlite} can lose answers. Use a Node whose SQLite is 3.51.3 or newer; "npm start" brings one.`)
  }
  if (isBefore(versions.sqlite, [3, 37, 0])) {
    faults.push(`SQLite ${versions.sqlite} is too old for strict tables. Use a Node whose SQLite is 3.51.3 or newer.`)
  }
  return faults
}

function isBefore(version: string, least: readonly [number, number, number]): boolean {
  const parts = version.split('.').map((part) => Number.parseInt(part, 10))
  for (const [index, wanted] of least.entries()) {
    const part = parts[index] ?? 0
    if (Number.isNaN(part) || part !== wanted) return !(part > wanted)
  }
  return false
}
