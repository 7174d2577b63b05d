// The log in its order: answers, and the power state wherever it changed.
// Nothing is drawn here.
import type { JobView, PowerState, TrailItem } from '#graphs/contract'
import { powerWords } from '../job/words.ts'

export type StateChange = { readonly at: number; readonly power: PowerState; readonly words: string }
export type Line = { readonly kind: 'answer'; readonly item: TrailItem } | { readonly kind: 'state'; readonly change: StateChange }

/**
 * A change stands after the answers that were given before it: an answer at the very same moment brought it about,
 * unless that answer was already given under the new state.
 */
export function linesOf(view: Pick<JobView, 'trail' | 'rail' | 'holder'>): Line[] {
  const lines: Line[] = []
  const changes = view.rail
    .filter((change, index) => index === 0 || change.power !== view.rail[index - 1]?.power)
    .map((change, index, all) => ({
      ...change,
      words: powerWords(change.power, index, index === all.length - 1 && view.holder !== undefined),
    }))
  let next = 0
  for (const [index, item] of view.trail.entries()) {
    for (let change = changes[next]; change !== undefined && isBefore(change, item, index === 0, lines); change = changes[next]) {
      lines.push({ kind: 'state', change })
      next += 1
    }
    lines.push({ kind: 'answer', item })
  }
  for (const change of changes.slice(next)) lines.push({ kind: 'state', change })
  return lines
}

function isBefore(change: StateChange, item: TrailItem, isFirst: boolean, lines: readonly Line[]): boolean {
  if (change.at !== item.at) return change.at < item.at
  const shown = lines.findLast((line) => line.kind === 'state')
  return isFirst && shown === undefined ? true : change.power === item.power && shown?.kind === 'state' && shown.change.power !== item.power
}

/** "Board, L1-L2" and "Board, L1-N" with the same figure make one line: twenty-four zeros are read at a glance. */
export function gatherTyped(typed: TrailItem['typed']): TrailItem['typed'] {
  const gathered: { label: string; value: string }[] = []
  for (const { label, value } of typed) {
    const last = gathered.at(-1)
    const [place, rest] = splitOnce(label)
    if (last !== undefined && rest !== undefined && last.value === value && splitOnce(last.label)[0] === place) last.label += ` · ${rest}`
    else gathered.push({ label, value })
  }
  return gathered
}

function splitOnce(label: string): [string, string | undefined] {
  const cut = label.indexOf(', ')
  return cut === -1 ? [label, undefined] : [label.slice(0, cut), label.slice(cut + 2)]
}
