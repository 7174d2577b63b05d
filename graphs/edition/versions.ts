// Each flow's own version: it moves when the compiled content of the flow moves, not whenever an edition comes out.
// Numbers of editions are given by the release.
import type { Block, Edition } from './compiled.ts'
import { isSame } from './same.ts'

/**
 * Version of every flow of an edition.
 *
 * Shape:  the edition to be, and the one before it; a flow that is new begins at 1, one whose blocks are as they were keeps its number.
 */
export function flowVersions(edition: Edition, before: Edition | undefined): { [flow: string]: number } {
  const flows = Object.values(edition.blocks).filter((block) => block.kind === 'flow')
  return Object.fromEntries(
    flows.map((flow) => {
      const old = before?.blocks[flow.id]
      if (before === undefined || old === undefined) return [flow.id, 1]
      const version = versionOf(before, flow.id)
      return [flow.id, isSame(blocksOf(edition, flow), blocksOf(before, old)) ? version : version + 1]
    }),
  )
}

/** Edition 1 came out before flows had versions of their own: they are 1 there. */
export function versionOf(edition: Edition, flow: string): number {
  return edition.versions?.[flow] ?? 1
}

/** The flow's block, every block it calls in the end, and what the engine may put on top of any of them. */
function blocksOf(edition: Edition, flow: Block): { [id: string]: Block } {
  const found: { [id: string]: Block } = {}
  const onTop = [...Object.values(edition.standing), ...Object.values(edition.interrupts)].map((one) => one.block)
  const wanted = [flow.id, ...onTop, ...edition.red_flags.map((flag) => flag.put)]
  for (let id = wanted.pop(); id !== undefined; id = wanted.pop()) {
    const block = edition.blocks[id]
    if (block === undefined || found[id] !== undefined) continue
    found[id] = block
    wanted.push(...Object.values(block.steps).flatMap((step) => step.call?.block ?? []))
  }
  return found
}
