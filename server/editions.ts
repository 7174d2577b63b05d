// The released editions as they lie on disk, read once at start, and an engine for each.
// How an edition is made and released is #graphs/author and commands/edition.ts.
import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { z } from 'zod'
import { createEngine, SEMANTICS } from '#graphs'
import type { Edition, Engine } from '#graphs'
import { failed, ok } from './errors.ts'
import type { Outcome } from './errors.ts'

export type StoredEdition = { readonly number: number; readonly hash: string; readonly bytes: Buffer; readonly engine: Engine }

export type Editions = {
  readonly list: readonly StoredEdition[]
  readonly current: StoredEdition
  readonly get: (number: number) => StoredEdition | undefined
}

const FILE_NAME = /^([1-9]\d{0,5})\.json$/
const indexSchema = z.record(z.string(), z.union([z.string(), z.looseObject({ hash: z.string() })]))

/** GRAPH_UNREADABLE when there is none, or when a file is not what its index says. */
export function readEditions(folder: string): Outcome<Editions> {
  let names: string[]
  try {
    names = readdirSync(folder)
  } catch {
    return none(folder)
  }
  const hashes = readIndex(folder, names)
  if (!hashes.ok) return hashes
  const list: StoredEdition[] = []
  for (const name of names) {
    const number = Number(FILE_NAME.exec(name)?.[1] ?? Number.NaN)
    if (Number.isNaN(number)) continue
    const bytes = readFileSync(join(folder, name))
    const hash = createHash('sha256').update(bytes).digest('hex')
    const wanted = hashes.value.get(number)
    if (wanted !== undefined && wanted !== hash) return altered(name)
    const edition = parseEdition(bytes)
    if (edition?.number !== number) return altered(name)
    if (edition.semantics !== SEMANTICS) {
      return failed(
        'GRAPH_SEMANTICS_UNKNOWN',
        `Edition ${number} needs a newer Backwrench. Install it, or take graphs/editions/${name} away.`,
      )
    }
    list.push({ number, hash, bytes, engine: createEngine(edition) })
  }
  return collectEditions(list, folder)
}

export function collectEditions(list: readonly StoredEdition[], folder: string): Outcome<Editions> {
  const sorted = list.toSorted((a, b) => a.number - b.number)
  const current = sorted.at(-1)
  if (current === undefined) return none(folder)
  const byNumber = new Map(sorted.map((edition) => [edition.number, edition]))
  return ok({ list: sorted, current, get: (number) => byNumber.get(number) })
}

function readIndex(folder: string, names: readonly string[]): Outcome<Map<number, string>> {
  if (!names.includes('index.json')) return ok(new Map())
  try {
    const index = indexSchema.parse(JSON.parse(readFileSync(join(folder, 'index.json'), 'utf8')))
    const entries = Object.entries(index).map(
      ([number, entry]) => [Number(number), typeof entry === 'string' ? entry : entry.hash] as const,
    )
    return ok(new Map(entries.map(([number, hash]) => [number, hash.replace(/^sha256[-:]/, '')])))
  } catch {
    return altered('index.json')
  }
}

function parseEdition(bytes: Buffer): Edition | undefined {
  try {
    return JSON.parse(bytes.toString('utf8')) as Edition
  } catch {
    return undefined
  }
}

function none(folder: string): Outcome<never> {
  return failed('GRAPH_UNREADABLE', `No edition lies in ${folder}. Make one with "npm run edition -- release", then start again.`)
}

function altered(name: string): Outcome<never> {
  return failed('GRAPH_UNREADABLE', `graphs/editions/${name} is not what was released. Put the released file back, then start again.`)
}
