// Where the boxes of a diagram stand: worked out by a layout library on the author's machine, rounded so that it is the same everywhere.
// What is drawn there is #graphs/author's; no phone and no running server loads this.
import { diagramOf, pictureOf } from '#graphs/author'
import type { Diagram, Layout, Point } from '#graphs/author'
import type { Block, Edition } from '#graphs'
import type { ElkNode, ElkExtendedEdge, ELK as Elk } from 'elkjs/lib/elk-api.js'

const OPTIONS = {
  'elk.algorithm': 'layered',
  'elk.direction': 'DOWN',
  'elk.edgeRouting': 'ORTHOGONAL',
  'elk.randomSeed': '1',
  'elk.separateConnectedComponents': 'false',
  'elk.spacing.nodeNode': '36',
  'elk.spacing.edgeNode': '18',
  'elk.spacing.edgeEdge': '12',
  'elk.spacing.edgeLabel': '4',
  'elk.layered.spacing.nodeNodeBetweenLayers': '36',
  'elk.layered.spacing.edgeNodeBetweenLayers': '14',
  'elk.layered.cycleBreaking.strategy': 'DEPTH_FIRST',
}

/** Loaded when it is first needed: an install for running only does not have it. */
async function createElk(): Promise<Elk> {
  const library = (await import('elkjs/lib/elk.bundled.js')) as unknown as { default: new () => Elk }
  return new library.default()
}

const whole = ({ x, y }: { readonly x?: number; readonly y?: number }): Point => ({ x: Math.round(x ?? 0), y: Math.round(y ?? 0) })

/** Rounding may leave a line one pixel off: each point is put in line with the one before it. */
function straight(points: readonly Point[]): Point[] {
  const found: Point[] = []
  for (const { x, y } of points) {
    const last = found.at(-1) ?? { x, y }
    found.push({ x: Math.abs(x - last.x) <= 1 ? last.x : x, y: Math.abs(y - last.y) <= 1 ? last.y : y })
  }
  return found
}

export async function layOut(diagram: Diagram): Promise<Layout> {
  const elk = await createElk()
  const children = diagram.boxes.map(({ id, width, height }) => ({ id, width, height }))
  const edges = diagram.arrows.map(({ id, from, tip, lines, width, height }) => ({
    id,
    sources: [from],
    targets: [tip],
    labels: lines.length === 0 ? [] : [{ id: `${id} words`, text: lines.join(' '), width, height }],
  }))
  const laid: ElkNode = await elk.layout({ id: 'block', layoutOptions: OPTIONS, children, edges })
  const boxes = (laid.children ?? []).map((box) => [box.id, whole(box)] as const)
  const arrows = ((laid.edges ?? []) as ElkExtendedEdge[]).map((edge) => {
    const section = edge.sections?.[0]
    const points = section === undefined ? [] : [section.startPoint, ...(section.bendPoints ?? []), section.endPoint]
    return [edge.id, { points: straight(points.map(whole)), label: whole(edge.labels?.[0] ?? {}) }] as const
  })
  return {
    width: Math.ceil(laid.width ?? 0),
    height: Math.ceil(laid.height ?? 0),
    boxes: Object.fromEntries(boxes),
    arrows: Object.fromEntries(arrows),
  }
}

/** The picture of one block as SVG. */
export async function drawPicture(block: Block, edition: Edition): Promise<string> {
  const diagram = diagramOf(block, edition)
  return pictureOf(diagram, await layOut(diagram))
}
