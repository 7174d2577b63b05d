// What random jobs leave out, each with its reason in words. A part of the library that nobody can reach is taken out of it, not listed here.
// Names are block.step=outcome, block.step, or a whole block.

export const NEVER_TAKEN: { readonly [name: string]: string } = {}

/** Endings that are reached, but seldom: chained from several rare answers. */
export const SELDOM_REACHED: { readonly [ending: string]: string } = {}
