// What people read of an edition: the grade of each step against what its readers can be asked to read.
// Length of sentences and words of the trade are checked when the library is compiled (edition/safety-checks.ts).
import type { Edition, Step } from '../edition/compiled.ts'
import { countText, gradeOf } from './reading-grade.ts'

export type HardText = { readonly block: string; readonly step: string; readonly grade: number; readonly most: number }

/** Grades that may be asked of a reader; common practice for public and for trade instructions, no source. */
export const GRADE_MOST = { outsider: 7, trade: 9 } as const

/** Fewer words than this say nothing about a grade. */
const WORDS_LEAST = 20

/** Steps whose text asks for more schooling than their readers can be asked for, the hardest first. */
export function hardTexts(edition: Edition): readonly HardText[] {
  return Object.values(edition.blocks)
    .flatMap((block) => Object.values(block.steps).flatMap((step) => hardText(block.id, step)))
    .toSorted((a, b) => b.grade - b.most - (a.grade - a.most))
}

function hardText(block: string, step: Step): HardText[] {
  const isOutside = step.who.includes('homeowner') || step.who.includes('dispatcher')
  const most = isOutside ? GRADE_MOST.outsider : GRADE_MOST.trade
  const texts = [...(isOutside && step.ask_aloud !== undefined ? [step.ask_aloud] : step.says), step.why, step.hazard?.text ?? '']
  const count = countText(texts.filter((text) => text !== ''))
  if (count.words < WORDS_LEAST) return []
  const grade = gradeOf(count)
  return grade > most ? [{ block, step: step.id, grade, most }] : []
}
