// Rules 11 and 12: no part without its evidence; no board out before it is recorded, and none onto loads that were not proved sound.
// Each observer keeps its own memory and trusts no other part of the program.
import type { Observer } from '../act.ts'

export const evidenceFirst: Observer<null> = {
  rule: 11,
  name: 'no part is fitted without its evidence',
  start: null,
  next: (memory, act) =>
    act.act === 'part-in' && !act.evidence ? { breach: 'This part has no evidence yet. Measure before it is fitted.' } : memory,
}

type Board = { readonly marks: readonly string[]; readonly newBoard: boolean }

const BEFORE_OUT = ['switches-recorded', 'conductors-recorded', 'loads-recorded']

export const boardRecorded: Observer<Board> = {
  rule: 12,
  name: 'a board is recorded before it comes out and compared before power',
  start: { marks: [], newBoard: false },
  next: (memory, act) => {
    if (act.act === 'mark') return { ...memory, marks: [...memory.marks, act.mark] }
    if (act.act === 'unmark') return { ...memory, marks: memory.marks.filter((mark) => mark !== act.mark) }
    // A board that has been powered is the old one from then on: the next one is compared and its loads are proved anew.
    if (act.act === 'power' && act.to === 'on' && memory.newBoard && memory.marks.includes('switches-compared'))
      return { marks: memory.marks.filter((mark) => mark !== 'switches-compared' && mark !== 'loads-sound'), newBoard: false }
    if (act.act === 'part-out' && act.part === 'control-board') {
      const missing = BEFORE_OUT.filter((mark) => !memory.marks.includes(mark))
      if (missing.length > 0) return { breach: 'Record switches, conductors and load voltages before the board comes out.' }
    }
    if (act.act === 'part-in' && act.part === 'control-board') {
      if (!memory.marks.includes('loads-sound')) return { breach: 'Prove every load sound before it meets a new board.' }
      return { ...memory, newBoard: true }
    }
    if (act.act === 'step' && act.done && act.starts && memory.newBoard && !memory.marks.includes('switches-compared')) {
      return { breach: 'Compare old and new switches before anything goes live.' }
    }
    return memory
  },
}
