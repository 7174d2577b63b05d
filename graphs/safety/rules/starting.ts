// Rules 10 and 16: nothing starts before the water is clear; power returns behind closed covers with every personal lock off, and the first press is the GFCI test.
// Each observer keeps its own memory and trusts no other part of the program.
import type { Observer } from '../act.ts'

type Clear = { readonly clear: boolean }

export const waterClearFirst: Observer<Clear> = {
  rule: 10,
  name: 'a fresh water-clear answer before anything starts',
  start: { clear: false },
  next: (memory, act) => {
    if (act.act === 'water-clear') return { clear: true }
    const goneStale = act.act === 'handed' || act.act === 'arrived' || (act.act === 'power' && act.to === 'off')
    if (goneStale || (act.act === 'unmark' && act.mark === 'water-clear')) return { clear: false }
    if (act.act === 'step' && act.done && act.starts && !memory.clear)
      return { breach: 'First see that nobody is in the water and hands and hair are clear.' }
    return memory
  },
}

type Energizing = {
  readonly covers: 'on' | 'off'
  readonly personal: readonly string[]
  readonly gfciDue: boolean
  readonly off: boolean
}

export const poweringUp: Observer<Energizing> = {
  rule: 16,
  name: 'power returns with covers on and locks off; the GFCI test comes first',
  start: { covers: 'on', personal: [], gfciDue: false, off: false },
  next: (memory, act) => {
    switch (act.act) {
      case 'covers':
        return { ...memory, covers: act.to }
      case 'lock':
        return act.owner === 'shop' ? memory : { ...memory, personal: [...memory.personal, act.owner] }
      case 'unlock':
        if (act.owner !== 'shop' && act.owner !== act.by && !act.ordered) return { breach: 'A personal lock comes off by its owner.' }
        return { ...memory, personal: memory.personal.filter((owner) => owner !== act.owner) }
      case 'power':
        return { ...memory, off: act.to !== 'on', gfciDue: act.to === 'on' && (memory.off || memory.gfciDue) }
      case 'gfci':
        return { ...memory, gfciDue: false }
      case 'step':
        if (!act.done || !act.starts) return memory
        if (memory.covers === 'off') return { breach: 'Covers on and screwed before anything is started.' }
        if (memory.personal.length > 0) return { breach: 'A personal lock is still on. Its owner takes it off first.' }
        return memory.gfciDue && !act.testsGfci ? { breach: 'The first press after power returns is the GFCI test.' } : memory
      default:
        return memory
    }
  },
}
