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

type BlockStep = { readonly block: string; readonly step: string }

/** Block and step that a key ends in. */
export function endOfKey(key: string): BlockStep {
  return blockAndStep(key.slice(Math.max(key.lastIndexOf('>'), key.indexOf('|')) + 1))
}

/** Block and step of every level of a key, the flow first. */
export function framesOfKey(key: string): BlockStep[] {
  return key
    .slice(key.indexOf('|') + 1)
    .split('>')
    .map(blockAndStep)
}

function blockAndStep(frame: string): BlockStep {
  const text = frame.replace(/^\+\d+/, '')
  const dot = text.indexOf('.')
  return { block: text.slice(0, dot), step: text.slice(dot + 1, text.lastIndexOf('#')) }
}
