// A place as text: segment of the job, then its frames. `0|overheating.symbol#1>heating-symbol.test#1`; a block put on top carries its number: `>+1make-dead.lock#1`.
// How places are walked is walk.ts.
import type { Frame } from './state.ts'

/** Key of a step on top of its caller, or at the root of a segment of the job. */
export function keyUnder(caller: Frame | undefined, segment: number, { block, step, visit, put }: Omit<Frame, 'key' | 'by'>): string {
  const above = caller === undefined ? `${segment}|` : `${caller.key}>`
  return `${above}${put === undefined ? '' : `+${put}`}${block}.${step}#${visit}`
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
