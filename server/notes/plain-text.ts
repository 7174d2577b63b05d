// Markdown and plain text of a note: escaping, wrapping, tables. Whatever a person typed stays text and never becomes markup.
// HTML escaping is the template engine's.
import { MARK_WORDS } from './document.ts'
import type { Cell } from './document.ts'

type Table = { readonly name: string; readonly head: readonly string[]; readonly rows: readonly (readonly Cell[])[] }

const WIDTH = 78

/** One line: line breaks and control characters become a space, so that no typed text can fake a heading or a row. */
export function oneLine(text: string): string {
  // eslint-disable-next-line no-control-regex -- control characters are what is taken out here
  return text.replace(/[\u0000-\u001f\u007f-\u009f\u2028\u2029]+/g, ' ').trim()
}

export function markdown(text: string): string {
  const escaped = oneLine(text).replace(/[\\`*_[\]<>|~#&]/g, (sign) => `\\${sign}`)
  return escaped.replace(/^([-+])(?=\s)/, '\\$1').replace(/^(\d+)([.)])(?=\s)/, '$1\\$2')
}

/** A number and its unit stay on one line. */
export function keepUnits(text: string): string {
  return text.replace(/(\d) (?=(?:°[FC]|[kM]?Ω|[kM]?W|m?A|V|µF|min|gal|L|h)(?![A-Za-z]))/g, '$1\u00a0')
}

/** A link for Markdown's pointed brackets. */
export function linkText(link: string): string {
  return oneLine(link).replace(/[<>\s]/g, (sign) => encodeURIComponent(sign))
}

function cellText(cell: Cell): string {
  return cell.mark === undefined ? cell.text : `${MARK_WORDS[cell.mark]} — ${cell.text}`
}

export function markdownTable({ head, rows }: Table): string {
  const width = Math.max(head.length, ...rows.map((row) => row.length))
  const cells = (row: readonly Cell[]): string[] =>
    Array.from({ length: width }, (_none, index) => {
      const cell = row[index]
      if (cell === undefined) return ''
      const text = markdown(cellText(cell))
      const after = cell.after === undefined ? '' : ` ${markdown(cell.after)}`
      return `${cell.struck === true ? `~~${text}~~` : text}${after}`
    })
  const line = (texts: readonly string[]): string => `| ${texts.join(' | ')} |`
  const titles = Array.from({ length: width }, (_none, index) => markdown(head[index] ?? ''))
  return [line(titles), line(titles.map(() => '---')), ...rows.map((row) => line(cells(row)))].join('\n')
}

/** Rows as short paragraphs: time and subject on one line, the others below with their heads. Read on any screen, at any width. */
export function textTable({ name, head, rows }: Table): string {
  if (name === 'pairs')
    return rows.map(([place, ...pairs]) => wrapText(`${place?.text ?? ''}: ${pairs.map(plainCell).join(', ')}`, '  ', '    ')).join('\n')
  const by = head.at(-1) === 'By'
  const shown = by ? head.length - 1 : head.length
  const lead = head[0] === 'What' ? 1 : 2
  return rows
    .map((row) => {
      const who = by ? ` (${plainCell(row.at(-1) ?? { text: '' })})` : ''
      const first = `${row.slice(0, lead).map(plainCell).join('  ')}${who}`
      const others = row
        .slice(lead, shown)
        .map((cell, index) => wrapText(`${head[index + lead] ?? ''}: ${plainCell(cell)}`, '    ', '      '))
      return [wrapText(first, '  ', '    '), ...others].join('\n')
    })
    .join('\n')
}

function plainCell(cell: Cell): string {
  const text = oneLine(cellText(cell))
  const after = cell.after === undefined ? '' : ` ${cell.after}`
  return `${cell.struck === true ? `[struck: ${text}]` : text}${after}`
}

/** Breaks at spaces; a word longer than a line stays whole. */
export function wrapText(text: string, first = '', next = first): string {
  const lines: string[] = []
  let line = first
  let empty = true
  for (const word of oneLine(text).split(' ')) {
    if (!empty && line.length + 1 + word.length > WIDTH) {
      lines.push(line)
      line = next
      empty = true
    }
    line += empty ? word : ` ${word}`
    empty = false
  }
  return [...lines, line].join('\n')
}
