// The picture of a block: well-formed, complete, the same bytes each time, and readable without colour.
// Whether it is pleasant to look at is judged by eye.
import { expect, test } from 'vitest'
import { diagramOf, pictureOf } from '#graphs/author'
import type { Edition } from '#graphs'
import { drawPicture, layOut } from '../../../server/commands/layout.ts'
import { testEdition } from '../../server/edition.ts'
import { readXml } from './state-chart.ts'

const edition = testEdition()
const block = (name: string): Edition['blocks'][string] => {
  const found = edition.blocks[name]
  if (found === undefined) throw new Error(`no block ${name}`)
  return found
}

test('a block laid out twice gives the same bytes', async () => {
  const first = await drawPicture(block('make-dead'), edition)
  expect(await drawPicture(block('make-dead'), edition)).toBe(first)
})

test.each(Object.keys(edition.blocks))('the diagram of %s has every step, and every answer leaves by an arrow', (name) => {
  const { boxes, arrows } = diagramOf(block(name), edition)
  const drawn = new Set(boxes.map(({ id }) => id))
  expect(drawn.size).toBe(boxes.length)
  expect(new Set(arrows.map(({ id }) => id)).size).toBe(arrows.length)
  expect(Object.keys(block(name).steps).filter((id) => !drawn.has(id))).toEqual([])
  expect(arrows.filter(({ from, tip }) => !drawn.has(from) || !drawn.has(tip))).toEqual([])
  for (const step of Object.values(block(name).steps)) {
    const out = arrows.filter(({ from }) => from === step.id)
    for (const [outcome, { to, again }] of Object.entries(step.outcomes)) {
      expect(
        out.some((arrow) => arrow.to.includes(to) && arrow.outcomes.includes(outcome)),
        `${step.id} ${outcome}`,
      ).toBe(true)
      if (again !== undefined) {
        const back = out.find((arrow) => arrow.back && arrow.outcomes.includes(outcome))
        expect(back?.lines.join(' ').replaceAll(/\s+/g, ' ')).toContain(`at most ${again.most}×`)
      }
    }
  }
})

test('no two boxes lie over each other, and the words of each fit', async () => {
  const diagram = diagramOf(block('prove-the-repair'), edition)
  const layout = await layOut(diagram)
  const placed = diagram.boxes.map((box) => ({ ...box, ...(layout.boxes[box.id] ?? { x: Number.NaN, y: Number.NaN }) }))
  for (const [index, a] of placed.entries()) {
    expect(a.x >= 0 && a.y >= 0 && a.x + a.width <= layout.width && a.y + a.height <= layout.height, a.id).toBe(true)
    for (const b of placed.slice(index + 1)) {
      const apart = a.x + a.width <= b.x || b.x + b.width <= a.x || a.y + a.height <= b.y || b.y + b.height <= a.y
      expect(apart, `${a.id} and ${b.id}`).toBe(true)
    }
    for (const line of a.lines) expect(line.length * 7.5, line).toBeLessThan(a.width)
  }
})

test('kinds, hazards, ways back and endings are told by word and shape', async () => {
  const svg = await drawPicture(block('make-dead'), edition)
  const root = readXml(svg)
  expect(root.namespaceURI).toBe('http://www.w3.org/2000/svg')
  const groups = Array.from(root.getElementsByTagName('g'))
  const steps = groups.filter((group) => (group.getAttribute('class') ?? '').startsWith('step '))
  const byKind = new Map<string, string>()
  for (const group of steps) {
    const kind = (group.getAttribute('class') ?? '').replace('step kind-', '')
    const id = group.getAttribute('data-step') ?? ''
    const step = block('make-dead').steps[id]
    if (step === undefined) continue
    expect(group.textContent, id).toContain(step.kind)
    expect((group.textContent ?? '').includes((step.hazard?.word ?? 'none').toUpperCase()), id).toBe(step.hazard !== undefined)
    const outline = group.getElementsByTagName('path')[0]?.getAttribute('d') ?? ''
    byKind.set(kind, outline.replaceAll(/[\d. -]+/g, ''))
  }
  expect(new Set(byKind.values()).size).toBe(byKind.size)
  const dashed = groups.filter(
    (group) => group.getAttribute('class') === 'arrow' && group.getElementsByTagName('path')[0]?.hasAttribute('stroke-dasharray') === true,
  )
  const backs = Object.values(block('make-dead').steps).flatMap((step) =>
    Object.values(step.outcomes).filter(({ again }) => again !== undefined),
  )
  expect(dashed.length).toBeGreaterThan(0)
  expect(dashed.length).toBeLessThanOrEqual(backs.length)
})

test('nothing in a picture needs a style, a script or another file', async () => {
  const svg = await drawPicture(block('overheating'), edition)
  expect(svg).not.toMatch(/<style|style=|<script|\shref|url\(|\bon[a-z]+=/)
  expect(readXml(svg).getAttribute('data-block')).toBe('overheating')
})

test('words of the library stand as text, whatever signs they hold', () => {
  const odd = { ...block('water-clear'), title: 'Hot & <cold> "tub"' }
  const diagram = diagramOf(odd, edition)
  const boxes = Object.fromEntries(diagram.boxes.map(({ id }) => [id, { x: 0, y: 0 }]))
  const root = readXml(pictureOf(diagram, { width: 500, height: 500, boxes, arrows: {} }))
  expect(root.getAttribute('data-title')).toBe('Hot & <cold> "tub"')
})
