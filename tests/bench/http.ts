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

const CONNECTIONS = 50
const JOBS_A_CONNECTION = 6

export async function run(): Promise<readonly Measure[]> {
  const folder = mkdtempSync(join(tmpdir(), 'backwrench-bench-'))
  const env = { HOST: '127.0.0.1', PORT: '0', DATA_DIR: join(folder, 'data'), LOG_LEVEL: 'error', DATABASE_URL: '' }
  const [server, echo] = [await startProcess('server/main.ts', env), await startProcess('tests/bench/parts/echo.ts')]
  try {
    const atRest = await readMetric(server, 'resident_bytes')
    // Once to warm up both; the second round counts.
    const measured = { bare: await echoLoad(echo, server), durable: await sendLoad(await answers(server, 'no')) }
    measured.bare = await echoLoad(echo, server)
    measured.durable = await sendLoad(await answers(server, 'no'))
    const withView = await sendLoad(await answers(server, 'yes'))
    const group = (await readMetric(server, 'store_writes_total')) / (await readMetric(server, 'store_commits_total'))
    return describe(measured.bare, measured.durable, withView, [
      { name: 'writes in one flush, on average', value: group, unit: 'writes', aim: '', holds: true },
      { name: 'flushes of the disk alone', value: flushRate(folder), unit: '/s', aim: '', holds: true },
      {
        name: 'server start, until it says its address',
        value: server.startMs,
        unit: 'ms',
        aim: 'at most 1000',
        holds: server.startMs <= 1000,
      },
      { name: 'memory of the server at rest', value: atRest / 2 ** 20, unit: 'MiB', aim: '', holds: true },
      {
        name: 'memory of the server after the load',
        value: (await readMetric(server, 'resident_bytes')) / 2 ** 20,
        unit: 'MiB',
        aim: '',
        holds: true,
      },
    ])
  } finally {
    await Promise.all([server.stop(), echo.stop()])
    rmSync(folder, { recursive: true, force: true })
  }
}

function describe(bare: Load, durable: Load, withView: Load, more: readonly Measure[]): Measure[] {
  const share = durable.perSecond / bare.perSecond
  const late = durable.p99Ms / bare.p99Ms
  const told = (name: string, value: number, unit: string): Measure => ({ name, value, unit, aim: '', holds: true })
  return [
    told('bare echo of the same bodies', bare.perSecond, 'replies/s'),
    told('bare echo, 99 of 100 within', bare.p99Ms, 'ms'),
    {
      name: 'durable answers, all acknowledged',
      value: durable.perSecond,
      unit: 'answers/s',
      aim: 'none refused',
      holds: durable.failed === 0,
    },
    told('durable answers, half within', durable.p50Ms, 'ms'),
    told('durable answers, 99 of 100 within', durable.p99Ms, 'ms'),
    { name: 'durable answers as a share of the echo', value: share, unit: '', aim: 'at least 0.5', holds: share >= 0.5 },
    { name: 'their 99 of 100 as a multiple of the echo', value: late, unit: '', aim: 'at most 5', holds: late <= 5 },
    {
      name: 'durable answers with the view in the reply',
      value: withView.perSecond,
      unit: 'answers/s',
      aim: 'none refused',
      holds: withView.failed === 0,
    },
    ...more,
  ]
}

let script: Command[] | undefined

/** Fresh jobs, each answered along the same way by phone, from the first red question to the first reading. */
async function answers(server: Running, view: 'yes' | 'no'): Promise<Connection[]> {
  const edition = (await (await fetch(`${server.url}/api/editions/1`)).json()) as Edition
  const connections: Connection[] = []
  for (let connection = 0; connection < CONNECTIONS; connection += 1) {
    const jobs = await Promise.all(Array.from({ length: JOBS_A_CONNECTION }, async () => await openJob(server)))
    script ??= commandsTo(createEngine(edition), jobs[0] as Body, DESK, (step) => step.readings.length > 0)
    const commands = script
    connections.push(
      jobs.flatMap((job) =>
        commands.map((command) => ({
          url: `${server.url}/api/jobs/${job.staff_token}/commands?view=${view}`,
          body: JSON.stringify(envelopeOf(command)),
        })),
      ),
    )
  }
  return connections
}

async function echoLoad(echo: Running, server: Running): Promise<Load> {
  const connections = await answers(server, 'no')
  return await sendLoad(connections.map((list) => list.map(({ body }) => ({ url: `${echo.url}/`, body }))))
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
