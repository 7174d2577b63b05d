// Durable answers a second through the whole server: HTTP, shape, link, decision, chain, flush to disk, reply; beside a bare echo of the same bodies.
// Server, echo and load share the cores of one machine; the flush rate of its disk is told with the figures.
import { closeSync, fdatasyncSync, mkdtempSync, openSync, rmSync, writeSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createEngine } from '#graphs'
import type { Edition } from '#graphs'
import type { Command } from '#graphs/contract'
import { commandsTo, DESK, envelopeOf, OPENING } from '../server/client.ts'
import type { Body } from '../server/client.ts'
import type { Measure } from './main.ts'
import { sendLoad } from './parts/load.ts'
import type { Connection, Load } from './parts/load.ts'
import { startProcess } from './parts/process.ts'
import type { Running } from './parts/process.ts'

/** Enough at once that a flush of the disk is shared: what is measured is the work, not the wait of a few for the disk. */
const MANY = 200
/** A busy day of a large shop. */
const FEW = 50
const JOBS_A_ROUND = 400
/** Other programs take their part of the machine: echo and server take turns, and the middle round counts. */
const ROUNDS = 5

type Round = { readonly bare: Load; readonly durable: Load }

export async function run(): Promise<readonly Measure[]> {
  const folder = mkdtempSync(join(tmpdir(), 'backwrench-bench-'))
  const env = { HOST: '127.0.0.1', PORT: '0', DATA_DIR: join(folder, 'data'), LOG_LEVEL: 'error', DATABASE_URL: '' }
  // The first start after a change makes the source ready; that is not the start of every day.
  await (await startProcess('server/main.ts', env)).stop()
  const [server, echo] = [await startProcess('server/main.ts', env), await startProcess('tests/bench/parts/echo.ts')]
  try {
    const atRest = (await readMetric(server, 'resident_bytes')) / 2 ** 20
    const few = await rounds(server, echo, FEW)
    const before = await readGroups(server)
    const many = await rounds(server, echo, MANY)
    const after = await readGroups(server)
    const withView = await sendLoad(await answers(server, MANY, 'yes'))
    return [
      ...describe(many, MANY),
      ...describe(few, FEW).map((measure) => ({ ...measure, aim: '', holds: measure.aim !== 'none refused' || measure.holds })),
      told('durable answers with the view in the reply', withView.perSecond, 'answers/s'),
      told('writes in one flush, on average', (after.writes - before.writes) / (after.commits - before.commits), 'writes'),
      told('flushes of the disk alone', flushRate(folder), '/s'),
      most('server start, until it says its address', server.startMs, 'ms', 1000),
      most('memory of the server at rest', atRest, 'MiB', 150),
      told('memory of the server after the load', (await readMetric(server, 'resident_bytes')) / 2 ** 20, 'MiB'),
    ]
  } finally {
    await Promise.all([server.stop(), echo.stop()])
    rmSync(folder, { recursive: true, force: true })
  }
}

/** The first round warms up both and does not count. */
async function rounds(server: Running, echo: Running, connections: number): Promise<Round[]> {
  const done: Round[] = []
  for (let round = 0; round <= ROUNDS; round += 1) {
    const load = await answers(server, connections, 'no')
    const bare = await sendLoad(load.map((list) => list.map(({ body }) => ({ url: `${echo.url}/`, body }))))
    done.push({ bare, durable: await sendLoad(load) })
  }
  return done.slice(1)
}

function describe(done: readonly Round[], connections: number): Measure[] {
  const middle = (of: (round: Round) => number): number => done.map(of).toSorted((a, b) => a - b)[Math.floor(done.length / 2)] ?? Number.NaN
  const name = (words: string): string => `${words}, ${connections} connections`
  const share = middle(({ bare, durable }) => durable.perSecond / bare.perSecond)
  const late = middle(({ bare, durable }) => durable.p99Ms / bare.p99Ms)
  return [
    told(
      name('bare echo'),
      middle(({ bare }) => bare.perSecond),
      'replies/s',
    ),
    told(
      name('bare echo, 99 of 100 within'),
      middle(({ bare }) => bare.p99Ms),
      'ms',
    ),
    {
      name: name('durable answers'),
      value: middle(({ durable }) => durable.perSecond),
      unit: 'answers/s',
      aim: 'none refused',
      holds: done.every(({ durable }) => durable.failed === 0),
    },
    told(
      name('durable answers, half within'),
      middle(({ durable }) => durable.p50Ms),
      'ms',
    ),
    told(
      name('durable answers, 99 of 100 within'),
      middle(({ durable }) => durable.p99Ms),
      'ms',
    ),
    { name: name('durable as a share of the echo'), value: share, unit: '', aim: 'at least 0.5', holds: share >= 0.5 },
    most(name('99 of 100 as a multiple of the echo'), late, '', 5),
  ]
}

function told(name: string, value: number, unit: string): Measure {
  return { name, value, unit, aim: '', holds: true }
}

function most(name: string, value: number, unit: string, limit: number): Measure {
  return { name, value, unit, aim: `at most ${limit}`, holds: value <= limit }
}

async function readGroups(server: Running): Promise<{ writes: number; commits: number }> {
  return { writes: await readMetric(server, 'store_writes_total'), commits: await readMetric(server, 'store_commits_total') }
}

let script: Command[] | undefined

/** Fresh jobs, each answered along the same way by phone, from the first red question to the first reading. */
async function answers(server: Running, connections: number, view: 'yes' | 'no'): Promise<Connection[]> {
  const { current } = (await (await fetch(`${server.url}/api/editions`)).json()) as { readonly current: number }
  const edition = (await (await fetch(`${server.url}/api/editions/${current}`)).json()) as Edition
  const lists: Connection[] = []
  for (let connection = 0; connection < connections; connection += 1) {
    const jobs = await Promise.all(Array.from({ length: JOBS_A_ROUND / connections }, async () => await openJob(server)))
    script ??= commandsTo(createEngine(edition), jobs[0] as Body, DESK, (step) => step.readings.length > 0)
    const commands = script
    lists.push(
      jobs.flatMap((job) =>
        commands.map((command) => ({
          url: `${server.url}/api/jobs/${job.staff_token}/commands?view=${view}`,
          body: JSON.stringify(envelopeOf(command)),
        })),
      ),
    )
  }
  return lists
}

async function openJob(server: Running): Promise<Body> {
  const headers = { 'content-type': 'application/json' }
  const response = await fetch(`${server.url}/api/jobs`, { method: 'POST', headers, body: JSON.stringify({ ...OPENING, person: DESK }) })
  return (await response.json()) as Body
}

async function readMetric(server: Running, name: string): Promise<number> {
  const text = await (await fetch(`${server.url}/metrics`)).text()
  return Number(new RegExp(`^backwrench_${name} (\\S+)$`, 'm').exec(text)?.[1])
}

/** What any store is bound by: small writes, each flushed. */
function flushRate(folder: string): number {
  const file = openSync(join(folder, 'flush'), 'w')
  const block = Buffer.alloc(4096, 1)
  const began = performance.now()
  const count = 200
  for (let time = 0; time < count; time += 1) {
    writeSync(file, block)
    fdatasyncSync(file)
  }
  closeSync(file)
  return count / ((performance.now() - began) / 1000)
}
