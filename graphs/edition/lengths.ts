// How many steps a part of the job can still have: the longest way over the compiled tables, backward arrows left out.
// Taking a backward arrow is a correction and may raise the bound; everything else lowers it.
import { invariant } from '../result.ts'
import type { Block, Edition, Part, Step } from './compiled.ts'

export const PARTS: readonly Part[] = ['phone', 'arrive', 'make-dead', 'find', 'mend', 'prove', 'close']

/** Longest number of steps of one part from a step to each exit of its block; END is an ending of the job. */
export type Lengths = { readonly [exit: string]: number }
export const END = '(end)'

export type LengthTable = {
  readonly from: (block: string, step: string, part: Part) => Lengths
  readonly loops: readonly { block: string; step: string }[]
}

/** Test cards and the water-clear question belong to the part of whatever they serve. */
export function isPartless(edition: Edition, block: Block): boolean {
  return block.kind === 'test' || block.id === edition.standing.water_clear.block
}

const ASKS_NOBODY = new Set(['decide', 'call', 'finish', 'refer'])

/** Shape: computed on demand and kept. Loops without `again` are listed and counted once. */
export function createLengths(edition: Edition): LengthTable {
  const known = new Map<string, Lengths | 'open'>()
  const loops: { block: string; step: string }[] = []

  const from = (blockId: string, stepId: string, part: Part): Lengths => {
    const key = `${part} ${blockId} ${stepId}`
    const before = known.get(key)
    if (before === 'open') {
      loops.push({ block: blockId, step: stepId })
      return {}
    }
    if (before !== undefined) return before
    known.set(key, 'open')
    const block = edition.blocks[blockId]
    invariant(block, `block ${blockId} exists`)
    const step = block.steps[stepId]
    invariant(step, `step ${blockId}.${stepId} exists`)
    const lengths = lengthsOf(block, step, part)
    known.set(key, lengths)
    return lengths
  }

  const lengthsOf = (block: Block, step: Step, part: Part): Lengths => {
    if (step.kind === 'finish' || step.kind === 'refer') return { [END]: 0 }
    const own = !ASKS_NOBODY.has(step.kind) && (step.part === part || isPartless(edition, block)) ? 1 : 0
    const total: { [exit: string]: number } = {}
    const add = (lengths: Lengths, plus: number) => {
      for (const [exit, length] of Object.entries(lengths)) total[exit] = Math.max(total[exit] ?? 0, length + plus)
    }
    const target = (to: string, plus: number) => {
      if (to.startsWith('exit:')) add({ [to.slice(5)]: 0 }, plus)
      else add(from(block.id, to, part), plus)
    }
    const called = step.call === undefined ? undefined : edition.blocks[step.call.block]
    const inside: Lengths = called === undefined ? {} : insideCall(block, step, called, part)
    if (inside[END] !== undefined) add({ [END]: inside[END] }, 0)
    for (const [name, outcome] of Object.entries(step.outcomes)) {
      const before = called === undefined ? own : (inside[name] ?? 0)
      target(outcome.again === undefined ? outcome.to : outcome.again.then, before)
    }
    return total
  }

  /** A test card's steps belong to the part of whoever calls it; from another part they count nothing. */
  const insideCall = (block: Block, step: Step, called: Block, part: Part): Lengths => {
    const lengths = from(called.id, called.start, part)
    const counts = called.kind !== 'test' || block.kind === 'test' || step.part === part
    return counts ? lengths : Object.fromEntries(Object.keys(lengths).map((exit) => [exit, 0]))
  }

  return { from, loops }
}

export function partLengths(edition: Edition): LengthTable {
  const table = createLengths(edition)
  for (const block of Object.values(edition.blocks)) {
    for (const step of Object.keys(block.steps)) for (const part of PARTS) table.from(block.id, step, part)
  }
  return table
}

/** The longest way of a whole list of frames, top frame last: inside the top block, then on in the blocks that called it. */
export function longestFrom(
  table: LengthTable,
  edition: Edition,
  frames: readonly { block: string; step: string; put?: number }[],
  part: Part,
): number {
  let lengths: Lengths = {}
  for (let level = frames.length - 1; level >= 0; level -= 1) {
    const frame = frames[level]
    if (frame === undefined) break
    const isTop = level === frames.length - 1
    lengths = isTop
      ? table.from(frame.block, frame.step, part)
      : throughCaller(table, edition, frame, lengths, part, frames[level + 1]?.put !== undefined)
  }
  return Math.max(0, ...Object.values(lengths))
}

function throughCaller(
  table: LengthTable,
  edition: Edition,
  caller: { block: string; step: string },
  inside: Lengths,
  part: Part,
  wasPut: boolean,
): Lengths {
  const longestInside = Math.max(0, ...Object.values(inside))
  if (wasPut) {
    const own = table.from(caller.block, caller.step, part)
    return Object.fromEntries(Object.entries(own).map(([exit, length]) => [exit, length + longestInside]))
  }
  const step = edition.blocks[caller.block]?.steps[caller.step]
  const total: { [exit: string]: number } = inside[END] === undefined ? {} : { [END]: inside[END] }
  for (const [name, outcome] of Object.entries(step?.outcomes ?? {})) {
    const before = inside[name]
    if (before === undefined) continue
    const to = outcome.again === undefined ? outcome.to : outcome.again.then
    const onward: Lengths = to.startsWith('exit:') ? { [to.slice(5)]: 0 } : table.from(caller.block, to, part)
    for (const [exit, length] of Object.entries(onward)) total[exit] = Math.max(total[exit] ?? 0, length + before)
  }
  return total
}
