// What is drawn inside the HTML note, by shape and never by hue alone: pieces of the rail, verdict marks, hazard triangles, the QR link.
// Everything is SVG with attributes only, so that no inline style is needed. No text of a person goes in here.
import makeCode from 'qrcode-generator'
import type { MarkName } from './document.ts'

/** A line of the rail: x, width, dashes. Two lines stand side by side, a hatched bar is drawn apart. */
type Line = { readonly x: number; readonly width: number; readonly dash?: string }

const RAIL: { readonly [power: string]: readonly Line[] } = {
  closed: [{ x: 8, width: 1.5 }],
  'live-shut': [{ x: 8, width: 2.5, dash: '6 4' }],
  proving: [
    { x: 5, width: 2 },
    { x: 11, width: 2, dash: '6 4' },
  ],
  locked: [
    { x: 5, width: 2.5 },
    { x: 11, width: 2.5 },
  ],
}

/** One piece of the rail; it stretches to the height of its row. */
export function railSvg(power: string): string {
  const lines = RAIL[power]
  const inside = lines === undefined ? hatched() : lines.map(lineSvg).join('')
  return `<svg class="rail" viewBox="0 0 16 100" preserveAspectRatio="none" aria-hidden="true" focusable="false">${inside}</svg>`
}

function lineSvg({ x, width, dash }: Line): string {
  const dashes = dash === undefined ? '' : ` stroke-dasharray="${dash}"`
  return `<line x1="${x}" y1="0" x2="${x}" y2="100" stroke="currentColor" stroke-width="${width}" vector-effect="non-scaling-stroke"${dashes}/>`
}

function hatched(): string {
  const strokes = Array.from({ length: 10 }, (_none, index) => {
    const y = index * 10
    return `<line x1="3" y1="${y + 10}" x2="13" y2="${y}" stroke="currentColor" stroke-width="2" vector-effect="non-scaling-stroke"/>`
  })
  const edge = (x: number): string => lineSvg({ x, width: 1.5 })
  return `${edge(3)}${edge(13)}${strokes.join('')}`
}

const MARKS: { readonly [mark in MarkName]: string } = {
  in: '<rect x="1" y="1" width="10" height="10" fill="currentColor"/>',
  'out-high': '<path d="M6 0 12 12H0Z" fill="currentColor"/>',
  'out-low': '<path d="M0 0H12L6 12Z" fill="currentColor"/>',
  out: '<path d="M6 0 12 12H0Z" fill="currentColor"/>',
  'cannot-tell': '<path d="M6 1 11 6 6 11 1 6Z" fill="none" stroke="currentColor" stroke-width="1.8"/>',
}

export function markSvg(mark: MarkName): string {
  return `<svg class="mark" viewBox="0 0 12 12" aria-hidden="true" focusable="false">${MARKS[mark]}</svg>`
}

/** The safety alert triangle; a notice is about property and has none. */
export function triangleSvg(word: string): string {
  if (word === 'notice') return ''
  return '<svg class="triangle" viewBox="0 0 24 22" aria-hidden="true" focusable="false"><path d="M12 1.5 23 20.5H1Z" fill="none" stroke="currentColor" stroke-width="2.2" stroke-linejoin="round"/><path d="M12 8v6M12 16.2v2" stroke="currentColor" stroke-width="2.4"/></svg>'
}

/** A QR code as one path; empty for no link. Error correction M: a wet note still reads. */
export function qrSvg(link: string): string {
  if (link === '') return ''
  const code = makeCode(0, 'M')
  code.addData(link)
  code.make()
  const count = code.getModuleCount()
  const quiet = 4
  let path = ''
  for (let row = 0; row < count; row += 1) {
    for (let column = 0; column < count; column += 1) if (code.isDark(row, column)) path += `M${column + quiet} ${row + quiet}h1v1h-1z`
  }
  const size = count + quiet * 2
  return `<svg viewBox="0 0 ${size} ${size}" role="img" aria-label="QR code: link to this job" shape-rendering="crispEdges"><path d="${path}" fill="currentColor"/></svg>`
}
