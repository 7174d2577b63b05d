// A note as it is printed: sections of plain blocks, the same for HTML, Markdown and plain text, so that none can say less than the others.
// What the sections say is chosen by voices.ts; how a block looks is the templates'.
import type { NoteCaution } from './note-parts.ts'

export type MarkName = 'in' | 'out-high' | 'out-low' | 'out' | 'cannot-tell'
export type Cell = {
  readonly text: string
  readonly mark?: MarkName
  readonly struck?: boolean
  readonly mono?: boolean
  readonly rail?: string
  /** Stands behind the text and is never struck. */
  readonly after?: string
}

export type Block =
  | { readonly say: string; readonly strong?: boolean }
  | { readonly list: readonly string[] }
  | { readonly pairs: readonly { readonly label: string; readonly value: string }[] }
  | { readonly table: { readonly name: string; readonly head: readonly string[]; readonly rows: readonly (readonly Cell[])[] } }
  | { readonly cautions: readonly NoteCaution[] }

export type Section = { readonly title: string; readonly id: string; readonly blocks: readonly Block[] }

export type NoteDocument = {
  readonly short: string
  readonly title: string
  readonly voice: string
  /** Who reads it. */
  readonly reader: string
  readonly running: string
  readonly practice: boolean
  /** Beside the rail, on the first page. */
  readonly first: readonly Section[]
  readonly rail: Section | undefined
  readonly rest: readonly Section[]
  readonly foot: readonly string[]
  readonly link: string
}

export const MARK_WORDS: { readonly [mark in MarkName]: string } = {
  in: '■ in',
  'out-high': '▲ out, high',
  'out-low': '▼ out, low',
  out: '▲ out',
  'cannot-tell': '◇ cannot tell',
}

export function say(text: string, strong = false): Block[] {
  return text === '' ? [] : [strong ? { say: text, strong } : { say: text }]
}

/** A list, or the words for an empty one: a section never stays empty without saying so. */
export function listOr(items: readonly string[], none: string): Block[] {
  return items.length === 0 ? [{ say: none }] : [{ list: items }]
}

export function cell(text: string, more: Omit<Cell, 'text'> = {}): Cell {
  return { text, ...more }
}
