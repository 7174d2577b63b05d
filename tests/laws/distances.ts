// How far it is: the fewest steps, over the tables, from a place of a job to a step. Procedures that the engine puts on top count as ways in.
// Conditions of decide steps are not looked at. What is worth going to is steer.ts.
import type { Edition, Frame, JobState, Step } from '#graphs'

/** As good as never. */
export const FAR = 1e6
const SILENT = new Set(['decide', 'call', 'finish', 'refer'])

export type Place = { readonly block: string; readonly step: Step; readonly cost: number }

export function placesOf(edition: Edition): Place[] {
  return Object.values(edition.blocks).flatMap((block) =>
    Object.values(block.steps).map((step) => ({ block: block.id, step, cost: SILENT.has(step.kind) ? 0 : 1 })),
  )
}

/** Distances over one edition; each target's table is made once. */
export class Distances {
  readonly #edition: Edition
  readonly #places: readonly Place[]
  readonly #ways: readonly Way[]
  readonly #exits: Map<string, Map<string, number>>
  readonly #towards = new Map<string, Map<string, number>>()

  constructor(edition: Edition, places: readonly Place[]) {
    this.#edition = edition
    this.#places = places
    this.#exits = exitDistances(edition, places)
    this.#ways = waysOf(edition, places, this.#exits)
  }

  /** Steps from the present place to a step. */
  fromHere(state: JobState, block: string, step: string): number {
    const { frames } = state.path
    const top = frames.at(-1)
    return top === undefined ? FAR : this.#from(this.#to(block, step), frames, frames.length - 1, top.step)
  }

  /** Steps from where an outcome of the present step leads. */
  afterOutcome(state: JobState, outcome: string, block: string, step: string): number {
    const { frames } = state.path
    const top = frames.at(-1)
    const present = top === undefined ? undefined : this.#edition.blocks[top.block]?.steps[top.step]
    return present === undefined ? FAR : 1 + this.#after(this.#to(block, step), frames, frames.length - 1, present, outcome)
  }

  #to(block: string, step: string): Map<string, number> {
    const key = `${block} ${step}`
    const known = this.#towards.get(key)
    if (known !== undefined) return known
    const made = stepDistances(this.#places, this.#ways, key)
    this.#towards.set(key, made)
    return made
  }

  /** From a step at a level of the frames: inside its block, or out by the nearest exit and on below. */
  #from(to: Map<string, number>, frames: readonly Frame[], level: number, step: string): number {
    const block = frames[level]?.block ?? ''
    let best = to.get(`${block} ${step}`) ?? FAR
    if (level === 0) return best
    for (const [exit, far] of this.#exits.get(`${block} ${step}`) ?? []) {
      if (far < best) best = Math.min(best, far + this.#leaving(to, frames, level, exit))
    }
    return best
  }

  #leaving(to: Map<string, number>, frames: readonly Frame[], level: number, exit: string): number {
    const { blocks, standing } = this.#edition
    const caller = frames[level - 1]
    const frame = frames[level]
    const step = caller === undefined ? undefined : blocks[caller.block]?.steps[caller.step]
    if (caller === undefined || frame === undefined || step === undefined) return FAR
    if (frame.put === undefined) return this.#after(to, frames, level - 1, step, exit)
    const returns = Object.values(standing).find((one) => one.block === frame.block)?.exits[exit]
    if (returns === 'not-done') return this.#after(to, frames, level - 1, step, 'not-done')
    if (typeof returns === 'object') return to.get(`${returns.put} ${blocks[returns.put]?.start ?? ''}`) ?? FAR
    return this.#from(to, frames, level - 1, caller.step)
  }

  #after(to: Map<string, number>, frames: readonly Frame[], level: number, step: Step, outcome: string): number {
    const target = step.outcomes[outcome]?.to
    if (target === undefined) return FAR
    return target.startsWith('exit:') ? this.#leaving(to, frames, level, target.slice(5)) : this.#from(to, frames, level, target)
  }
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

/** A way from one place to another, by their numbers, and what it costs. */
type Way = { readonly from: number; readonly to: number; readonly cost: number }

/** Every way through a block, into what it calls and into what is put on top. */
function waysOf(edition: Edition, places: readonly Place[], exits: Map<string, Map<string, number>>): Way[] {
  const numbers = new Map(places.map(({ block, step }, index) => [`${block} ${step.id}`, index]))
  const startOf = (block: string): string => `${block} ${edition.blocks[block]?.start ?? ''}`
  const ways: Way[] = []
  for (const [from, { block, step, cost }] of places.entries()) {
    const way = (place: string, far: number) => {
      const to = numbers.get(place)
      if (to !== undefined && far < FAR) ways.push({ from, to, cost: far })
    }
    for (const put of putOn(edition, step)) way(startOf(put), 1)
    if (step.call !== undefined) way(startOf(step.call.block), 0)
    for (const [name, { to }] of Object.entries(step.outcomes)) {
      if (to.startsWith('exit:')) continue
      way(`${block} ${to}`, step.call === undefined ? cost : (exits.get(startOf(step.call.block))?.get(name) ?? FAR))
    }
  }
  return ways
}

/** Fewest steps from each step to one wanted step. */
function stepDistances(places: readonly Place[], ways: readonly Way[], wanted: string): Map<string, number> {
  const far: number[] = places.map(({ block, step }) => (`${block} ${step.id}` === wanted ? 0 : FAR))
  for (let changed = true; changed;) {
    changed = false
    for (const { from, to, cost } of ways) {
      const through = cost + (far[to] ?? FAR)
      if (through >= (far[from] ?? FAR)) continue
      far[from] = through
      changed = true
    }
  }
  return new Map(
    places.flatMap(({ block, step }, index) => ((far[index] ?? FAR) < FAR ? [[`${block} ${step.id}`, far[index] ?? FAR]] : [])),
  )
}
