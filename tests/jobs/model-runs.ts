// Plays many jobs on model tubs through the server, and counts what came of them.
// What counts as good enough is asserted in the test beside it.
import { pino } from 'pino'
import { matchWords } from '#graphs'
import type { FaultSlug } from '../model/index.ts'
import { createMemory, openMemoryLog } from '../server/memory-log.ts'
import { createTestServer } from '../server/edition.ts'
import type { TestServer } from '../server/edition.ts'
import { createHttpTransport, playJob } from './driver.ts'
import type { Clock, Played } from './driver.ts'
import { judgeJob } from './job-outcome.ts'
import type { Judged } from './job-outcome.ts'
import { setUpScene } from './scenario.ts'
import type { Scenario, Wish } from './scenario.ts'
import { createPeople } from './technician.ts'

export type Finished = { readonly scenario: Scenario; readonly played: Played; readonly judged: Judged }
export type Shop = { readonly clock: Clock; readonly server: TestServer }

/** A server that keeps its jobs in memory, on a clock that runs with the tubs. */
export async function openShop(): Promise<Shop> {
  const clock = { now: Date.UTC(2026, 2, 3, 8) }
  const now = (): number => clock.now
  const log = openMemoryLog(createMemory(), now)
  const server = await createTestServer({ log, now, checkReplies: false, matchSymptoms: matchWords, logger: pino({ level: 'silent' }) })
  return { clock, server }
}

/** Seeds from `first` on until enough tubs gave somebody a reason to call. */
export async function playMany(shop: Shop, fault: FaultSlug, order: { first: number; jobs: number; wish?: Wish }): Promise<Finished[]> {
  const done: Finished[] = []
  for (let seed = order.first; done.length < order.jobs; seed += 1) {
    if (seed - order.first > order.jobs * 6) throw new Error(`${fault} hardly ever makes anybody call`)
    const scenario = setUpScene(fault, seed, shop.clock, order.wish)
    if (scenario !== undefined) done.push(await playOne(shop, scenario))
  }
  return done
}

async function playOne(shop: Shop, scenario: Scenario): Promise<Finished> {
  try {
    const transport = createHttpTransport(shop.server.app)
    const played = await playJob(transport, createPeople(scenario.scene, scenario.complaint), shop.clock)
    return { scenario, played, judged: judgeJob(scenario, played) }
  } catch (error) {
    throw new Error(`${scenario.fault}, seed ${scenario.seed}: ${error instanceof Error ? error.message : String(error)}`, { cause: error })
  }
}

export type Row = {
  readonly fault: string
  readonly jobs: number
  readonly named: number
  readonly mended: number
  readonly proved: number
  readonly referred: number
  readonly secondVisit: number
  readonly needlessBoard: number
  readonly needlessSensor: number
}

export function rowOf(fault: string, jobs: readonly Finished[]): Row {
  const count = (is: (judged: Judged) => boolean): number => jobs.filter(({ judged }) => is(judged)).length
  return {
    fault,
    jobs: jobs.length,
    named: count((judged) => judged.isNamed),
    mended: count((judged) => judged.isMended),
    proved: count((judged) => judged.isProved),
    referred: count((judged) => judged.ending === 'made-safe'),
    secondVisit: count((judged) => judged.ending === 'second-visit'),
    needlessBoard: count((judged) => judged.needlessBoard),
    needlessSensor: count((judged) => judged.needlessSensor),
  }
}

export function tableOf(rows: readonly Row[]): string {
  const head = ['fault', 'jobs', 'named', 'mended', 'proved', 'referred', 'second visit', 'needless board', 'needless sensor']
  const lines = rows.map((row) => [row.fault, ...Object.values(row).slice(1).map(String)])
  const widths = head.map((word, at) => Math.max(word.length, ...lines.map((line) => line[at]?.length ?? 0)))
  return [head, ...lines].map((line) => line.map((cell, at) => cell.padEnd(widths[at] ?? 0)).join('  ')).join('\n')
}

/** "seed: the last answer before the tub was left", to look a miss up. */
export function missesOf(jobs: readonly Finished[]): string[] {
  return jobs
    .filter(({ judged }) => !judged.isProved)
    .map(({ scenario, played, judged }) => {
      const last = played.lines.findLast(({ step }) => !/^(leave-|frost-|rebook|escalate|close-and|water-clear|gfci|make-dead)/.test(step))
      return `${scenario.fault} ${scenario.seed} ${judged.ending}: ${last?.step ?? ''} ${last?.answer.split(' ')[0] ?? ''}`
    })
}
