// Every safety rule as an observer: what it lets pass and what it refuses, act by act, with no engine in between.
// That the engine asks them is tested in tests/graphs/engine and tests/laws.
import { describe, expect, test } from 'vitest'
import type { Act, StepAct } from '../../../graphs/safety/act.ts'
import { breachOf, OBSERVERS, remember } from '../../../graphs/safety/observers.ts'

const STEP: StepAct = {
  act: 'step',
  block: 'any',
  step: 'any',
  kind: 'do',
  needs: 'talk',
  at: [],
  hands: 'none',
  starts: false,
  testsGfci: false,
  tools: [],
  person: 'ann',
  role: 'technician',
  signed: ['absence-of-voltage'],
  done: true,
}
const step = (part: Partial<StepAct>): Act => ({ ...STEP, ...part })
const inside = step({ needs: 'dead', at: ['board'], hands: 'inside' })
const here: Act = { act: 'joined', person: 'ann', onSite: true }
const off: Act = { act: 'power', to: 'off' }
const on: Act = { act: 'power', to: 'on' }
const lock: Act = { act: 'lock', owner: 'ann' }
const proof: Act = { act: 'proof', prover: 'ann', places: ['terminals', 'board'], witnesses: [], signed: true }
const dead = [here, off, lock, proof]
const clear: Act = { act: 'water-clear' }
const mark = (name: string): Act => ({ act: 'mark', mark: name })
const hazard = (name: string): Act => ({ act: 'hazard', hazard: name })
const end = (part: object): Act => ({ act: 'end', ending: 'repaired', tub: 'safe-to-use', guard: true, onSite: true, ...part }) as Act
const starts = step({ starts: true, needs: 'shut' })
const provedRepair = ['heat-off-held', 'demand-cycled', 'settings-restored', 'hold-done'].map(mark)
const gfci: Act = { act: 'gfci', result: 'passed' }
const cool: Act = { act: 'water', degC: 38 }

/** Rule that the last act breaks after the others have happened; 0 = none. */
function broken(...acts: readonly Act[]): number {
  const last = acts.at(-1)
  const watch = acts.slice(0, -1).reduce(remember, {})
  return last === undefined ? 0 : (breachOf(watch, last)?.rule ?? 0)
}

describe('hands inside', () => {
  test('are allowed after off, own lock and own proof of that place', () => expect(broken(...dead, inside)).toBe(0))
  test.each<[string, readonly Act[], number]>([
    ['with the power on', [here, inside], 1],
    ['without the own lock', [here, off, { ...lock, owner: 'bob' }, { ...proof, prover: 'bob' }, inside], 1],
    ['at a place that was not proved', [...dead, step({ needs: 'dead', at: ['heater'] })], 1],
    [
      'under a proof that somebody else made unwatched',
      [...dead, { act: 'joined', person: 'bob', onSite: true }, { act: 'lock', owner: 'bob' }, { ...inside, person: 'bob' } as Act],
      1,
    ],
    ['after the power came back', [...dead, on, off, inside], 1],
    ['after a hand-over', [...dead, { act: 'handed', to: 'bob' }, inside], 1],
    ['after a long pause', [...dead, { act: 'lapse' }, inside], 1],
    ['after the prover took the lock off', [...dead, { act: 'unlock', owner: 'ann', by: 'ann', ordered: false }, lock, inside], 3],
    ['to take a cover off without sign-off', [here, off, lock, step({ needs: 'proving', signed: [] })], 1],
  ])('%s are refused', (_name, acts, rule) => expect(broken(...acts)).toBe(rule))

  test('of a watcher are allowed while the prover stays, and refused when the prover leaves', () => {
    const watched: Act[] = [
      here,
      { act: 'joined', person: 'bob', onSite: true },
      off,
      lock,
      { act: 'lock', owner: 'bob' },
      { ...proof, witnesses: ['bob'] } as Act,
    ]
    const bob = { ...inside, person: 'bob' } as Act
    expect(broken(...watched, bob)).toBe(0)
    expect(broken(...watched, { act: 'left', person: 'ann' }, bob)).toBeGreaterThan(0)
  })
  test('left out break nothing', () => expect(broken(here, step({ needs: 'dead', at: ['board'], done: false }))).toBe(0))
})

describe('a proof of dead', () => {
  test.each<[string, readonly Act[]]>([
    ['with the power on', [here, lock, proof]],
    ['without a lock', [here, off, proof]],
    ['by nobody signed off', [here, off, lock, { ...proof, signed: false } as Act]],
    ['of no place', [here, off, lock, { ...proof, places: [] } as Act]],
    ['while voltage is unexplained', [here, off, lock, hazard('voltage'), proof]],
  ])('%s is none', (_name, acts) => expect(broken(...acts)).toBe(2))
})

describe('live work', () => {
  const clamp = step({ kind: 'read', needs: 'live-open', signed: ['absence-of-voltage', 'energized-work'] })
  test('is measuring by the qualified person', () => expect(broken(here, clamp)).toBe(0))
  test('without the sign-off is refused', () => expect(broken(here, step({ kind: 'read', needs: 'live-open' }))).toBe(4))
  test('that loosens something is refused', () => expect(broken(here, { ...clamp, kind: 'do' } as Act)).toBe(4))
  test('with a cover off is no closed work', () => expect(broken(here, { act: 'covers', to: 'off' }, step({ needs: 'live-shut' }))).toBe(4))
})

describe('homeowner and dispatcher', () => {
  test.each<[string, Partial<StepAct>]>([
    ['an opened cabinet', { needs: 'dead', at: ['board'] }],
    ['a meter', { tools: ['multimeter'] }],
    ['a hand inside', { hands: 'inside' }],
  ])('are never led to %s', (_name, part) => {
    for (const role of ['homeowner', 'dispatcher'] as const) expect(broken(...dead, step({ role, ...part }))).toBeGreaterThan(0)
  })
  test('may use a thermometer', () => expect(broken(step({ role: 'homeowner', tools: ['thermometer'] }))).toBe(0))
  test('keep their hands out of suspect water', () => expect(broken(hazard('shock'), step({ role: 'homeowner', hands: 'water' }))).toBe(5))
})

describe('standing hazards', () => {
  test.each(['shock', 'voltage', 'flood'])('%s is cleared by an electrician alone', (name) => {
    expect(broken(hazard(name), { act: 'cleared', hazard: name, by: 'technician', how: 'looked' })).toBe(7)
    expect(broken(hazard(name), { act: 'cleared', hazard: name, by: 'electrician', how: 'written' })).toBe(0)
  })
  test('shock forbids every start and every ending with power', () => {
    expect(broken(hazard('shock'), clear, starts)).toBe(7)
    expect(broken(hazard('shock'), end({ ending: 'normal', tub: 'usable-with-limits' }))).toBe(7)
    expect(broken(hazard('shock'), end({ ending: 'for-electrician', tub: 'off' }))).toBe(0)
  })
  test('heat without demand is cleared only by a repaired path that held', () => {
    const cleared: Act = { act: 'cleared', hazard: 'heat-without-demand', by: 'technician', how: 'step' }
    expect(broken(hazard('heat-without-demand'), cleared)).toBe(14)
    expect(broken(hazard('heat-without-demand'), mark('heat-path-repaired'), mark('heat-off-held'), cleared)).toBe(0)
    expect(broken(mark('heat-path-repaired'), mark('heat-off-held'), hazard('heat-without-demand'), cleared)).toBe(14)
  })
  test('very hot water forbids "safe to use"', () => expect(broken(hazard('hot-water'), end({ ending: 'normal' }))).toBe(14))
  test('one reset by an outsider, none after heat', () => {
    const reset: Act = { act: 'reset', by: 'homeowner' }
    expect(broken(reset)).toBe(0)
    expect(broken(reset, { act: 'reset', by: 'dispatcher' })).toBe(9)
    expect(broken(hazard('heat'), reset)).toBe(9)
  })
})

describe('starting something', () => {
  test('needs the water clear', () => {
    expect(broken(starts)).toBe(10)
    expect(broken(clear, starts)).toBe(0)
    expect(broken(clear, { act: 'handed', to: 'bob' }, starts)).toBe(10)
  })
  test('needs covers on and every personal lock off', () => {
    expect(broken({ act: 'covers', to: 'off' }, clear, starts)).toBe(16)
    expect(broken(lock, clear, starts)).toBe(16)
  })
  test('begins with the GFCI test after power returned', () => {
    expect(broken(off, on, clear, starts)).toBe(16)
    expect(broken(off, on, clear, { ...starts, testsGfci: true } as Act)).toBe(0)
    expect(broken(off, on, gfci, clear, starts)).toBe(0)
  })
  test('a lock comes off by its owner, or by a recorded order', () => {
    const taken: Act = { act: 'unlock', owner: 'ann', by: 'bob', ordered: false }
    expect(broken(lock, taken)).toBe(16)
    expect(broken(lock, { ...taken, ordered: true })).toBe(0)
  })
})

describe('parts', () => {
  const board: Act = { act: 'part-in', part: 'control-board', evidence: true, trial: false }
  const out: Act = { act: 'part-out', part: 'control-board' }
  const recorded = ['switches-recorded', 'conductors-recorded', 'loads-recorded'].map(mark)
  test('without evidence are not fitted', () => expect(broken({ ...board, part: 'sensor', evidence: false } as Act)).toBe(11))
  test('a board stays in until it is recorded', () => {
    expect(broken(out)).toBe(12)
    expect(broken(...recorded, out)).toBe(0)
    expect(broken(...recorded.slice(1), out)).toBe(12)
  })
  test('a board meets only sound loads, and power only after old and new were compared', () => {
    expect(broken(board)).toBe(12)
    expect(broken(mark('loads-sound'), board)).toBe(0)
    expect(broken(mark('loads-sound'), board, clear, starts)).toBe(12)
    expect(broken(mark('loads-sound'), board, mark('switches-compared'), clear, starts)).toBe(0)
  })
})

describe('endings', () => {
  const seen = mark('suction-covers-seen')
  test('repaired is proved', () => {
    expect(broken(...provedRepair, gfci, cool, seen, end({}))).toBe(0)
    for (const missing of provedRepair) expect(broken(...provedRepair.filter((one) => one !== missing), gfci, cool, seen, end({}))).toBe(15)
    expect(broken(...provedRepair, cool, seen, end({}))).toBe(15)
    expect(broken(...provedRepair, gfci, { act: 'part-in', part: 'sensor', evidence: true, trial: false }, cool, seen, end({}))).toBe(15)
  })
  test('repaired to confirm may leave out the hold alone', () => {
    const confirm = end({ ending: 'repaired-to-confirm', tub: 'usable-with-limits' })
    expect(broken(...provedRepair.slice(0, 3), gfci, confirm)).toBe(0)
    expect(broken(...provedRepair.slice(1), gfci, confirm)).toBe(15)
  })
  const normal = end({ ending: 'normal' })
  test.each<[string, readonly Act[]]>([
    ['without a GFCI test', [cool, seen, normal]],
    ['with water never measured', [gfci, seen, normal]],
    ['with water above the bathing limit', [gfci, { act: 'water', degC: 40.2 }, seen, normal]],
    ['with suction covers not seen', [gfci, cool, normal]],
    ['with an open hazard', [gfci, cool, seen, hazard('wet-electrics'), normal]],
    ['by phone', [gfci, cool, seen, end({ ending: 'normal', onSite: false })]],
  ])('safe to use %s is refused', (_name, acts) => expect(broken(...acts)).toBe(17))
  test('the bathing limit itself is allowed', () => expect(broken(gfci, { act: 'water', degC: 40 }, seen, normal)).toBe(0))
  test('on site nothing ends as not checked', () => expect(broken(end({ ending: 'normal', tub: 'not-checked-on-site' }))).toBe(17))
  test('no personal lock stays, the shop’s lock does, and off has its guard', () => {
    const leftOff = end({ ending: 'second-visit', tub: 'off-out-of-service-lock' })
    expect(broken(lock, leftOff)).toBe(18)
    expect(broken(leftOff)).toBe(18)
    expect(broken({ act: 'lock', owner: 'shop' }, leftOff)).toBe(0)
    expect(broken({ act: 'lock', owner: 'shop' }, { ...leftOff, guard: false } as Act)).toBe(18)
  })
})

describe('what time and people leave behind', () => {
  const confirm = end({ ending: 'second-visit', tub: 'usable-with-limits' })
  const board: Act = { act: 'part-in', part: 'control-board', evidence: true, trial: false }
  test.each(['heat', 'suction-cover', 'gfci-failed', 'bridged-device', 'wet-electrics'])('no limit lets a tub with %s run', (name) => {
    expect(broken(hazard(name), confirm)).toBe(17)
    expect(broken(hazard(name), { act: 'cleared', hazard: name, by: 'electrician', how: 'written' }, confirm)).toBe(0)
  })
  test.each(['heat-without-demand', 'hot-water'])('nor one with %s', (name) => expect(broken(hazard(name), confirm)).toBe(14))
  test('nobody is gone while the own lock is on', () => {
    expect(broken(lock, { act: 'left', person: 'ann' })).toBe(18)
    expect(broken(lock, { act: 'left', person: 'bob' })).toBe(0)
  })
  test('an arrival ends proofs, readings of the water, and whoever was here', () => {
    expect(broken(...dead, { act: 'arrived', person: 'ann' }, inside)).toBeGreaterThan(0)
    expect(broken(gfci, cool, { act: 'arrived', person: 'ann' }, gfci, mark('suction-covers-seen'), end({ ending: 'normal' }))).toBe(17)
  })
  test('a second board is compared and its loads are proved anew', () => {
    const first = [mark('loads-sound'), mark('switches-compared'), board, off, on]
    expect(broken(...first, gfci, clear, starts)).toBe(0)
    expect(broken(...first, board)).toBe(12)
    expect(broken(...first, mark('loads-sound'), board, on, gfci, clear, starts)).toBe(12)
  })
  test('power that nobody knew of counts as off', () => {
    expect(broken({ act: 'power', to: 'unknown' }, on, clear, starts)).toBe(16)
  })
  test('a red flag forgets the water that was read', () => {
    const seen = mark('suction-covers-seen')
    expect(broken(gfci, cool, seen, end({ ending: 'normal' }))).toBe(0)
    expect(broken(gfci, cool, seen, { act: 'unmark', mark: 'water' }, end({ ending: 'normal' }))).toBe(17)
  })
})

test('every observer has a name, a rule of its own and plain memory', () => {
  expect(new Set(OBSERVERS.map((observer) => observer.rule)).size).toBe(OBSERVERS.length)
  for (const observer of OBSERVERS) expect(JSON.parse(JSON.stringify(observer.start))).toEqual(observer.start)
})
