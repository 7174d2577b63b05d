// Where a random job may aim: the fewest steps, over the tables, from the present place to a step that was seldom answered in some way.
// Conditions of decide steps are not looked at: a job may miss, and aims anew.
import type { Edition, Frame, JobState, Step } from '#graphs'
import type { Random } from './random.ts'

const FAR = 1e6
/** An ending is aimed at like an outcome, under this name. */
export const AN_END = '(end)'
const SILENT = new Set(['decide', 'call', 'finish', 'refer'])

export type Aim = { readonly block: string; readonly step: string; readonly outcome: string }
export type Steering = {
  /** Something seldom taken that can still be reached from here. */
  readonly aim: (state: JobState, random: Random) => Aim | undefined
  /** Steps from the place that an outcome leads to until the aim can be taken; 0 when this outcome is the aim itself. */
  readonly distance: (state: JobState, outcome: string, aim: Aim) => number
}

type Place = { readonly block: string; readonly step: Step; readonly cost: number }

/** Every outcome of a step that a person gives, and an ending as such. */
function aimsAt({ block, step }: Place): Aim[] {
  const ends = step.kind === 'finish' || step.kind === 'refer'
  const outcomes = ends ? [AN_END] : Object.keys(step.outcomes).filter((outcome) => step.kind !== 'call' && outcome !== 'otherwise')
  return outcomes.map((outcome) => ({ block, step: step.id, outcome }))
}

export function createSteering(edition: Edition, times: ReadonlyMap<string, number>): Steering {
  const places: Place[] = Object.values(edition.blocks).flatMap((block) =>
    Object.values(block.steps).map((step) => ({ block: block.id, step, cost: SILENT.has(step.kind) ? 0 : 1 })),
  )
  const wanted = places.flatMap(aimsAt)
  const exits = exitDistances(edition, places)
  const towards = new Map<string, Map<string, number>>()
  const distancesTo = (aim: Aim): Map<string, number> => {
    const key = `${aim.block} ${aim.step}`
    const known = towards.get(key)
    if (known !== undefined) return known
    const made = stepDistances(edition, places, exits, key)
    towards.set(key, made)
    return made
  }

  /** From a step at a level of the frames: inside its block, or out by the nearest exit and on below. */
  const from = (to: Map<string, number>, frames: readonly Frame[], level: number, step: string): number => {
    const block = frames[level]?.block ?? ''
    let best = to.get(`${block} ${step}`) ?? FAR
    if (level === 0) return best
    for (const [exit, far] of exits.get(`${block} ${step}`) ?? []) {
      if (far < best) best = Math.min(best, far + leaving(to, frames, level, exit))
    }
    return best
  }
  const leaving = (to: Map<string, number>, frames: readonly Frame[], level: number, exit: string): number => {
    const caller = frames[level - 1]
    const frame = frames[level]
    const step = caller === undefined ? undefined : edition.blocks[caller.block]?.steps[caller.step]
    if (caller === undefined || frame === undefined || step === undefined) return FAR
    if (frame.put === undefined) return after(to, frames, level - 1, step, exit)
    const returns = Object.values(edition.standing).find((standing) => standing.block === frame.block)?.exits[exit]
    if (returns === 'not-done') return after(to, frames, level - 1, step, 'not-done')
    if (typeof returns === 'object') return to.get(`${returns.put} ${edition.blocks[returns.put]?.start ?? ''}`) ?? FAR
    return from(to, frames, level - 1, caller.step)
  }
  const after = (to: Map<string, number>, frames: readonly Frame[], level: number, step: Step, outcome: string): number => {
    const target = step.outcomes[outcome]?.to
    if (target === undefined) return FAR
    return target.startsWith('exit:') ? leaving(to, frames, level, target.slice(5)) : from(to, frames, level, target)
  }

  const distance: Steering['distance'] = (state, outcome, aim) => {
    const { frames } = state.path
    const top = frames.at(-1)
    const step = top === undefined ? undefined : edition.blocks[top.block]?.steps[top.step]
    if (top === undefined || step === undefined) return FAR
    if (top.block === aim.block && top.step === aim.step && outcome === aim.outcome) return 0
    return 1 + after(distancesTo(aim), frames, frames.length - 1, step, outcome)
  }

  const aim: Steering['aim'] = (state, random) => {
    const { frames } = state.path
    const top = frames.at(-1)
    if (top === undefined) return undefined
    let best: Aim | undefined
    let least = Infinity
    for (let tries = 0; tries < 16; tries += 1) {
      const one = random.pick(wanted)
      const taken = times.get(`${one.block}.${one.step}=${one.outcome}`) ?? 0
      if (taken < least && from(distancesTo(one), frames, frames.length - 1, top.step) < FAR) {
        best = one
        least = taken
      }
    }
    return best
  }
  return { aim, distance }
}

/** Blocks that the engine may put on top of a step for what it needs. */
function putOn(edition: Edition, step: Step): string[] {
  const { standing } = edition
  const blocks: string[] = []
  if (step.needs === 'dead') blocks.push(standing.dead.block, standing.prove.block)
  if (step.needs === 'live-shut' || step.needs === 'shut') blocks.push(standing.live_shut.block)
  if (step.needs === 'live-open') blocks.push(standing.live_open.block)
  if (step.starts !== undefined) blocks.push(standing.water_clear.block)
  return blocks
}

/** Fewest steps from each step to each exit of its block. */
function exitDistances(edition: Edition, places: readonly Place[]): Map<string, Map<string, number>> {
  const known = new Map<string, Map<string, number>>(places.map(({ block, step }) => [`${block} ${step.id}`, new Map()]))
  const better = (key: string, exit: string, far: number): boolean => {
    const exits = known.get(key)
    if (exits === undefined || (exits.get(exit) ?? FAR) <= far) return false
    exits.set(exit, far)
    return true
  }
  for (let changed = true; changed;) {
    changed = false
    for (const { block, step, cost } of places) {
      const key = `${block} ${step.id}`
      const called = step.call === undefined ? undefined : known.get(`${step.call.block} ${edition.blocks[step.call.block]?.start ?? ''}`)
      for (const [name, { to }] of Object.entries(step.outcomes)) {
        const through = step.call === undefined ? cost : (called?.get(name) ?? FAR)
        if (through >= FAR) continue
        if (to.startsWith('exit:')) changed = better(key, to.slice(5), through) || changed
        else for (const [exit, far] of known.get(`${block} ${to}`) ?? []) changed = better(key, exit, through + far) || changed
      }
    }
  }
  return known
}

/** Fewest steps from each step to one wanted step, through its block, calls and procedures put on top. */
function stepDistances(
  edition: Edition,
  places: readonly Place[],
  exits: Map<string, Map<string, number>>,
  wanted: string,
): Map<string, number> {
  const known = new Map<string, number>([[wanted, 0]])
  const far = (key: string): number => known.get(key) ?? FAR
  const startOf = (block: string): string => `${block} ${edition.blocks[block]?.start ?? ''}`
  for (let changed = true; changed;) {
    changed = false
    for (const { block, step, cost } of places) {
      const key = `${block} ${step.id}`
      let best = far(key)
      for (const put of putOn(edition, step)) best = Math.min(best, 1 + far(startOf(put)))
      if (step.call !== undefined) best = Math.min(best, far(startOf(step.call.block)))
      for (const [name, { to }] of Object.entries(step.outcomes)) {
        if (to.startsWith('exit:')) continue
        const through = step.call === undefined ? cost : (exits.get(startOf(step.call.block))?.get(name) ?? FAR)
        best = Math.min(best, through + far(`${block} ${to}`))
      }
      if (best < far(key)) {
        known.set(key, best)
        changed = true
      }
    }
  }
  return known
}
