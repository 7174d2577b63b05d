// How long one answer takes from command to new state, and how long a whole log takes to fold. Measured on the library's own job.
// Processor time, not time on the clock. No test asserts time; the runner prints these beside their aims.
import { Play } from '../graphs/engine/play.ts'
import type { JobEvent } from '#graphs/contract'
import type { Measure } from './main.ts'

/** Many short repeats: what else the machine does falls into few of them. */
const REPEATS = 25
const ROUNDS = 2000

/** Processor time of one go, microseconds: the median of many repeats. Time on the clock would be that of the other programs as well. */
function cpuMicros(goes: number, go: (index: number) => void): number {
  const values = Array.from({ length: REPEATS }, () => {
    const before = process.cpuUsage()
    for (let index = 0; index < goes; index += 1) go(index)
    return process.cpuUsage(before).user / goes
  })
  return values.toSorted((a, b) => a - b)[Math.floor(REPEATS / 2)] ?? 0
}

/** Microseconds for one decide and the evolves of its events. */
function answerMicros(play: Play, outcome: string): number {
  const { place } = play.step()
  const command = { type: 'answer', place, outcome } as const
  const person = { person: 'tech-01', role: 'technician', device: 'device-tech-01', channel: 'api' } as const
  return cpuMicros(ROUNDS, (round) => {
    const result = play.engine.decide(play.state, { id: `bench-${round}`, ...person, command }, { now: play.now })
    if (!result.ok) throw new Error(result.problem.message)
    result.value.reduce(play.engine.evolve, play.state)
  })
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
  const fold = cpuMicros(5, () => deep.engine.fold(log)) / 1000
  return [
    { name: 'decide + evolve, early answer', value: first, unit: 'µs', aim: '≤ 20', holds: first <= 20 },
    { name: 'decide + evolve, behind the lockout', value: later, unit: 'µs', aim: '≤ 20', holds: later <= 20 },
    { name: `fold of a ${log.length}-event job`, value: fold, unit: 'ms', aim: '≤ 10', holds: fold <= 10 },
  ]
}
