// Sets a job up: a tub of its own, one fault of drawn size, and the circumstances of the visit, all from one seed.
// Only this file and the judging of the outcome know which fault was put in.
import { createTub, bringToComplaint, insertFault } from '../model/index.ts'
import type { FaultSlug, Plan, SupplyProfile, Tub } from '../model/index.ts'
import { createRandom } from '../laws/random.ts'
import type { Random } from '../laws/random.ts'
import type { Clock } from './driver.ts'
import type { Scene, Traits } from './scene.ts'

export type Scenario = {
  readonly fault: FaultSlug
  readonly seed: number
  readonly complaint: 'hotter-than-set' | 'over-temperature-message'
  readonly scene: Scene
}

export type Wish = { readonly plan?: Partial<Plan>; readonly traits?: Partial<Traits>; readonly testerDies?: boolean }

/** How tubs are fed, as an assumption: seven in ten by four wires. */
function drawSupply(random: Random): SupplyProfile {
  const roll = random.next()
  if (roll < 0.7) return 'split-240-4wire'
  if (roll < 0.8) return 'split-240-3wire'
  return roll < 0.85 ? 'wye-208-4wire' : 'cord-120'
}

function drawTraits(random: Random, tub: Tub): Traits {
  const has = (share: number): boolean => random.next() < share
  return {
    phoneFirst: has(0.5),
    ownThermometer: has(0.8),
    houseMeter: has(0.6),
    twoWrenches: true,
    ohmmeter: true,
    sensorReplaced: has(0.5),
    refilled: tub.hydraulics.airLocked || has(0.1),
    filterOld: tub.hydraulics.filterLoss > 3 || has(0.2),
    settingsTouched: has(0.15),
    travelHours: 3 + 33 * random.next(),
    patienceMinutes: has(0.3) ? 240 : 60,
  }
}

/** Undefined when this tub gives nobody a reason to call. */
export function setUpScene(fault: FaultSlug, seed: number, clock: Clock, wish: Wish = {}): Scenario | undefined {
  const random = createRandom(seed * 7919 + fault.length)
  const tub = createTub(seed, { supply: drawSupply(random), ...wish.plan })
  if (wish.testerDies !== undefined) tub.tools.testerDies = wish.testerDies
  insertFault(tub, fault)
  const call = bringToComplaint(tub)
  if (call.kind === 'none') return undefined
  const traits = { ...drawTraits(random, tub), ...wish.traits }
  // Each job begins a minute after the last one ended, so that no clock runs back.
  const startClock = clock.now + 60_000
  clock.now = startClock
  const scene: Scene = {
    tub,
    clock,
    traits,
    notes: { setFoundC: tub.settings.setC },
    repairs: [],
    startClock,
    startTubS: tub.clockS,
    talkS: 0,
    onSite: false,
  }
  return { fault, seed, complaint: call.kind === 'message' ? 'over-temperature-message' : 'hotter-than-set', scene }
}
