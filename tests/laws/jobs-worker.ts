// One share of the random jobs, in a thread of its own: plays them, holds every law against them, and reports what it found.
// How many jobs and what they must have reached is jobs.test.ts.
import { parentPort, workerData } from 'node:worker_threads'
import { Bound, createSamePath, Endings, neverSafer, sameEvents, undoGivesBack, Watch, wholeJob } from './laws.ts'
import { libraryEngine } from './library.ts'
import { lastOf, nothingTaken, runRandomJob } from './random-job.ts'
import { createRandom } from './random.ts'
import type { Moment } from './random-job.ts'

export type Order = { readonly first: number; readonly jobs: number; readonly flow?: string }
export type Report = {
  readonly breaches: readonly string[]
  /** By the step that ended the job. */
  readonly endings: { readonly [step: string]: number }
  /** By ending and state of the tub. */
  readonly kinds: { readonly [ending: string]: number }
  readonly outcomes: { readonly [name: string]: number }
  readonly jobs: number
  readonly commands: number
  readonly events: number
  readonly longest: { readonly seed: number; readonly commands: number }
}

/** More than this many breaches say nothing new. */
const ENOUGH = 12
/** Every so manieth job has its events and views held against their schemas. */
const SHAPES_EVERY = 10

const engine = libraryEngine()
const taken = nothingTaken(engine.edition)
const samePath = createSamePath(engine.edition)

export function playJobs({ first, jobs, flow }: Order): Report {
  const breaches: string[] = []
  const endings: { [step: string]: number } = {}
  const kinds: { [ending: string]: number } = {}
  let [commands, events] = [0, 0]
  let longest = { seed: first, commands: 0 }
  for (let seed = first; seed < first + jobs && breaches.length < ENOUGH; seed += 1) {
    const found = (problem: string | undefined) => {
      if (problem !== undefined && breaches.length < ENOUGH) breaches.push(`seed ${seed}: ${problem}`)
    }
    try {
      const ends = (ended: { readonly step: string; readonly ending: string; readonly tub: string }) => {
        const [step, kind] = [lastOf(ended.step).join('.'), `${ended.ending}, ${ended.tub}`]
        endings[step] = (endings[step] ?? 0) + 1
        kinds[kind] = (kinds[kind] ?? 0) + 1
      }
      const job = runRandomJob(engine, seed, taken, { watch: lawsOf(found), ends, ...(flow === undefined ? {} : { flow }) })
      found(wholeJob(engine, job, createRandom(seed).below(job.events.length - 2) + 2, seed % SHAPES_EVERY === 0))
      commands += job.commands
      events += job.events.length
      if (job.commands > longest.commands) longest = { seed, commands: job.commands }
    } catch (error) {
      found(error instanceof Error ? (error.stack ?? error.message) : String(error))
    }
  }
  return { breaches, endings, kinds, outcomes: Object.fromEntries(taken.times), jobs, commands, events, longest }
}

/** Every law of a moment, for one job. */
function lawsOf(found: (problem: string | undefined) => void): (moment: Moment) => void {
  const bound = new Bound(engine.edition)
  const watch = new Watch(engine)
  const endings = new Endings()
  let [begun, count] = [false, 0]
  return (moment) => {
    if (!begun) watch.open(moment.opening)
    begun = true
    count += 1
    found(neverSafer(moment))
    found(undoGivesBack(moment))
    found(bound.look(moment))
    found(endings.look(moment))
    found(watch.look(moment))
    if (count % 4 === 0) found(sameEvents(engine, moment))
    if (count % 4 === 2) found(samePath(moment))
  }
}

if (parentPort !== null && workerData === 'laws') parentPort.on('message', (order: Order) => parentPort?.postMessage(playJobs(order)))
