// Jobs as they were on an edition when it was released: their logs, line by line, and what their notes claimed. Kept for ever.
// `GOLDEN=write` drives and keeps them for an edition that has none yet; what is kept is never written over.
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { createEngine, foldLog, noteData } from '#graphs'
import type { Engine, NoteData } from '#graphs'
import type { JobEvent } from '#graphs/contract'
import { releasedEdition, releasedIndex } from '../../../server/commands/edition.ts'
import { driveJob } from '../../jobs/drive-job.ts'
import { goldenOf } from './golden.ts'
import type { Golden } from './golden.ts'
import { EXTRA, SCRIPTS } from './jobs.ts'
import type { JobName } from './jobs.ts'

const engines = new Map<number, Engine>()

export const EDITIONS = Object.keys(releasedIndex()).map(Number)

/** Undefined for an edition that was never released. */
export function releasedEngine(edition: number): Engine | undefined {
  if (!EDITIONS.includes(edition)) return undefined
  const engine = engines.get(edition) ?? createEngine(releasedEdition(edition))
  engines.set(edition, engine)
  return engine
}

export type Kept = { readonly events: readonly JobEvent[]; readonly note: Golden }

export function keptJob(edition: number, name: JobName): Kept {
  const log = new URL(`./kept/${edition}/${name}.jsonl`, import.meta.url)
  const note = new URL(`./kept/${edition}/${name}.json`, import.meta.url)
  if (!existsSync(log) && process.env['GOLDEN'] === 'write') keep(edition, name, log, note)
  if (!existsSync(log)) throw new Error(`kept/${edition}/${name}.jsonl is missing. Make it with GOLDEN=write before the edition goes out.`)
  const lines = readFileSync(log, 'utf8').trimEnd().split('\n')
  return { events: lines.map((line) => JSON.parse(line) as JobEvent), note: JSON.parse(readFileSync(note, 'utf8')) as Golden }
}

function keep(edition: number, name: JobName, log: URL, note: URL): void {
  const engine = releasedEngine(edition)
  if (engine === undefined) throw new Error(`edition ${edition} is not released`)
  const { events } = driveJob(engine, SCRIPTS[name])
  mkdirSync(new URL('.', log), { recursive: true })
  writeFileSync(log, `${events.map((event) => JSON.stringify(event)).join('\n')}\n`)
  writeFileSync(note, `${JSON.stringify(goldenOf(replayed(events).note), null, 2)}\n`)
}

export function replayed(events: readonly JobEvent[]) {
  const folded = foldLog(events, releasedEngine)
  if (!folded.ok) throw new Error(folded.problem.message)
  const { engine, state } = folded.value
  const note: NoteData = noteData(engine.edition, state, events, EXTRA)
  return { engine, state, note }
}
