// The outline of each kind of step. A kind is told by its shape and by its word, never by colour.
// Words and rail inside a box are picture.ts's.
import type { StepKind } from '../edition/compiled.ts'

const EDGE = 'class="edge" fill="#ffffff" stroke="#10201c"'

export function outlineOf(kind: StepKind, width: number, height: number): string {
  const [w, h] = [width, height]
  const path = (d: string, stroke = 2): string => `<path ${EDGE} stroke-width="${stroke}" d="${d}"/>`
  switch (kind) {
    case 'ask': // a corner cut as of a speech sheet
      return path(`M0 0H${w - 18}L${w} 18V${h}H0Z`)
    case 'read': // data: a parallelogram
      return path(`M14 0H${w}L${w - 14} ${h}H0Z`)
    case 'do': // by hand: narrower at the foot
      return path(`M0 0H${w}L${w - 12} ${h}H12Z`)
    case 'record': // a document: wavy foot
      return path(`M0 0H${w}V${h - 6}Q${w * 0.75} ${h - 16} ${w / 2} ${h - 6}T0 ${h - 6}Z`)
    case 'wait': // a round end
      return path(`M0 0H${w - 22}Q${w} 0 ${w} ${h / 2}Q${w} ${h} ${w - 22} ${h}H0Z`)
    case 'decide': // pointed at both sides
      return path(`M18 0H${w - 18}L${w} ${h / 2}L${w - 18} ${h}H18L0 ${h / 2}Z`)
    case 'call': // another block: double edges
      return `${path(`M0 0H${w}V${h}H0Z`)}<path d="M7 0V${h}M${w - 7} 0V${h}" stroke="#10201c" stroke-width="2"/>`
    case 'fit': // a part with its tab
      return path(`M0 0H${w}V${h}H${w / 2 + 16}V${h - 7}H${w / 2 - 16}V${h}H0Z`)
    default: // finish, refer: a stop shape
      return path(`M16 0H${w - 16}L${w} 16V${h - 16}L${w - 16} ${h}H16L0 ${h - 16}V16Z`, 4)
  }
}
