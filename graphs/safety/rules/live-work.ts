// Rules 4 and 5: live work is measuring by the qualified person only; homeowner and dispatcher stay outside and without tools.
// Each observer keeps its own memory and trusts no other part of the program.
import type { Observer } from '../act.ts'

type Covers = { readonly covers: 'on' | 'off' }

export const liveWork: Observer<Covers> = {
  rule: 4,
  name: 'live and open is measuring only, by the qualified person',
  start: { covers: 'on' },
  next: (memory, act) => {
    if (act.act === 'covers') return { covers: act.to }
    if (act.act !== 'step' || !act.done) return memory
    if (act.needs === 'live-open') {
      if (!act.signed.includes('energized-work')) return { breach: 'Live work is for a person signed off for energized work.' }
      if (act.kind !== 'read') return { breach: 'Live work is measuring only. Nothing is loosened, plugged or moved live.' }
    }
    if (act.needs === 'live-shut' && memory.covers === 'off') return { breach: 'Put the covers on and screw them before power is used.' }
    return memory
  },
}

/** The only tools that a homeowner or a caller is asked to use. */
const HOME_TOOLS = ['thermometer', 'tape', 'test strip', 'watch', 'filter']

type Suspicion = { readonly suspicious: readonly string[] }

export const outsidersStayOutside: Observer<Suspicion> = {
  rule: 5,
  name: 'homeowner and dispatcher never reach a tool, an opened cabinet or suspect water',
  start: { suspicious: [] },
  next: (memory, act) => {
    if (act.act === 'hazard') return { suspicious: [...memory.suspicious, act.hazard] }
    if (act.act === 'cleared') return { suspicious: memory.suspicious.filter((hazard) => hazard !== act.hazard) }
    if (act.act !== 'step' || !act.done || (act.role !== 'homeowner' && act.role !== 'dispatcher')) return memory
    if (act.needs === 'dead' || act.needs === 'proving' || act.needs === 'live-open' || act.hands === 'inside') {
      return { breach: 'This step opens the cabinet. It is for a technician.' }
    }
    const strange = act.tools.filter((tool) => !HOME_TOOLS.some((known) => tool.toLowerCase().includes(known)))
    if (strange.length > 0) return { breach: `This step needs a tool (${strange.join(', ')}). It is for a technician.` }
    if (act.hands === 'water' && memory.suspicious.some((hazard) => hazard !== 'hot-water' && hazard !== 'heat-without-demand')) {
      return { breach: 'Nobody puts a hand in this water now.' }
    }
    return memory
  },
}
