// The feed of the tub: conductors, phasors, isolation, and voltage that is still there after isolation.
// Potentials are against earth. What a meter shows, with its error, is in instruments.ts.

export type SupplyProfile = 'split-240-4wire' | 'split-240-3wire' | 'wye-208-4wire' | 'cord-120'
export type Conductor = 'L1' | 'L2' | 'H' | 'N' | 'G'
export type Pair = `${Conductor}-${Conductor}`

export type Phasor = { readonly real: number; readonly imaginary: number }

export const EARTH: Phasor = { real: 0, imaginary: 0 }

const CONDUCTORS: Readonly<Record<SupplyProfile, readonly Conductor[]>> = {
  'split-240-4wire': ['L1', 'L2', 'N', 'G'],
  'split-240-3wire': ['L1', 'L2', 'G'],
  'wye-208-4wire': ['L1', 'L2', 'N', 'G'],
  'cord-120': ['H', 'N', 'G'],
}

/** What still feeds the box once the tub's own disconnect is open. */
export type Leftover = 'nothing' | 'second-feed' | 'wrong-device-opened'

export type Feed = {
  readonly profile: SupplyProfile
  /** Site voltage over nominal. Normal band 0.95-1.05 of 120/240 V (ANSI C84.1 range A, from memory). */
  readonly level: number
  isolated: boolean
  leftover: Leftover
  readonly gfci: Gfci
}

/** Class A: holds below 4 mA, trips at 6 mA and above (electrical-safety section 2). */
export type Gfci = { tripped: boolean; tripMa: number; health: 'good' | 'does-not-trip' | 'will-not-reset' }

export function conductorsOf(profile: SupplyProfile): readonly Conductor[] {
  return CONDUCTORS[profile]
}

/** Every pair of the profile: n(n-1)/2 of them. */
export function pairsOf(profile: SupplyProfile): Pair[] {
  const conductors = CONDUCTORS[profile]
  return conductors.flatMap((first, at) => conductors.slice(at + 1).map((second): Pair => `${first}-${second}`))
}

/** The two conductors the heater hangs on. */
export function heaterLegs(profile: SupplyProfile): readonly [Conductor, Conductor] {
  return profile === 'cord-120' ? ['H', 'N'] : ['L1', 'L2']
}

export function potential(feed: Feed, conductor: Conductor): Phasor {
  if (conductor === 'N' || conductor === 'G') return EARTH
  const fed = isBoardFed(feed)
  // A second feed (invented case) holds up one leg only: the last hot of the profile.
  const secondFed = feed.leftover === 'second-feed' && (conductor === 'L2' || conductor === 'H')
  if (!fed && !secondFed) return EARTH
  const volts = 120 * feed.level
  if (conductor !== 'L2') return { real: volts, imaginary: 0 }
  const angle = feed.profile === 'wye-208-4wire' ? (2 * Math.PI) / 3 : Math.PI
  return { real: volts * Math.cos(angle), imaginary: volts * Math.sin(angle) }
}

export function voltsBetween(one: Phasor, other: Phasor): number {
  return Math.hypot(one.real - other.real, one.imaginary - other.imaginary)
}

export function pairVolts(feed: Feed, pair: Pair): number {
  const [first, second] = pair.split('-') as [Conductor, Conductor]
  const known = CONDUCTORS[feed.profile]
  if (!known.includes(first) || !known.includes(second)) throw new RangeError(`${feed.profile} has no pair ${pair}`)
  return voltsBetween(potential(feed, first), potential(feed, second))
}

/** Some conductor in the box is above earth: whoever reaches in is at risk, whatever was switched off. */
export function isBoxLive(feed: Feed): boolean {
  return CONDUCTORS[feed.profile].some((conductor) => voltsBetween(potential(feed, conductor), EARTH) > 0)
}

/** The board runs only from the tub's own feed: a second feed does not start it. */
export function isBoardFed(feed: Feed): boolean {
  if (feed.gfci.tripped) return false
  return !feed.isolated || feed.leftover === 'wrong-device-opened'
}
