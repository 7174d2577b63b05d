// What changed between two editions, in trade words: steps added and gone, wording, order, gates, numbers; and which jobs under way stay behind.
// Carrying a job over is the engine's (engine/carry.ts).
import type { Block, Edition, Outcome, Step } from './compiled.ts'
import { isSame } from './same.ts'
import { versionOf } from './versions.ts'

export type EditionDiff = {
  /** What changed, block by block; empty when nothing did. */
  readonly lines: readonly string[]
  /** Steps and answers that are gone: a job that has come by one of them stays on the older edition. */
  readonly stays: readonly string[]
}

const TABLES = [
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
] as const

export function diffEditions(before: Edition, after: Edition): EditionDiff {
  const lines: string[] = []
  const stays: string[] = []
  const ids = new Set([...Object.keys(before.blocks), ...Object.keys(after.blocks)])
  for (const id of [...ids].toSorted()) {
    const [old, fresh] = [before.blocks[id], after.blocks[id]]
    const changes = old === undefined || fresh === undefined ? [] : changesOfBlock(old, fresh)
    if (old === undefined) lines.push(`${id}: new, ${count(Object.keys(fresh?.steps ?? {}).length, 'step')}`)
    else if (fresh === undefined) lines.push(`${id}: gone`)
    else if (changes.length > 0) lines.push(`${id}${versionWords(before, after, old)}:`, ...changes.map((change) => `  ${change}`))
    if (old !== undefined) stays.push(...goneFrom(old, fresh))
  }
  for (const table of TABLES) lines.push(...changesOfTable(table.replace('_', ' '), before[table], after[table]))
  if (before.semantics !== after.semantics) {
    lines.push(`needs another engine: semantics ${before.semantics} became ${after.semantics}`)
    stays.push('every job: the engine reads this edition differently')
  }
  return { lines, stays }
}

function versionWords(before: Edition, after: Edition, { id, kind }: Block): string {
  return kind === 'flow' ? `, version ${versionOf(before, id)} to ${versionOf(after, id)}` : ''
}

function goneFrom(old: Block, fresh: Block | undefined): string[] {
  return Object.values(old.steps).flatMap((step) => {
    const now = fresh?.steps[step.id]
    if (now === undefined) return [`${old.id}.${step.id}`]
    return Object.keys(step.outcomes)
      .filter((name) => now.outcomes[name] === undefined)
      .map((name) => `${old.id}.${step.id}, answer "${step.outcomes[name]?.label}"`)
  })
}

function changesOfBlock(old: Block, fresh: Block): string[] {
  const changes: string[] = []
  if (old.title !== fresh.title || old.about !== fresh.about) changes.push('wording of its title')
  if (old.start !== fresh.start) changes.push(`begins at "${nameOf(fresh, fresh.start)}", not at "${nameOf(old, old.start)}"`)
  if (old.arrive !== fresh.arrive) changes.push(`whoever arrives begins at "${nameOf(fresh, fresh.arrive ?? '')}"`)
  if (!isSame(old.lasts, fresh.lasts)) changes.push(`its result lasts ${lastsWords(fresh.lasts)}, not ${lastsWords(old.lasts)}`)
  if (!isSame(old.exits, fresh.exits)) changes.push(`what its exits say changed: ${differing(old.exits, fresh.exits).join(', ')}`)
  for (const id of new Set([...Object.keys(old.steps), ...Object.keys(fresh.steps)])) {
    const [before, after] = [old.steps[id], fresh.steps[id]]
    if (before === undefined) changes.push(`step added: "${after?.title}" (${id}), after ${cameFrom(fresh, id)}`)
    else if (after === undefined) changes.push(`step gone: "${before.title}" (${id})`)
    else {
      const what = changesOfStep({ old, fresh }, before, after)
      if (what.length > 0) changes.push(`"${after.title}" (${id}): ${what.join('; ')}`)
    }
  }
  return changes
}

/** Steps of the block that lead to this one. */
function cameFrom(block: Block, id: string): string {
  const from = Object.values(block.steps).filter((step) => Object.values(step.outcomes).some((outcome) => outcome.to === id))
  return from.length === 0 ? 'nothing' : from.map((step) => `"${step.title}"`).join(', ')
}

type Blocks = { readonly old: Block; readonly fresh: Block }

const WORDING = ['title', 'says', 'ask_aloud', 'why', 'hazard'] as const
/** Who may, and what the tub must be: read each of these twice in a review. */
const GATES = ['who', 'signed', 'needs', 'at', 'hands', 'starts'] as const
const NUMBERS = ['minutes', 'wait'] as const

function changesOfStep(blocks: Blocks, before: Step, after: Step): string[] {
  const changes: string[] = []
  const shown = (value: unknown): string =>
    Array.isArray(value) ? value.join(' and ') || 'nobody' : value === undefined ? 'none' : String(value)
  for (const gate of GATES)
    if (!isSame(before[gate], after[gate])) changes.push(`GATE ${gate}: ${shown(before[gate])} became ${shown(after[gate])}`)
  if (before.kind !== after.kind) changes.push(`was ${before.kind}, is ${after.kind}`)
  changes.push(...arrowChanges(blocks, before, after))
  for (const number of NUMBERS)
    if (!isSame(before[number], after[number]))
      changes.push(`${number}: ${numberWords(before[number])} became ${numberWords(after[number])}`)
  const named = new Set<string>([...GATES, ...NUMBERS, ...WORDING, 'kind', 'outcomes', 'order', 'call'])
  const rest = [...new Set([...Object.keys(before), ...Object.keys(after)])].filter((field) => !named.has(field)) as (keyof Step)[]
  changes.push(...rest.filter((field) => !isSame(before[field], after[field])).map((field) => `${field} changed`))
  if (!isSame(before.order, after.order) && isSame(before.order.toSorted(), after.order.toSorted()))
    changes.push('answers in another order')
  const words = WORDING.filter((field) => !isSame(before[field], after[field]))
  if (words.length > 0) changes.push(changes.length === 0 ? `wording only (${words.join(', ')})` : `wording (${words.join(', ')})`)
  return changes
}

function arrowChanges({ old, fresh }: Blocks, before: Step, after: Step): string[] {
  return [...new Set([...Object.keys(before.outcomes), ...Object.keys(after.outcomes)])].flatMap((name) => {
    const [was, is] = [before.outcomes[name], after.outcomes[name]]
    if (was === undefined) return [`answer added: "${is?.label}", to "${nameOf(fresh, is?.to ?? '')}"`]
    if (is === undefined) return [`answer gone: "${was.label}"`]
    return outcomeChanges(
      was,
      is,
      (to) => nameOf(fresh, to),
      (to) => nameOf(old, to),
    )
  })
}

function outcomeChanges(was: Outcome, is: Outcome, now: (to: string) => string, then: (to: string) => string): string[] {
  const changes: string[] = []
  if (was.to !== is.to) changes.push(`"${is.label}" leads to "${now(is.to)}", not to "${then(was.to)}"`)
  if (!isSame(was.effects, is.effects)) changes.push(`what "${is.label}" does to the tub or the record changed`)
  if (!isSame(was.again, is.again))
    changes.push(`"${is.label}" goes back ${is.again?.most ?? 'any number of'} times, not ${was.again?.most ?? 'any number of'}`)
  if (was.odds !== is.odds) changes.push(`odds of "${is.label}": ${was.odds ?? 'none'} became ${is.odds ?? 'none'}`)
  if (was.label !== is.label) changes.push(`the answer "${was.label}" reads "${is.label}"`)
  return changes
}

function changesOfTable(name: string, before: unknown, after: unknown): string[] {
  if (isSame(before, after)) return []
  const rows = differing(keyed(before), keyed(after))
  return [`${name}: ${rows.length === 0 ? 'another order' : rows.join(', ')}`]
}

function keyed(table: unknown): { [row: string]: unknown } {
  if (!Array.isArray(table)) return table as { [row: string]: unknown }
  return Object.fromEntries(
    table.map((row: { slug?: string; complaint?: string }) => [row.slug ?? row.complaint ?? JSON.stringify(row), row]),
  )
}

/** Rows that are new, gone or different, each said so. */
function differing(before: { readonly [row: string]: unknown }, after: { readonly [row: string]: unknown }): string[] {
  return [...new Set([...Object.keys(before), ...Object.keys(after)])].flatMap((row) => {
    if (before[row] === undefined) return [`${row} added`]
    if (after[row] === undefined) return [`${row} gone`]
    return isSame(before[row], after[row]) ? [] : [`${row} changed`]
  })
}

function nameOf(block: Block, target: string): string {
  return block.steps[target]?.title ?? target.replace(/^exit:/, 'exit ')
}

function lastsWords(lasts: Block['lasts']): string {
  return typeof lasts === 'object' ? count(lasts.minutes, 'minute') : lasts.replaceAll('-', ' ')
}

function numberWords(value: Step['minutes'] | Step['wait']): string {
  return value === undefined ? 'none' : String(typeof value === 'object' ? value.minutes : value)
}

function count(number: number, what: string): string {
  return `${number} ${what}${number === 1 ? '' : 's'}`
}
