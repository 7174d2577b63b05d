// Seeded draws for the model tub. The state is plain data, so a tub can be copied with structuredClone.
// No clock and no system randomness may enter here: the same seed always gives the same tub.

export type Random = { state: number }

export function createRandom(seed: number): Random {
  return { state: Math.trunc(seed) >>> 0 }
}

/** Next number in [0, 1): a 32-bit counter scrambled by multiply and xor-shift. */
export function nextFraction(random: Random): number {
  random.state = (random.state + 0x6d2b79f5) >>> 0
  return scramble(random.state)
}

/** A fraction that depends only on the two numbers: the same day of the same tub has the same weather. */
export function fractionOf(seed: number, index: number): number {
  return scramble((Math.imul(seed + 1, 0x9e3779b1) ^ Math.imul(index + 1, 0x85ebca6b)) >>> 0)
}

export function uniform(random: Random, low: number, high: number): number {
  return low + (high - low) * nextFraction(random)
}

/** An error that is anywhere inside plus or minus the limit: how an instrument's stated limit is read (GUM type B). */
export function within(random: Random, limit: number): number {
  return uniform(random, -limit, limit)
}

export function normal(random: Random, mean: number, deviation: number): number {
  const radius = Math.sqrt(-2 * Math.log(1 - nextFraction(random)))
  return mean + deviation * radius * Math.cos(2 * Math.PI * nextFraction(random))
}

export function chance(random: Random, probability: number): boolean {
  return nextFraction(random) < probability
}

export function pick<T>(random: Random, items: readonly [T, ...T[]]): T {
  return items[Math.floor(nextFraction(random) * items.length)] ?? items[0]
}

/** One key, drawn by weight. Weights need not sum to one. */
export function pickWeighted<K extends string>(random: Random, weights: Readonly<Record<K, number>>): K {
  const keys = Object.keys(weights) as K[]
  let left = nextFraction(random) * keys.reduce((sum, key) => sum + weights[key], 0)
  for (const key of keys) {
    left -= weights[key]
    if (left < 0) return key
  }
  const last = keys.at(-1)
  if (last === undefined) throw new RangeError('pickWeighted needs at least one weight')
  return last
}

function scramble(value: number): number {
  let mixed = Math.imul(value ^ (value >>> 15), value | 1)
  mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)
  return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296
}
