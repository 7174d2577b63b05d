// A place as text: segment of the job, then its frames. `0|overheating.symbol#1>heating-symbol.test#1`; a block put on top carries its number: `>+1make-dead.lock#1`.
// How places are walked is walk.ts.
import type { Frame } from './state.ts'

export function keyOf(segment: number, frames: readonly Frame[]): string {
  return `${segment}|${frames.map(frameText).join('>')}`
}

function frameText(frame: Frame): string {
  const put = frame.put === undefined ? '' : `+${frame.put}`
  return `${put}${frame.block}.${frame.step}#${frame.visit}`
}

/** Key of a step without its visit: what visits are counted under. */
export function callPathOf(segment: number, callers: readonly Frame[], put: number | undefined, block: string, step: string): string {
  const above = callers.length === 0 ? '' : `${callers.map(frameText).join('>')}>`
  return `${segment}|${above}${put === undefined ? '' : `+${put}`}${block}.${step}`
}

/** Block and step that a key ends in. */
export function endOfKey(key: string): { block: string; step: string } {
  const last = key.slice(Math.max(key.lastIndexOf('>'), key.indexOf('|')) + 1).replace(/^\+\d+/, '')
  const dot = last.indexOf('.')
  return { block: last.slice(0, dot), step: last.slice(dot + 1, last.lastIndexOf('#')) }
}
