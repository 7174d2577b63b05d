// Which steps take an answer by their own buttons only: everything that can hurt somebody.
// Typed words never answer these; they only point to the buttons.
import type { StepView } from '#graphs/contract'

const SAFETY_BLOCKS = new Set([
  'red-flags',
  'make-dead',
  'prove-place',
  'live-gate',
  'water-clear',
  'close-and-power-up',
  'everyone-out',
  'make-safe-by-phone',
])
const SAFETY_KINDS = new Set<StepView['kind']>(['fit', 'finish', 'refer'])

export function isGuarded(step: StepView, part: string): boolean {
  return (
    step.hazard !== undefined ||
    step.starts !== undefined ||
    part === 'make-dead' ||
    SAFETY_BLOCKS.has(step.block) ||
    SAFETY_KINDS.has(step.kind) ||
    step.form?.form === 'pairs'
  )
}
