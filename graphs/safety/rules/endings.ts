// Rules 15, 17 and 18: what an ending may claim, and what never stays behind.
// Each observer keeps its own memory and trusts no other part of the program.
import type { Breach, Observer } from '../act.ts'
import { BATHING_LIMIT_DEGC } from '../tub.ts'

const PROOFS = ['heat-off-held', 'demand-cycled', 'settings-restored']

type Proving = { readonly marks: readonly string[]; readonly gfci: boolean }

export const repairedIsProved: Observer<Proving> = {
  rule: 15,
  name: 'repaired is reached only through proving the repair',
  start: { marks: [], gfci: false },
  next: (memory, act) => {
    if (act.act === 'mark') return { ...memory, marks: [...memory.marks, act.mark] }
    if (act.act === 'unmark')
      return { ...memory, marks: memory.marks.filter((mark) => mark !== act.mark), gfci: act.mark === 'gfci' ? false : memory.gfci }
    if (act.act === 'gfci') return { ...memory, gfci: act.result === 'passed' }
    if (act.act === 'power' && act.to === 'on') return { ...memory, gfci: false }
    if (act.act === 'part-in') return { marks: memory.marks.filter((mark) => !PROOFS.includes(mark) && mark !== 'hold-done'), gfci: false }
    if (act.act !== 'end' || (act.ending !== 'repaired' && act.ending !== 'repaired-to-confirm')) return memory
    const wanted = act.ending === 'repaired' ? [...PROOFS, 'hold-done'] : PROOFS
    const missing = wanted.filter((mark) => !memory.marks.includes(mark))
    if (missing.length > 0) return { breach: `Not proved yet: ${missing.join(', ')}.` }
    return memory.gfci ? memory : { breach: 'The GFCI test has not passed since power returned.' }
  },
}

type Bathing = {
  readonly gfci: boolean
  readonly water: number | null
  readonly covers: boolean
  readonly hazards: readonly string[]
}

function withoutBathing(memory: Bathing, mark: string): Bathing {
  if (mark === 'suction-covers-seen') return { ...memory, covers: false }
  if (mark === 'gfci') return { ...memory, gfci: false }
  return mark === 'water' ? { ...memory, water: null } : memory
}

export const safeToUse: Observer<Bathing> = {
  rule: 17,
  name: 'safe to use means tested, measured, seen and nothing open',
  start: { gfci: false, water: null, covers: false, hazards: [] },
  next: (memory, act) => {
    switch (act.act) {
      case 'arrived':
        return { ...memory, gfci: false, covers: false, water: null }
      case 'gfci':
        return { ...memory, gfci: act.result === 'passed' }
      case 'water':
        return { ...memory, water: act.degC }
      case 'mark':
        return act.mark === 'suction-covers-seen' ? { ...memory, covers: true } : memory
      case 'unmark':
        return withoutBathing(memory, act.mark)
      case 'hazard':
        return { ...memory, hazards: [...memory.hazards.filter((one) => one !== act.hazard), act.hazard] }
      case 'cleared':
        return { ...memory, hazards: memory.hazards.filter((one) => one !== act.hazard) }
      case 'end':
        if (act.tub === 'not-checked-on-site' && act.onSite)
          return { breach: 'You are on site: the ending must say what state the tub is in.' }
        if (act.tub === 'usable-with-limits') return runsWithLimits(memory)
        if (act.tub !== 'safe-to-use') return memory
        if (!act.onSite || !memory.gfci) return { breach: 'Safe to use needs a passed GFCI test at this visit.' }
        if (memory.water === null || memory.water > BATHING_LIMIT_DEGC)
          return { breach: 'Safe to use needs a thermometer reading at or below the bathing limit.' }
        if (!memory.covers) return { breach: 'Safe to use needs the suction covers seen whole.' }
        return memory.hazards.length === 0 ? memory : { breach: `Still open: ${memory.hazards.join(', ')}.` }
      default:
        return memory
    }
  },
}

/** No limit makes up for these: the tub stays off. Shock, flood, voltage and heat have rules of their own. */
const NEVER_RUNS = ['heat', 'suction-cover', 'gfci-failed', 'bridged-device', 'wet-electrics']

function runsWithLimits(memory: Bathing): Bathing | Breach {
  const open = memory.hazards.filter((hazard) => NEVER_RUNS.includes(hazard))
  return open.length === 0 ? memory : { breach: `The tub stays off. Still open: ${open.join(', ')}.` }
}

type Left = { readonly locks: readonly string[]; readonly off: boolean }

export const nothingStaysBehind: Observer<Left> = {
  rule: 18,
  name: 'no personal lock stays behind and every tub left off has its guard',
  start: { locks: [], off: false },
  next: (memory, act) => {
    if (act.act === 'lock') return { ...memory, locks: [...memory.locks, act.owner] }
    if (act.act === 'unlock') return { ...memory, locks: memory.locks.filter((owner) => owner !== act.owner) }
    if (act.act === 'power') return { ...memory, off: act.to === 'off' }
    if (act.act === 'left' && memory.locks.includes(act.person))
      return { breach: 'The lock of whoever leaves is still on. It comes off first.' }
    if (act.act !== 'end') return memory
    const personal = memory.locks.filter((owner) => owner !== 'shop')
    if (personal.length > 0) return { breach: 'Your own lock is still on. Change it for the shop’s out-of-service lock.' }
    if (act.tub === 'off-out-of-service-lock' && !memory.locks.includes('shop'))
      return { breach: 'The shop’s out-of-service lock is not on.' }
    if ((act.tub === 'off' || act.tub === 'off-out-of-service-lock') && !act.guard)
      return { breach: 'A tub left off needs its guard against children and frost written down.' }
    return memory
  },
}
