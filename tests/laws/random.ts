// Seeded randomness for the laws: a run is repeated by its seed.
// What is drawn with it stands in random-job.ts.
export type Random = { readonly next: () => number; readonly below: (limit: number) => number; readonly pick: <T>(list: readonly T[]) => T }

/** mulberry32: small, fast, good enough to choose answers. */
export function createRandom(seed: number): Random {
  let state = seed >>> 0
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296
  }
  const below = (limit: number) => Math.floor(next() * limit)
  return {
    next,
    below,
    pick: (list) => {
      const one = list[below(list.length)]
      if (one === undefined) throw new Error('nothing to pick from')
      return one
    },
  }
}
