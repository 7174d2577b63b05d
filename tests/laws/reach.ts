// How much of a job an answer leaves open: the longest way on from where it leads, over the tables. Random jobs prefer what still reaches far.
// Backward arrows are left out, as everywhere in bounds.
import type { Edition, Frame, JobState, Step } from '#graphs'

type Lengths = { readonly [exit: string]: number }
const END = '(end)'
const SILENT = new Set(['decide', 'call', 'finish', 'refer'])

export type Reach = (state: JobState, outcome: string) => number

export function createReach(edition: Edition): Reach {
  const known = new Map<string, Lengths>()

  const from = (blockId: string, stepId: string): Lengths => {
    const key = `${blockId} ${stepId}`
    const before = known.get(key)
    if (before !== undefined) return before
    known.set(key, {})
    const step = edition.blocks[blockId]?.steps[stepId]
    const total: { [exit: string]: number } = {}
    if (step === undefined || step.kind === 'finish' || step.kind === 'refer') total[END] = 0
    else for (const name of Object.keys(step.outcomes)) merge(total, after(blockId, step, name), through(step, name))
    const called = step?.call === undefined ? undefined : edition.blocks[step.call.block]
    if (called !== undefined) merge(total, { [END]: from(called.id, called.start)[END] ?? 0 }, 0)
    known.set(key, total)
    return total
  }

  const through = (step: Step, name: string): number => {
    const called = step.call === undefined ? undefined : edition.blocks[step.call.block]
    if (called === undefined) return SILENT.has(step.kind) ? 0 : 1
    return from(called.id, called.start)[name] ?? 0
  }

  const after = (blockId: string, step: Step, name: string): Lengths => {
    const outcome = step.outcomes[name]
    const to = outcome?.again?.then ?? outcome?.to ?? 'exit:none'
    return to.startsWith('exit:') ? { [to.slice(5)]: 0 } : from(blockId, to)
  }

  const merge = (total: { [exit: string]: number }, lengths: Lengths, plus: number): void => {
    for (const [exit, length] of Object.entries(lengths)) total[exit] = Math.max(total[exit] ?? 0, length + plus)
  }

  /** Longest way on when the frame at this level is left by an exit. */
  const onward = (state: JobState, frames: readonly Frame[], level: number, exit: string): number => {
    const caller = frames[level - 1]
    const frame = frames[level]
    const step = caller === undefined ? undefined : edition.blocks[caller.block]?.steps[caller.step]
    if (caller === undefined || frame === undefined || step === undefined) return 0
    if (frame.put === undefined) return best(state, frames, level - 1, after(caller.block, step, exit))
    const returns = Object.values(edition.standing).find((standing) => standing.block === frame.block)?.exits[exit]
    if (returns === 'not-done') return best(state, frames, level - 1, after(caller.block, step, 'not-done'))
    if (typeof returns === 'object') return 5
    return best(state, frames, level - 1, from(caller.block, caller.step))
  }

  const best = (state: JobState, frames: readonly Frame[], level: number, lengths: Lengths): number =>
    Math.max(0, ...Object.entries(lengths).map(([exit, length]) => length + (exit === END ? 0 : onward(state, frames, level, exit))))

  return (state, outcome) => {
    const { frames } = state.path
    const top = frames.at(-1)
    const step = top === undefined ? undefined : edition.blocks[top.block]?.steps[top.step]
    if (top === undefined || step === undefined) return 0
    return best(state, frames, frames.length - 1, after(top.block, step, outcome))
  }
}
