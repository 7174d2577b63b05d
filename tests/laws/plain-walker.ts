// The yardstick for the engine's walk: the same log followed by plain recursion over the tables, without machines and without state in between.
// Kept short and slow on purpose; shares no code with the engine.
import type { JobEvent } from '#graphs/contract'
import type { Edition, Step } from '#graphs'

type Frame = { block: string; step: string; visit: number; put?: number }
type Given = { outcome: string; auto?: string }
type Put = { block: string; cause: string }

class Rest extends Error {
  readonly frames: Frame[]
  constructor(frames: Frame[]) {
    super('the job rests here')
    this.frames = frames
  }
}

const CAUSES: { [cause: string]: keyof Edition['standing'] } = {
  dead: 'dead',
  prove: 'prove',
  'live-shut': 'live_shut',
  'live-open': 'live_open',
  'water-clear': 'water_clear',
}

/** Frames a log leads to, as text. */
export function framesByTables(edition: Edition, events: readonly JobEvent[]): string {
  const answers = new Map<string, Given>()
  const puts = new Map<string, Put[]>()
  const segments: { block: string; step: string }[] = []
  let trail: string[] = []
  let taken: string[] = []
  const run = () => {
    trail = []
    let rest: Frame[] = []
    taken = []
    const walk = walker(edition, answers, puts, trail, taken)
    for (const [index, segment] of segments.entries()) rest = walk(index, segment)
    return rest
  }
  for (const event of events) {
    if (event.type === 'job-opened') {
      const block = event.body.flow
      segments.push({ block, step: edition.blocks[block]?.start ?? '' })
    } else if (event.type === 'arrived') {
      const [block = '', step = ''] = event.body.entry.split('.')
      segments.push({ block, step })
    } else if (event.type === 'procedure-put') {
      puts.set(event.body.key, [...(puts.get(event.body.key) ?? []), event.body])
    } else if (event.type === 'answer-given') {
      answers.set(event.body.key, event.body)
    } else if (event.type === 'answer-changed' || event.type === 'verdict-revised' || event.type === 'answer-withdrawn') {
      if (event.type === 'verdict-revised' && answers.get(event.body.key)?.outcome === event.body.outcome) continue
      run()
      const at = taken.indexOf(event.body.key)
      const before = new Set(at === -1 ? taken : taken.slice(0, at))
      for (const [key, given] of answers) if (given.auto !== undefined && !before.has(key)) answers.delete(key)
      if (event.type === 'answer-withdrawn') answers.delete(event.body.key)
      else answers.set(event.body.key, { outcome: event.body.outcome })
    }
  }
  return run()
    .map((frame) => text(frame))
    .join('>')
}

function text(frame: Frame): string {
  return `${frame.put === undefined ? '' : `+${frame.put}`}${frame.block}.${frame.step}#${frame.visit}`
}

function walker(edition: Edition, answers: Map<string, Given>, puts: Map<string, Put[]>, trail: string[], taken: string[]) {
  const counts = new Map<string, number>()
  const count = (name: string) => {
    counts.set(name, (counts.get(name) ?? 0) + 1)
    return counts.get(name) ?? 1
  }

  /** Runs a block from a step until it is left; throws Rest where no answer leads on. */
  const run = (segment: number, above: Frame[], blockId: string, start: string, put: number | undefined): string => {
    let stepId = start
    for (;;) {
      const path = `${segment}|${[...above.map(text), `${put === undefined ? '' : `+${put}`}${blockId}.${stepId}`].join('>')}`
      const frame: Frame = { block: blockId, step: stepId, visit: count(path), ...(put === undefined ? {} : { put }) }
      const target = leave(segment, [...above, frame], path)
      if (target.startsWith('exit:')) return target.slice(5)
      stepId = target
    }
  }

  const leave = (segment: number, frames: Frame[], path: string): string => {
    const frame = frames.at(-1)
    if (frame === undefined) throw new Error('no frame')
    const step = edition.blocks[frame.block]?.steps[frame.step]
    if (step === undefined) throw new Error(`no step ${frame.block}.${frame.step}`)
    const key = `${segment}|${frames.map(text).join('>')}`
    const forced = runPuts(segment, frames, key)
    const given = forced ?? answers.get(key)?.outcome
    if (forced === undefined && given !== undefined) taken.push(key)
    if (forced === undefined && given !== undefined && step.call === undefined) trail.push(key)
    let name = given
    if (name === undefined && step.call !== undefined) {
      const called = edition.blocks[step.call.block]
      name = run(segment, frames, step.call.block, called?.start ?? '', undefined)
    }
    if (name === undefined) throw new Rest(frames)
    const outcome = step.outcomes[name]
    if (outcome === undefined) throw new Error(`no outcome ${name} at ${key}`)
    return arrow(counts, outcome, `${path}=${name}`)
  }

  /** Everything put on this place, in order; "not-done" when one of them ends the step so. */
  const runPuts = (segment: number, frames: Frame[], key: string): string | undefined => {
    for (const [index, put] of (puts.get(key) ?? []).entries()) {
      let block = put.block
      for (;;) {
        const exit = run(segment, frames, block, edition.blocks[block]?.start ?? '', index + 1)
        const after = afterwards(edition, put, block, exit)
        if (typeof after === 'object') {
          block = after.put
          continue
        }
        if (after === 'not-done') return 'not-done'
        break
      }
    }
    return undefined
  }

  return (segment: number, from: { block: string; step: string }): Frame[] => {
    try {
      run(segment, [], from.block, from.step, undefined)
      return []
    } catch (error) {
      if (error instanceof Rest) return error.frames
      throw error
    }
  }
}

/** What leaving a block does that was put on top. */
function afterwards(edition: Edition, put: Put, block: string, exit: string) {
  const standing =
    CAUSES[put.cause] === undefined ? edition.interrupts[put.cause as 'stop' | 'leave'] : edition.standing[CAUSES[put.cause] ?? 'dead']
  if (standing?.block === block) return standing.exits[exit] ?? 'return'
  if (put.cause === 'test' || put.cause === 'red-flag') return 'return'
  return exit === 'not-done' ? 'not-done' : 'return'
}

/** The arrow of an outcome, or its way out once it was taken often enough. */
function arrow(counts: Map<string, number>, outcome: Step['outcomes'][string], name: string): string {
  if (outcome.again === undefined) return outcome.to
  const used = counts.get(name) ?? 0
  if (used >= outcome.again.most) return outcome.again.then
  counts.set(name, used + 1)
  return outcome.to
}
