// The power state of the tub now, and who may put hands where. Read by the engine, the observers and the screens.
// What the states are drawn as is the shells'.
import type { HandPlace } from '../edition/compiled.ts'
import type { Tub } from './tub.ts'

export type PowerState = 'closed' | 'live-shut' | 'proving' | 'locked' | 'live-open'

export const SHOP = 'shop'

export function isLocked(tub: Tub): boolean {
  return tub.energy === 'off' && tub.locks.length > 0
}

/**
 * closed: nothing opened, power as found, nobody on site · live-shut: somebody on site, covers on, power on or unknown
 * proving: off and locked, not proved: treated as live · locked: proved dead · live-open: a cover off and no lock.
 */
export function powerState(tub: Tub): PowerState {
  if (isLocked(tub)) return tub.proofs.length > 0 ? 'locked' : 'proving'
  if (tub.covers === 'off') return 'live-open'
  return tub.onSite.length > 0 && tub.energy !== 'off' ? 'live-shut' : 'closed'
}

/** Own lock on, and a proof of the place made by this person, or watched while its prover stays. */
export function mayTouch(tub: Tub, person: string, place: HandPlace): boolean {
  if (tub.energy !== 'off') return false
  if (!tub.locks.some((lock) => lock.owner === person)) return false
  return tub.proofs.some(
    (proof) =>
      proof.places.includes(place) && (proof.prover === person || (proof.witnesses.includes(person) && tub.onSite.includes(proof.prover))),
  )
}

export function placesNotProved(tub: Tub, person: string, places: readonly HandPlace[]): readonly HandPlace[] {
  return places.filter((place) => !mayTouch(tub, person, place))
}

/** How long a "nobody in the water" answer stands: a step that starts something later than this asks anew. Common practice, no source. */
export const WATER_CLEAR_MINUTES = 3

export function waterIsClear(tub: Tub, now: number): boolean {
  return tub.clear !== undefined && now - tub.clear.at <= WATER_CLEAR_MINUTES * 60_000 && now >= tub.clear.at
}

/** Water hotter than this keeps hands out, degC (110 degF). */
export const HAND_LIMIT_DEGC = 43.3

/** Nobody puts a hand in the water: a shock is known, the GFCI has not passed at this visit, or the water is too hot. */
export function handGateShut(tub: Tub): boolean {
  if (tub.hazards.shock !== undefined || tub.hazards.voltage !== undefined || tub.hazards['suction-cover'] !== undefined) return true
  if (tub.water !== undefined && tub.water.degC > HAND_LIMIT_DEGC) return true
  return tub.gfci === undefined || tub.gfci.result !== 'passed' || tub.gfci.visit !== tub.visit
}
