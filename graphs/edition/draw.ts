// A block as text for a review: each step with its kind, gate and arrows, in the order they are met.
// Pictures with coordinates are not made here.
import type { Block } from './compiled.ts'

export function drawFlow(block: Block): string {
  const order: string[] = []
  const open = [block.start, ...(block.arrive === undefined ? [] : [block.arrive])]
  for (let id = open.shift(); id !== undefined; id = open.shift()) {
    const step = block.steps[id]
    if (step === undefined || order.includes(id)) continue
    order.push(id)
    open.push(...Object.values(step.outcomes).map((outcome) => outcome.to))
  }
  const lines = order.flatMap((id) => {
    const step = block.steps[id]
    if (step === undefined) return []
    const gate = step.needs === 'talk' ? '' : ` [${step.needs}]`
    const arrows = Object.entries(step.outcomes).map(
      ([name, { to, again }]) => `    ${name} -> ${to}${again === undefined ? '' : ` (at most ${again.most}, then ${again.then})`}`,
    )
    return [`  ${id} (${step.call?.block ?? step.kind})${gate} ${step.title}`, ...arrows]
  })
  return [`${block.id}: ${block.title}`, ...lines].join('\n')
}
