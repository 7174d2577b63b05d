// How long one answer takes from command to new state, and how long a whole log takes to fold. Measured on the library's own job.
// No test asserts time; the runner prints these beside their aims.
import { Play } from '../graphs/engine/play.ts'
import type { JobEvent } from '#graphs/contract'
import type { Measure } from './main.ts'

const ROUNDS = 20_000

/** Median of a few repeats, so that one collection of garbage does not count. */
function median(values: number[]): number {
  return values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0
}

/** Microseconds for one decide and the evolves of its events. */
function answerMicros(play: Play, outcome: string): number {
  const { place } = play.step()
  const command = { type: 'answer', place, outcome } as const
  const person = { person: 'tech-01', role: 'technician', device: 'bench-device', channel: 'api' } as const
  const once = () => {
    const start = performance.now()
    for (let round = 0; round < ROUNDS; round += 1) {
      const result = play.engine.decide(play.state, { id: `bench-${round}`, ...person, command }, { now: play.now })
      if (!result.ok) throw new Error(result.problem.message)
      result.value.reduce(play.engine.evolve, play.state)
    }
    return ((performance.now() - start) / ROUNDS) * 1000
  }
  once()
  return median([once(), once(), once()])
}

/** A log of 200 events: the job as it stands, with its last answer changed over and over. */
function longLog(play: Play): JobEvent[] {
  const changed = play.view().trail.find((item) => item.key.endsWith('red-flags.burning#1'))
  if (changed === undefined) throw new Error('The question that is to be changed is not on the trail.')
  while (play.events.length < 200) play.send({ type: 'change', key: changed.key, outcome: 'none' })
  return play.events.slice(0, 200)
}

export async function run(): Promise<Measure[]> {
  const early = new Play()
  early.send({ type: 'arrive' })
  early.to('red-flags.shock')
  const first = answerMicros(early, 'none')
  const deep = new Play()
  deep.send({ type: 'arrive' })
  deep.to('as-found-record.look')
  const later = answerMicros(deep, 'neither')
  const log = longLog(deep)
  const fold = median(
    Array.from({ length: 9 }, () => {
      const start = performance.now()
      deep.engine.fold(log)
      return performance.now() - start
    }),
  )
  return [
    { name: 'decide + evolve, early answer', value: first, unit: 'µs', aim: '≤ 20', holds: first <= 20 },
    { name: 'decide + evolve, behind the lockout', value: later, unit: 'µs', aim: '≤ 20', holds: later <= 20 },
    { name: `fold of a ${log.length}-event job`, value: fold, unit: 'ms', aim: '≤ 10', holds: fold <= 10 },
  ]
}
