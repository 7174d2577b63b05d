// The way to a place, put together from what the search keeps: out of procedures, into procedures, back to the first word of the job.
// Also as a person reads it: what was asked, what was answered.
import type { Edition } from '../edition/compiled.ts'
import type { Below } from './moves.ts'
import { OUT } from './search.ts'
import type { Link, Node, Put, Searched, Visit } from './search.ts'

/** One move of a way. `exit` is set where a call or a procedure that was put on top is come back from. */
export type Passage = {
  readonly block: string
  readonly step: string
  readonly key: string
  readonly below: Below
  readonly byHand: boolean
  readonly exit?: string
  readonly put?: Put
}

type Entry = { readonly cost: number; readonly link: Link | undefined }

/** How cheaply each visit of a block is come by, counted in answers. */
function entriesOf({ visits }: Searched): Map<Visit, Entry> {
  const entries = new Map<Visit, Entry>()
  for (const visit of visits)
    if (visit.root !== undefined && visit.root.from === undefined) entries.set(visit, { cost: 0, link: undefined })
  for (let changed = true; changed;) {
    changed = false
    for (const visit of visits) {
      const links = [...visit.callers.map((caller) => caller.link), ...(visit.root?.from === undefined ? [] : [visit.root.from])]
      for (const link of links) {
        const before = entries.get(link.from.visit)
        if (before === undefined || before.cost + link.far >= (entries.get(visit)?.cost ?? Infinity)) continue
        entries.set(visit, { cost: before.cost + link.far, link })
        changed = true
      }
    }
  }
  return entries
}

/** A way finder over one search: the shortest way that ends with a link. */
export function waysOf(searched: Searched): (link: Link) => { readonly passages: readonly Passage[]; readonly answers: number } {
  let entries: Map<Visit, Entry> | undefined
  return (link) => {
    entries ??= entriesOf(searched)
    const passages: Passage[] = []
    let last: Link | undefined = link
    while (last !== undefined) {
      passages.unshift(...localTo(last))
      last = entries.get(last.from.visit)?.link
    }
    return { passages, answers: passages.filter((one) => one.byHand).length }
  }
}

/** From the entry of the link's own block to the end of the link. */
function localTo(link: Link): Passage[] {
  const passages: Passage[] = []
  for (let each: Link | undefined = link; each !== undefined; each = each.before ?? each.from.link) {
    if (each.key !== OUT) passages.unshift(passageOf(each))
    if (each.via !== undefined) passages.unshift(...insideTo(each.via))
  }
  return passages
}

function insideTo(node: Node): Passage[] {
  return node.link === undefined ? [] : localTo(node.link)
}

function passageOf({ from, key, byHand, via, put }: Link): Passage {
  const place = { block: from.visit.block.id, step: from.step.id, key, below: from.visit.below, byHand }
  return { ...place, ...(via?.exit === undefined ? {} : { exit: via.exit }), ...(put === undefined ? {} : { put }) }
}

/** "Somebody in the water? → No", one line for each answer. */
export function wayInWords(edition: Edition, passages: readonly Passage[]): readonly string[] {
  return passages.flatMap(({ block, step, key, byHand, exit }) => {
    const found = edition.blocks[block]?.steps[step]
    if (found === undefined || exit !== undefined) return []
    if (key.startsWith('gate ')) return [`(${edition.blocks[edition.standing[key.slice(5) as 'dead'].block]?.title ?? key} comes first)`]
    if (!byHand) return []
    const name = key.split(',')[0] ?? key
    return [`${found.title} → ${found.outcomes[name]?.label ?? name}${key.endsWith('used up') ? ' (once more)' : ''}`]
  })
}
