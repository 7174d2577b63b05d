// What changed between two editions, in trade words: steps added and gone, wording, order, gates, numbers.
// Whether jobs under way may carry over is not judged here.
import type { Block, Edition, Step } from './compiled.ts'

const WORDING = new Set(['title', 'says', 'ask_aloud', 'why', 'hazard'])
const GATES = new Set(['who', 'signed', 'needs', 'at', 'hands', 'starts'])

export function diffEditions(before: Edition, after: Edition): string[] {
  const lines: string[] = []
  const ids = new Set([...Object.keys(before.blocks), ...Object.keys(after.blocks)])
  for (const id of [...ids].toSorted()) {
    const [old, fresh] = [before.blocks[id], after.blocks[id]]
    if (old === undefined) lines.push(`${id}: new`)
    else if (fresh === undefined) lines.push(`${id}: gone`)
    else lines.push(...diffBlocks(old, fresh))
  }
  for (const table of [
    'standing',
    'interrupts',
    'red_flags',
    'symptoms',
    'faults',
    'parts',
    'history',
    'supplies',
    'families',
    'not_done',
  ] as const) {
    if (JSON.stringify(before[table]) !== JSON.stringify(after[table])) lines.push(`${table.replace('_', ' ')}: changed`)
  }
  return lines
}

function diffBlocks(old: Block, fresh: Block): string[] {
  const lines: string[] = []
  const ids = new Set([...Object.keys(old.steps), ...Object.keys(fresh.steps)])
  for (const id of ids) {
    const [before, after] = [old.steps[id], fresh.steps[id]]
    if (before === undefined) lines.push(`${old.id}.${id}: step added`)
    else if (after === undefined) lines.push(`${old.id}.${id}: step gone`)
    else {
      const what = changesOf(before, after)
      if (what.length > 0) lines.push(`${old.id}.${id}: ${what.join(', ')}`)
    }
  }
  if (old.start !== fresh.start) lines.push(`${old.id}: starts at ${fresh.start}, not ${old.start}`)
  return lines
}

function changesOf(before: Step, after: Step): string[] {
  const fields = new Set([...Object.keys(before), ...Object.keys(after)]) as Set<keyof Step>
  const changed = [...fields].filter((field) => JSON.stringify(before[field]) !== JSON.stringify(after[field]))
  const words = new Set(
    changed.map((field) => (WORDING.has(field) ? 'wording' : GATES.has(field) ? 'gates' : field === 'outcomes' ? 'arrows' : field)),
  )
  return [...words]
}
