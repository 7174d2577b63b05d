// Rules 7, 9 and 14: hazards that only the right person or a proved repair ends, and the one reset of a job.
// Each observer keeps its own memory and trusts no other part of the program.
import type { Ending, TubState } from '../../edition/compiled.ts'
import type { Observer } from '../act.ts'

const FOR_ELECTRICIAN = ['shock', 'voltage', 'flood']
const SAFE_ENDINGS: readonly Ending[] = ['solved-by-phone', 'normal', 'repaired', 'repaired-to-confirm']
const RUNNING: readonly TubState[] = ['safe-to-use', 'usable-with-limits']

type Open = { readonly open: readonly string[] }

/** Shock, flood and unexplained voltage end only with an electrician's recorded clearance. */
export const electricianClears: Observer<Open> = {
  rule: 7,
  name: 'shock, flood and unexplained voltage end with an electrician',
  start: { open: [] },
  next: (memory, act) => {
    if (act.act === 'hazard' && FOR_ELECTRICIAN.includes(act.hazard)) return { open: [...memory.open, act.hazard] }
    if (act.act === 'cleared' && FOR_ELECTRICIAN.includes(act.hazard)) {
      if (act.by !== 'electrician') return { breach: 'Only a licensed electrician clears this, and the clearance is recorded.' }
      return { open: memory.open.filter((hazard) => hazard !== act.hazard) }
    }
    if (memory.open.length === 0) return memory
    if (act.act === 'step' && act.done && act.starts) return { breach: 'Nothing is started until an electrician has cleared it.' }
    if (act.act === 'end' && (RUNNING.includes(act.tub) || SAFE_ENDINGS.includes(act.ending))) {
      return { breach: 'The tub stays off until an electrician has cleared it.' }
    }
    return memory
  },
}

type Resets = { readonly byOthers: number; readonly forbidden: boolean }

export const oneReset: Observer<Resets> = {
  rule: 9,
  name: 'one reset by homeowner or dispatcher, none after shock, flood or heat',
  start: { byOthers: 0, forbidden: false },
  next: (memory, act) => {
    if (act.act === 'hazard' && ['shock', 'flood', 'heat', 'voltage'].includes(act.hazard)) return { ...memory, forbidden: true }
    if (act.act !== 'reset') return memory
    if (memory.forbidden) return { breach: 'No reset after shock, flood, flash or heat.' }
    const outsider = act.by === 'homeowner' || act.by === 'dispatcher'
    if (outsider && memory.byOthers >= 1) return { breach: 'The one reset of this job was used. Leave it off.' }
    return { ...memory, byOthers: memory.byOthers + (outsider ? 1 : 0) }
  },
}

type Heat = { readonly undemanded: boolean; readonly hot: boolean; readonly marks: readonly string[] }

const HEAT_MARKS = ['heat-path-repaired', 'cause-repaired', 'heat-off-held', 'hold-done']

/** Heat without demand, and water above 108 degF, stay open until cause, repair and hold are shown. */
export const heatIsSticky: Observer<Heat> = {
  rule: 14,
  name: 'heat without demand and very hot water stay open until repaired and held',
  start: { undemanded: false, hot: false, marks: [] },
  next: (memory, act) => {
    if (act.act === 'hazard' && act.hazard === 'heat-without-demand') {
      return { ...memory, undemanded: true, marks: memory.marks.filter((mark) => mark !== 'heat-off-held' && mark !== 'hold-done') }
    }
    if (act.act === 'hazard' && act.hazard === 'hot-water') return { ...memory, hot: true }
    if (act.act === 'mark' && HEAT_MARKS.includes(act.mark)) return { ...memory, marks: [...memory.marks, act.mark] }
    if (act.act === 'unmark') return { ...memory, marks: memory.marks.filter((mark) => mark !== act.mark) }
    if (act.act === 'cleared' && act.hazard === 'heat-without-demand') {
      const shown = memory.marks.includes('heat-path-repaired') && memory.marks.includes('heat-off-held')
      return shown
        ? { ...memory, undemanded: false }
        : { breach: 'The closed heat path must be found, repaired and held before this is cleared.' }
    }
    if (act.act === 'cleared' && act.hazard === 'hot-water') {
      const shown = memory.marks.includes('cause-repaired') && memory.marks.includes('heat-off-held')
      return shown
        ? { ...memory, hot: false }
        : { breach: 'The cause of the hot water must be found, put right and held before this is cleared.' }
    }
    if (act.act === 'end' && (memory.undemanded || memory.hot)) {
      if (RUNNING.includes(act.tub) || SAFE_ENDINGS.includes(act.ending))
        return { breach: 'Heat that nobody asked for is still unexplained. The tub stays off.' }
    }
    return memory
  },
}
