// The server is killed without warning while answers flow, again and again: what was acknowledged is there, once.
// It runs the real server as a process on a real folder. A power cut is not played here, only the death of the process.
import { spawn } from 'node:child_process'
import type { ChildProcess } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import type { Ack } from '../../server/storage/event-log.ts'
import { DESK, envelopeOf, OPENING } from './client.ts'
import type { Body } from './client.ts'
import { createFolder, openLog } from './edition.ts'
import { valueOf } from './event-log.contract.ts'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const KILLS = 50
const JOBS = 4
/** Between the begin of a round, or its first answer, and the kill, at most. */
const LIFE_MOST_MS = 60

type Acknowledged = { readonly job: string; readonly command: string; readonly acks: readonly Ack[] }

async function startServer(dataDir: string): Promise<{ child: ChildProcess; url: string }> {
  const child = spawn(process.execPath, ['server/main.ts'], {
    cwd: ROOT,
    env: { ...process.env, HOST: '127.0.0.1', PORT: '0', DATA_DIR: dataDir, LOG_LEVEL: 'error', DATABASE_URL: '' },
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  return await new Promise((resolve, reject) => {
    let printed = ''
    const look = (piece: Buffer): void => {
      printed += piece.toString()
      const address = /Open (http:\/\/\S+) in/.exec(printed)?.[1]
      if (address !== undefined) resolve({ child, url: address })
    }
    child.stdout.on('data', look)
    child.stderr.on('data', look)
    child.once('exit', () => reject(new Error(`The server ended by itself: ${printed}`)))
  })
}

async function kill(child: ChildProcess): Promise<void> {
  const ended = new Promise((resolve) => child.once('exit', resolve))
  child.kill('SIGKILL')
  await ended
}

async function post(url: string, body: object): Promise<Body | undefined> {
  try {
    const response = await fetch(url, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) })
    const answer = (await response.json()) as Body
    if (!response.ok) throw new Error(`${url}: ${JSON.stringify(answer)}`)
    return answer
  } catch (error) {
    // The server died in the middle: nothing was acknowledged.
    if (error instanceof TypeError || error instanceof SyntaxError) return undefined
    throw error
  }
}

/** Answers one after the other until the server is gone; each command that got no answer is sent again in the next round. */
async function answerUntilGone(
  url: string,
  job: Body,
  unsent: { [job: string]: ReturnType<typeof envelopeOf> | undefined },
  onAnswer: () => void,
): Promise<Acknowledged[]> {
  const acknowledged: Acknowledged[] = []
  for (let volume = 200; ; volume += 1) {
    const value = { typed: String(200 + (volume % 500)), unit: 'gal' }
    const envelope = unsent[job.job] ?? envelopeOf({ type: 'state-fact', slug: 'volume', value, source: 'told' })
    unsent[job.job] = envelope
    const answer = await post(`${url}/api/jobs/${job.staff_token}/commands?view=no`, envelope)
    if (answer === undefined) return acknowledged
    unsent[job.job] = undefined
    acknowledged.push({ job: job.job, command: envelope.id, acks: answer.acks })
    onAnswer()
  }
}

test(`after ${KILLS} kills every acknowledged answer is there once`, { timeout: 180_000 }, async () => {
  const folder = createFolder()
  const jobs: Body[] = []
  const unsent: { [job: string]: ReturnType<typeof envelopeOf> | undefined } = {}
  const acknowledged: Acknowledged[] = []
  let random = 20_260_303
  for (let round = 0; round < KILLS; round += 1) {
    const { child, url } = await startServer(folder.path)
    while (jobs.length < JOBS) {
      const job = await post(`${url}/api/jobs`, { ...OPENING, person: DESK })
      if (job === undefined) throw new Error('no job could be opened')
      jobs.push(job)
    }
    const { promise: answered, resolve: onAnswer } = Promise.withResolvers<void>()
    const answering = jobs.map((job) => answerUntilGone(url, job, unsent, onAnswer))
    // Every other round dies at any moment, the ones between while answers flow, however slow the machine is.
    if (round % 2 === 0) await answered
    random = (random * 48_271) % 2_147_483_647
    await new Promise((resolve) => setTimeout(resolve, 5 + (random % LIFE_MOST_MS)))
    await kill(child)
    for (const answers of await Promise.all(answering)) acknowledged.push(...answers)
  }
  expect(acknowledged.length).toBeGreaterThanOrEqual(KILLS / 2)
  const log = openLog(folder.path, Date.now)
  for (const { job } of jobs) {
    const mine = acknowledged.filter((answer) => answer.job === job)
    const lines = valueOf(await log.read(job))
    const hashes = new Map(lines.map((line) => [line.ack.seq, line.ack.hash]))
    expect(new Set(lines.map((line) => line.event.id)).size).toBe(lines.length)
    for (const { command, acks } of mine) {
      expect(lines.filter((line) => line.event.id === command)).toHaveLength(1)
      for (const ack of acks) expect(hashes.get(ack.seq)).toBe(ack.hash)
    }
    valueOf(await log.verify(job, mine.at(-1)?.acks.at(-1)))
  }
  expect(new Set(acknowledged.map((answer) => answer.command)).size).toBe(acknowledged.length)
  await log.close()
  folder.remove()
})
