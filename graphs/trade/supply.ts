// Supply profiles: conductors, the pairs that prove a tub dead, voltage windows, and what a set of voltages says about the feed.
// Nothing about heaters lives here.

/** Below this, with its error, a pair counts as dead. Source: loading tester, field limit 3 V AC, common practice. */
export const DEAD_LIMIT = 3

export type Profile = {
  readonly slug: string
  readonly conductors: readonly string[]
  /** Heater voltage when the profile is all that is known, V. */
  readonly heaterVoltage: number
  /** Half-width of that voltage at the equipment, V. */
  readonly spread: number
  /** Voltage that a heater of this market is rated for, V. */
  readonly ratedVoltage: number
}

/** Profiles by slug. Conductors in test order. Source: electrical-safety section 1; spreads from ANSI C84.1 range A at service. */
export const PROFILES: { readonly [slug: string]: Profile } = {
  'split-240-4wire': { slug: 'split-240-4wire', conductors: ['L1', 'L2', 'N', 'G'], heaterVoltage: 240, spread: 12, ratedVoltage: 240 },
  'split-240-3wire': { slug: 'split-240-3wire', conductors: ['L1', 'L2', 'G'], heaterVoltage: 240, spread: 12, ratedVoltage: 240 },
  'wye-208': { slug: 'wye-208', conductors: ['L1', 'L2', 'N', 'G'], heaterVoltage: 208, spread: 10, ratedVoltage: 240 },
  'cord-120': { slug: 'cord-120', conductors: ['H', 'N', 'G'], heaterVoltage: 120, spread: 6, ratedVoltage: 120 },
  'single-230': { slug: 'single-230', conductors: ['L', 'N', 'PE'], heaterVoltage: 230, spread: 14, ratedVoltage: 230 },
}

/** Every pair of conductors, "L1-L2" style: n conductors give n(n-1)/2. Names that come twice count once. */
export function pairsOf(conductors: readonly string[]): readonly string[] {
  const unique = [...new Set(conductors)]
  return unique.flatMap((first, index) => unique.slice(index + 1).map((second) => `${first}-${second}`))
}

/** Pairs of a profile; an unknown profile has none of its own: every conductor seen is tested two by two. */
export function pairsOfProfile(slug: string): readonly string[] {
  return pairsOf(profileOf(slug)?.conductors ?? [])
}

/** The profile of a slug, or undefined for `unknown` and anything else that is not in the table. */
export function profileOf(slug: unknown): Profile | undefined {
  return typeof slug === 'string' && Object.hasOwn(PROFILES, slug) ? PROFILES[slug] : undefined
}

export type Window = 'in' | 'grey' | 'out'
type Ends = readonly [low: number, high: number]
/** From memory of ANSI C84.1, partly seen second-hand: check the edition. 230 V: supply-tolerance pages. */
const WINDOWS: { readonly [nominal: number]: { readonly service: Ends; readonly load: Ends; readonly outer: Ends } } = {
  240: { service: [228, 252], load: [216, 252], outer: [208, 254] },
  120: { service: [114, 126], load: [108, 126], outer: [104, 127] },
  208: { service: [198, 218], load: [198, 218], outer: [198, 218] },
  230: { service: [216, 253], load: [216, 253], outer: [207, 253] },
}

/**
 * Where a supply voltage lies: in, in the grey between, or out.
 *
 * Shape:  `nominal` 240, 120, 208 or 230; `loaded` true when the heater runs. Another nominal or NaN is `out`.
 * Units:  V.
 * Source: C1 of the trade sheet; ANSI C84.1 range A and B (from memory, check edition).
 */
export function supplyWindow(input: { readonly nominal: number; readonly volts: number; readonly loaded: boolean }): Window {
  const row = WINDOWS[input.nominal]
  if (!row) return 'out'
  const inside = ([low, high]: Ends): boolean => input.volts >= low && input.volts <= high
  if (inside(input.loaded ? row.load : row.service)) return 'in'
  return inside(row.outer) ? 'grey' : 'out'
}

/** ANSI C84.1 service voltage ranges A and B for 240 and 120 V. Units: V. Source: from memory, check edition. */
export function isInServiceRange(input: { readonly nominal: 240 | 120; readonly range: 'A' | 'B'; readonly volts: number }): boolean {
  const [low, high] = input.range === 'A' ? [114, 126] : [110, 127]
  const times = input.nominal / 120
  return input.volts >= low * times && input.volts <= high * times
}

/** A state rule for the point of delivery: 113 to 127 V for more than two minutes. Units: V. Source: a state rule, seen second-hand. */
export function isInDeliveryRule(volts: number): boolean {
  return volts >= 113 && volts <= 127
}

/** Voltages of the two 120 V sides behind an open neutral. Units: ohm, V. Source: series circuit of the two loads. */
export function openNeutral(input: { readonly ohmL1: number; readonly ohmL2: number; readonly volts: number }): {
  readonly l1: number
  readonly l2: number
} {
  const current = input.volts / (input.ohmL1 + input.ohmL2)
  return { l1: current * input.ohmL1, l2: current * input.ohmL2 }
}

export type FeedVolts = {
  readonly l1n: number
  readonly l2n: number
  readonly l1l2: number
  readonly l1g?: number
  readonly l2g?: number
  readonly ng?: number
}
export type FeedPattern =
  | 'healthy'
  | 'wye-208'
  | 'same-leg-or-back-fed'
  | 'leg-lost'
  | 'open-neutral'
  | 'neutral-hot'
  | 'ground-open'
  | 'meter-doubtful'
  | 'all-zero'
  | 'unclear'

/** Patterns that stop the work for a licensed electrician. */
export const STOP_PATTERNS: readonly FeedPattern[] = ['open-neutral', 'neutral-hot', 'ground-open']

/**
 * What the voltages at the terminals of a 120/240 V feed say, supply on. Taken by a qualified person only.
 *
 * Units:  V. `all-zero` is "off somewhere", never "proved dead".
 * Source: table of patterns, electrical-safety section 3 (circuit laws).
 */
export function classifyFeed(volts: FeedVolts): FeedPattern {
  const { l1n, l2n, l1l2, l1g, l2g, ng } = volts
  const near = (value: number, target: number, width: number): boolean => Math.abs(value - target) <= width
  const around = (value: number | undefined, target: number, width: number): boolean => value === undefined || near(value, target, width)
  if (![l1n, l2n, l1l2].every(Number.isFinite)) return 'unclear'
  if (Math.max(l1n, l2n, l1l2, l1g ?? 0, l2g ?? 0, ng ?? 0) < DEAD_LIMIT) return 'all-zero'
  // A neutral terminal that is a hot: one side reads the full voltage, and the "neutral" reads 120 V to ground.
  if ((near(l2n, 240, 24) && near(l1n, 120, 12)) || (near(l1n, 240, 24) && near(l2n, 120, 12))) return 'neutral-hot'
  if (l1l2 > 290) return 'meter-doubtful'
  if (near(l1n, 120, 12) && near(l2n, 120, 12)) {
    if (near(l1l2, 208, 10)) return 'wye-208'
    if (l1l2 < 20) return 'same-leg-or-back-fed'
    if (!around(l1g, 120, 15) || !around(l2g, 120, 15)) return 'ground-open'
    return near(l1l2, 240, 24) && near(l1n + l2n, l1l2, 12) ? 'healthy' : 'unclear'
  }
  if (near(l1l2, 240, 24) && near(l1n + l2n, l1l2, 12)) return 'open-neutral'
  if (Math.min(l1n, l2n) < 90 && near(Math.max(l1n, l2n), 120, 12)) return 'leg-lost'
  return 'unclear'
}

/** (L1-N + L2-N) / (L1-L2): 1.00 split-phase, 1.15 wye, 3 swapped neutral. Infinity when both legs are one. */
export function sumRatio(volts: FeedVolts): number {
  return (volts.l1n + volts.l2n) / volts.l1l2
}
