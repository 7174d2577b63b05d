// Taking power away, giving it back, and the record of hands that met a hazard.
// The model refuses nothing: it writes down what a wrong order of work would have done to a person.
import { advance } from './physics.ts'
import type { Exposure, Tub } from './state.ts'
import { isBoxLive } from './supply.ts'

/** Water a hand is kept out of: 110 degF (trade C, hand gate). */
const HAND_LIMIT_C = 43.3

/** Opens the tub's own disconnect or pulls the plug. Whether the box is then dead is for the meter to say. */
export function isolate(tub: Tub): void {
  tub.feed.isolated = true
  advance(tub, 60)
}

/** Power back on; the board starts from nothing and primes the pump. */
export function restorePower(tub: Tub): void {
  tub.feed.isolated = false
  advance(tub, 180)
}

export function removeLeftoverFeed(tub: Tub): void {
  tub.feed.leftover = 'nothing'
}

/** Minutes pass at the tub. */
export function pass(tub: Tub, minutes: number): void {
  advance(tub, minutes * 60)
}

/** Hands inside the box or on its terminals. */
export function touchBox(tub: Tub, act: string): void {
  if (isBoxLive(tub.feed)) expose(tub, { act, what: 'live-box', size: 120 })
}

/** Hands at an open intake or on plumbing that must be still. */
export function touchPump(tub: Tub, act: string): void {
  if (tub.pump !== 'off') expose(tub, { act, what: 'pump-running', size: 1 })
}

export function touchWater(tub: Tub, act: string): void {
  if (tub.waterC > HAND_LIMIT_C) expose(tub, { act, what: 'hot-water', size: tub.waterC })
}

function expose(tub: Tub, exposure: Omit<Exposure, 'atS'>): void {
  tub.exposures.push({ atS: tub.clockS, ...exposure })
}
