// A laid-out block as SVG in the look of the house: ink on paper, kinds by shape and word, power as in the rail.
// Everything is said by attributes, so that a strict page can take it in; where boxes stand is handed in.
import type { Need } from '../edition/compiled.ts'
import type { Arrow, Box, Diagram } from './diagram.ts'
import { outlineOf } from './shapes.ts'

export type Point = { readonly x: number; readonly y: number }
export type Layout = {
  readonly width: number
  readonly height: number
  /** Upper left corners, by id of box. */
  readonly boxes: { readonly [id: string]: Point }
  readonly arrows: { readonly [id: string]: { readonly points: readonly Point[]; readonly label: Point } }
}

const INK = '#10201c'
const PAPER = '#ffffff'
/** Z535 colours; each signal word is written out as well. */
const SIGNALS = {
  danger: { fill: '#c8102e', word: '#ffffff' },
  warning: { fill: '#ff8200', word: '#000000' },
  caution: { fill: '#ffd100', word: '#000000' },
  notice: { fill: '#005eb8', word: '#ffffff' },
} as const
const SANS = 'system-ui, sans-serif'
const MARGIN = 24
const TOP = 64
const RAIL = 22

/**
 * The picture of a block, complete and alone.
 *
 * Shape:  an SVG document; each box is a group with class `step` and `data-step`, each arrow one with `data-from`, `data-to`, `data-outcomes`.
 *         The same bytes for the same diagram and layout.
 * Units:  px. Kinds are drawn with symbols in the manner of ISO 5807 (data, document, predefined process; from memory), stops by an octagon of our own.
 * Errors: none; a box that has no place is left out.
 */
export function pictureOf(diagram: Diagram, layout: Layout): string {
  const [width, height] = [Math.max(layout.width + 2 * MARGIN, 420), layout.height + TOP + MARGIN]
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img"` +
      ` data-block="${escape(diagram.block)}" data-title="${escape(diagram.title)}" aria-label="${escape(`Flow picture: ${diagram.title}`)}"` +
      ` font-family="${SANS}" fill="${INK}">`,
    `<rect width="${width}" height="${height}" fill="${PAPER}"/>`,
    `<text x="${MARGIN}" y="36" font-size="23" font-weight="700">${escape(diagram.title)}</text>`,
    `<g transform="translate(${MARGIN} ${TOP})">`,
    ...diagram.arrows.map((arrow) => drawArrow(arrow, layout)),
    ...diagram.boxes.map((box) => drawBox(box, layout)),
    '</g>',
    '</svg>\n',
  ].join('\n')
}

function drawArrow(arrow: Arrow, layout: Layout): string {
  const laid = layout.arrows[arrow.id]
  const [tip, before] = [laid?.points.at(-1), laid?.points.at(-2)]
  if (laid === undefined || tip === undefined || before === undefined) return ''
  const path = laid.points.map(({ x, y }, index) => `${index === 0 ? 'M' : 'L'}${x} ${y}`).join('')
  const dash = arrow.back ? ' stroke-dasharray="8 5"' : ''
  return (
    `<g class="arrow" data-from="${escape(arrow.from)}" data-to="${escape(arrow.to.join(' '))}" data-outcomes="${escape(arrow.outcomes.join(' '))}">` +
    `<path d="${path}" fill="none" stroke="${INK}" stroke-width="1.5"${dash}/>` +
    `<path d="${arrowHead(tip, before)}"/>` +
    words(arrow.lines, laid.label.x, laid.label.y + 12, 13) +
    '</g>'
  )
}

function arrowHead(tip: Point, before: Point): string {
  const length = Math.hypot(tip.x - before.x, tip.y - before.y) || 1
  const [ux, uy] = [(tip.x - before.x) / length, (tip.y - before.y) / length]
  const [bx, by] = [tip.x - ux * 10, tip.y - uy * 10]
  const at = (x: number, y: number): string => `${Math.round(x)} ${Math.round(y)}`
  return `M${at(tip.x, tip.y)}L${at(bx - uy * 5, by + ux * 5)}L${at(bx + uy * 5, by - ux * 5)}Z`
}

function drawBox(box: Box, layout: Layout): string {
  const at = layout.boxes[box.id]
  if (at === undefined) return ''
  const { width, height } = box
  const named = box.kind === 'link' ? 'class="link"' : `class="step kind-${box.kind}" data-step="${escape(box.id)}"`
  const attributes = `${named} transform="translate(${at.x} ${at.y})"`
  const title = `<title>${escape([box.lines.join(' '), box.head, ...box.foot].filter((text) => text !== '').join('. '))}</title>`
  if (box.kind === 'link') {
    return `<g ${attributes}>${title}<path d="M0 0V${height}" fill="none" stroke="${INK}" stroke-width="3"/>${words(box.lines, 10, 18, 13)}</g>`
  }
  if (box.kind === 'start' || box.kind === 'exit') {
    const pill = `<rect class="edge" width="${width}" height="${height}" rx="20" fill="${PAPER}" stroke="${INK}" stroke-width="${box.kind === 'exit' ? 4 : 2}"/>`
    return `<g ${attributes}>${title}${pill}${words(box.lines, width / 2, 27, 16, ' text-anchor="middle" font-weight="700"')}</g>`
  }
  const left = 26 + RAIL
  const afterTitle = 42 + box.lines.length * 20
  const afterFoot = afterTitle + box.foot.length * 16.25
  return (
    `<g ${attributes}>${title}${outlineOf(box.kind, width, height)}${rail(box.needs, height)}` +
    words([box.head], left, 23, 12, ' font-family="ui-monospace, monospace" font-weight="700"') +
    words(box.lines, left, 42, 16, ' font-weight="700"') +
    words(box.foot, left, afterTitle - 2, 13) +
    (box.hazard === undefined ? '' : signal(box.hazard, left, afterFoot - 12)) +
    '</g>'
  )
}

/** Signal word in its own frame, with the mark of a hazard before it: read without any colour. */
function signal(word: keyof typeof SIGNALS, x: number, y: number): string {
  const { fill, word: on } = SIGNALS[word]
  return (
    `<g class="signal" transform="translate(${x} ${y})"><rect width="104" height="20" fill="${fill}" stroke="#000000" stroke-width="2"/>` +
    `<path d="M14 3L22 17H6Z" fill="none" stroke="${on}" stroke-width="2"/><rect x="13" y="8" width="2" height="4" fill="${on}"/><rect x="13" y="13.5" width="2" height="2" fill="${on}"/>` +
    `<text x="30" y="15" font-size="13" font-weight="700" fill="${on}">${word.toUpperCase()}</text></g>`
  )
}

/** What the step needs of the tub, by the same lines as the rail of the log. */
function rail(needs: Need, height: number): string {
  const [from, to] = [12, height - 12]
  const line = (x: number, width: number, dash = ''): string =>
    `<line x1="${x}" x2="${x}" y1="${from}" y2="${to}" stroke="${INK}" stroke-width="${width}"${dash === '' ? '' : ` stroke-dasharray="${dash}"`}/>`
  switch (needs) {
    case 'talk':
      return ''
    case 'shut':
      return line(31, 2)
    case 'live-shut':
      return line(31, 5, '7 5')
    case 'proving':
      return line(27, 4) + line(36, 4, '6 5')
    case 'dead':
      return line(27, 4) + line(36, 4)
    default:
      return hatch(from, to)
  }
}

/** A bar of slanted strokes, drawn one by one: no pattern that another picture on the page could take the name of. */
function hatch(from: number, to: number): string {
  let strokes = ''
  for (let y = from; y + 12 <= to; y += 7) strokes += `M24 ${y + 12}L38 ${y}`
  return `<rect x="24" y="${from}" width="14" height="${to - from}" fill="none" stroke="${INK}" stroke-width="2"/><path d="${strokes}" stroke="${INK}" stroke-width="3"/>`
}

function words(lines: readonly string[], x: number, y: number, size: number, more = ''): string {
  if (lines.length === 0) return ''
  const spans = lines.map((line, index) => {
    const indent = line.startsWith('  ') ? 8 : 0
    return `<tspan x="${x + indent}"${index === 0 ? '' : ` dy="${size * 1.25}"`}>${escape(line.trim())}</tspan>`
  })
  return `<text x="${x}" y="${y}" font-size="${size}"${more}>${spans.join('')}</text>`
}

/** Text and attribute values of XML 1.0. */
export function escape(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;')
}
