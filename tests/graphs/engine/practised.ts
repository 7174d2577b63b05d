// Plays a job as far as a step with the answers of the practice tub, and writes single events to begin from a rare state.
// No expectations live here.
import type { EventBodies, EventType, JobEvent, Person } from '#graphs/contract'
import { libraryEngine } from '../../laws/library.ts'
import { Play, TECHNICIAN } from './play.ts'

type Given = NonNullable<ReturnType<Play['step']>['practice']>
/** What is answered instead of the practice tub, by `block.step`. */
export type Instead = { readonly [step: string]: Omit<Given, 'says'> | { readonly not_done: string } }

/** The practice job on site, at the first step of that name; `end` plays it out. */
export function practised(wanted: string, instead: Instead = {}): Play {
  const play = new Play(TECHNICIAN, libraryEngine(), 'hotter-than-set', true)
  play.send({ type: 'arrive' })
  goOn(play, wanted, instead)
  return play
}

export function goOn(play: Play, wanted: string, instead: Instead = {}): void {
  for (let turn = 0; turn < 150; turn += 1) {
    if (play.state.ended !== undefined) {
      if (wanted === 'end') return
      throw new Error(`the job ended before ${wanted}: ${play.state.ended.step}`)
    }
    const step = play.step()
    const name = `${step.block}.${step.step}`
    if (name === wanted) return
    const { says: _says, ...answer } = step.practice ?? { says: '' }
    const reply = play.send({ type: 'answer', place: step.place, ...(instead[name] ?? answer) })
    if (!reply.ok) throw new Error(`${name}: ${reply.code} ${reply.message}`)
  }
  throw new Error(`${wanted} was not reached`)
}

/** Writes an event into the log as it stands. */
export function force<T extends EventType>(play: Play, type: T, body: EventBodies[T], person: Person = TECHNICIAN): void {
  const event = {
    ...play.events.at(-1),
    id: `forced-${play.events.length}`,
    at: play.now,
    type,
    by: { person: person.id, role: person.role },
    body,
  } as unknown as JobEvent
  play.events.push(event)
  play.state = play.engine.evolve(play.state, event)
}

/** The last answer on the path whose key ends so. */
export function keyOf(play: Play, end: string): string {
  const key = play.state.path.trail.findLast((one) => one.endsWith(end))
  if (key === undefined) throw new Error(`${end} is not on the path`)
  return key
}
