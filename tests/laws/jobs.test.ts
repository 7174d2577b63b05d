// Ten thousand random jobs keep every law; together they take every answer that can be taken and reach every ending.
// The laws are laws.ts, a job is random-job.ts. LAWS_SEED chooses other jobs, LAWS_JOBS how many.
import { Worker } from 'node:worker_threads'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Order, Report } from './jobs-worker.ts'
import { libraryEdition } from './library.ts'
import { NEVER_TAKEN, SELDOM_REACHED } from './never-taken.ts'

const SEED = Number(process.env.LAWS_SEED ?? 20_000_000)
const JOBS = Number(process.env.LAWS_JOBS ?? 10_000)
const THREADS = 2
const CHUNKS = 10
/** Every named ending with its state of the tub is reached so often in a whole run. */
const OFTEN = 20
/**
 * Share of answers and ending steps, beside those that are listed with their reason, that one run may miss: chance picks other ones
 * whenever the library or a seed changes. The message names each of them.
 */
const BY_CHANCE = 0.02
const MINUTES = 60_000

/** A thread that plays its share of jobs and keeps in mind what it has taken. */
class Player {
  readonly #worker = new Worker(new URL('./jobs-worker.ts', import.meta.url), {
    workerData: 'laws',
    execArgv: ['--disable-warning=ExperimentalWarning'],
  })

  play(order: Order): Promise<Report> {
    return new Promise((resolve, reject) => {
      this.#worker.once('message', resolve)
      this.#worker.once('error', reject)
      this.#worker.postMessage(order)
    })
  }

  async end(): Promise<void> {
    await this.#worker.terminate()
  }
}

const players: Player[] = []
const outcomes = new Map<string, number>()
const endings = new Map<string, number>()
const kinds = new Map<string, number>()

function addTo(sum: Map<string, number>, part: { readonly [name: string]: number }): void {
  for (const [name, times] of Object.entries(part)) sum.set(name, (sum.get(name) ?? 0) + times)
}

/** Step-outcomes that a person or the program gives; calls, endings and branches answer nothing. */
function* answerable(): Generator<string> {
  for (const block of Object.values(libraryEdition().blocks)) {
    for (const step of Object.values(block.steps)) {
      if (['call', 'finish', 'refer'].includes(step.kind)) continue
      for (const name of Object.keys(step.outcomes)) yield `${block.id}.${step.id}=${name}`
    }
  }
}

function kindsInLibrary(): Set<string> {
  const closings = Object.values(libraryEdition().blocks).flatMap((block) =>
    Object.values(block.steps).map((step) => step.finish ?? step.refer),
  )
  return new Set(closings.flatMap((closing) => (closing === undefined ? [] : [`${closing.ending}, ${closing.tub}`])))
}

function endingSteps(): string[] {
  return Object.values(libraryEdition().blocks).flatMap((block) =>
    Object.values(block.steps).flatMap((step) => (step.kind === 'finish' || step.kind === 'refer' ? [`${block.id}.${step.id}`] : [])),
  )
}

beforeAll(() => {
  for (let index = 0; index < THREADS; index += 1) players.push(new Player())
})
afterAll(async () => {
  await Promise.all(players.map((player) => player.end()))
})

const share = Math.ceil(JOBS / (THREADS * CHUNKS))

describe('random jobs', () => {
  test.each(Array.from({ length: CHUNKS }, (_, chunk) => chunk))(
    `keep every law, share %i of ${CHUNKS}`,
    async (chunk) => {
      const orders = players.map((_, index) => ({ first: SEED + (chunk * THREADS + index) * share, jobs: share }))
      const reports = await Promise.all(players.map((player, index) => player.play(orders[index] ?? { first: SEED, jobs: 0 })))
      for (const report of reports) {
        addTo(endings, report.endings)
        addTo(kinds, report.kinds)
      }
      if (chunk === CHUNKS - 1) for (const report of reports) addTo(outcomes, report.outcomes)
      expect(reports.flatMap((report) => report.breaches)).toEqual([])
    },
    4 * MINUTES,
  )

  test.runIf(JOBS >= 10_000)('take every answer of every step, but for those with a listed reason and a few by chance', () => {
    const all = [...answerable()]
    const missing = all.filter((name) => !outcomes.has(name) && reasonOf(name) === undefined)
    expect(missing.length / all.length, `never taken: ${missing.join(', ')}`).toBeLessThan(BY_CHANCE)
  })

  test.runIf(JOBS >= 10_000)(
    `come to each named ending and state of the tub at least ${OFTEN} times, but for those listed as seldom`,
    () => {
      const wanted = [...kindsInLibrary()].filter((kind) => SELDOM_REACHED[kind] === undefined)
      const tooFew = wanted.flatMap((kind) => ((kinds.get(kind) ?? 0) >= OFTEN ? [] : [`${kind}: ${kinds.get(kind) ?? 0}`]))
      expect(tooFew).toEqual([])
    },
  )

  test.runIf(JOBS >= 10_000)('come to every ending step, but for those with a listed reason and a few by chance', () => {
    const all = endingSteps()
    const missing = all.filter((step) => !endings.has(step) && SELDOM_REACHED[step] === undefined && reasonOf(`${step}=`) === undefined)
    expect(missing.length / all.length, `never ended at: ${missing.join(', ')}`).toBeLessThan(BY_CHANCE)
  })
})

/** The reason why an answer is never taken: by its own name, its step, or its block. */
function reasonOf(name: string): string | undefined {
  const [place = ''] = name.split('=')
  const cut = name.lastIndexOf('=')
  const step = name.slice(0, cut)
  const block = step.slice(0, step.lastIndexOf('.'))
  return NEVER_TAKEN[name] ?? NEVER_TAKEN[step] ?? NEVER_TAKEN[place] ?? NEVER_TAKEN[block]
}

test('every listed exception names something that exists', () => {
  const known = new Set([...answerable(), ...endingSteps(), ...kindsInLibrary()])
  for (const name of answerable()) {
    const step = name.slice(0, name.lastIndexOf('='))
    known.add(step).add(step.slice(0, step.lastIndexOf('.')))
  }
  expect([...Object.keys(NEVER_TAKEN), ...Object.keys(SELDOM_REACHED)].filter((name) => !known.has(name))).toEqual([])
})
