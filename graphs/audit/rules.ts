// The searches of the audit: one observer at a time, and of that observer one thing at a time where its memory falls apart into things.
// What a rule forbids is written once, in safety/rules.
import { HAZARD_SLUGS } from '../edition/compiled.ts'
import type { Edition } from '../edition/compiled.ts'
import type { Observer } from '../safety/act.ts'
import { OBSERVERS } from '../safety/observers.ts'

export type AuditSearch = {
  readonly observer: Observer<unknown>
  /** The part of the memory that this search looks at. All parts together are the whole. */
  readonly keeps: (memory: unknown) => unknown
  /** Values told apart from the start; what else is needed is found on the way. */
  readonly seeds: readonly string[]
  /** `block.step` where alone a breach counts. */
  readonly only?: string
}
type Part = Omit<AuditSearch, 'observer'>

const ALWAYS = ['onSite', 'holder']
const LOCKS = ['energy', 'covers', 'lock:own', 'lock:shop', 'lock:others']
const hazards = (...slugs: readonly string[]) => slugs.map((slug) => `hazard:${slug}`)
const asIs = (memory: unknown) => memory
const whole = (...seeds: readonly string[]): readonly Part[] => [{ keeps: asIs, seeds }]

type Proof = { readonly prover: string; readonly places: readonly string[]; readonly witnesses: readonly string[] }

/** Proofs of one prover count together, place by place. */
function proofsTogether(memory: unknown): unknown {
  const { proofs } = memory as { proofs: readonly Proof[] }
  if (proofs.length === 0) return memory
  const each = proofs.flatMap(({ prover, places, witnesses }) => places.map((place) => ({ prover, places: [place], witnesses })))
  return { ...(memory as object), proofs: each }
}

type WithMarks = { readonly marks: readonly string[] }

/** Each mark alone: whoever asks for several misses one of them at least. The others count as made. */
function byMark(wanted: readonly string[], seeds: (mark: string) => readonly string[], rest = asIs): readonly Part[] {
  return wanted.map((mark) => ({
    keeps: (memory) => {
      const kept = rest(memory) as WithMarks
      const marks = wanted.filter((one) => one !== mark || kept.marks.includes(one))
      return { ...kept, marks }
    },
    seeds: seeds(mark),
  }))
}

/** Each hazard alone: whatever stands open, one of them does. */
function byHazard(list: string, slugs: readonly string[], rest = asIs): readonly Part[] {
  return slugs.map((slug) => ({
    keeps: (memory) => {
      const kept = rest(memory) as { readonly [list: string]: readonly string[] }
      return { ...kept, [list]: kept[list]?.filter((one) => one === slug) ?? [] }
    },
    seeds: hazards(slug),
  }))
}

/** Values that ways to these things hang on in the library as it stands. Hints: without them the search finds them out, and takes longer. */
const GFCI_HINTS = ['mark:gfci-passed-after', 'result:gfci-button']

const WET_SLUGS = HAZARD_SLUGS.filter((slug) => slug !== 'hot-water' && slug !== 'heat-without-demand')
const BEFORE_OUT = ['switches-recorded', 'conductors-recorded', 'loads-recorded']
const BOARD_MARKS = [...BEFORE_OUT, 'loads-sound', 'switches-compared']
const PROOFS = ['heat-off-held', 'demand-cycled', 'settings-restored', 'hold-done']
const HEAT_MARKS = ['heat-path-repaired', 'cause-repaired', 'heat-off-held']

type Heat = { readonly undemanded: boolean; readonly hot: boolean; readonly marks: readonly string[] }
const heat =
  (which: 'undemanded' | 'hot') =>
  (memory: unknown): unknown => ({
    ...(memory as Heat),
    undemanded: which === 'undemanded' && (memory as Heat).undemanded,
    hot: which === 'hot' && (memory as Heat).hot,
  })

type Bathing = { readonly gfci: boolean; readonly water: number | null; readonly covers: boolean; readonly hazards: readonly string[] }
const BATHED: Bathing = { gfci: true, water: 30, covers: true, hazards: [] }
/** One thing of the four that "safe to use" asks for; the others count as given. */
const bathing =
  (which: keyof Bathing) =>
  (memory: unknown): unknown => ({ ...BATHED, [which]: (memory as Bathing)[which] })

const withoutGfci = (memory: unknown): unknown => ({ ...(memory as object), gfci: true })

const PARTS: { readonly [rule: number]: readonly Part[] } = {
  1: [{ keeps: proofsTogether, seeds: [...LOCKS, 'proof'] }],
  2: whole(...LOCKS, 'proof', ...hazards('voltage')),
  3: whole(...LOCKS, 'proof'),
  4: whole('energy', 'covers'),
  5: byHazard('suspicious', WET_SLUGS),
  7: byHazard('open', ['shock', 'voltage', 'flood']),
  9: [
    {
      keeps: (memory) => ({ ...(memory as object), byOthers: Math.min(1, (memory as { byOthers: number }).byOthers) }),
      seeds: ['resets', ...hazards('shock', 'voltage', 'flood', 'heat')],
    },
  ],
  10: whole('clear'),
  12: byMark(BOARD_MARKS, (mark) => [`mark:${mark}`]),
  14: [
    ...byMark(HEAT_MARKS, (mark) => [`mark:${mark}`, ...hazards('heat-without-demand')], heat('undemanded')),
    ...byMark(HEAT_MARKS, (mark) => [`mark:${mark}`, ...hazards('hot-water')], heat('hot')),
  ],
  15: [
    ...byMark(PROOFS, (mark) => [`mark:${mark}`], withoutGfci),
    { keeps: (memory) => ({ ...(memory as object), marks: PROOFS }), seeds: GFCI_HINTS },
  ],
  16: whole(...LOCKS),
  17: [
    { keeps: bathing('gfci'), seeds: GFCI_HINTS },
    { keeps: bathing('water'), seeds: ['water'] },
    { keeps: bathing('covers'), seeds: [] },
    ...byHazard('hazards', HAZARD_SLUGS, bathing('hazards')),
  ],
  18: whole(...LOCKS, 'proof'),
}

/** Each step that fits a part alone: it rests on evidence of its own. */
function byFit(edition: Edition): readonly Part[] {
  return Object.values(edition.blocks).flatMap((block) =>
    Object.values(block.steps).flatMap((step) => {
      const fits =
        step.fit !== undefined || Object.values(step.outcomes).some((one) => one.effects?.some((effect) => effect.do === 'part-in'))
      if (!fits) return []
      const named = [...(step.fit?.evidence.one_of ?? []), ...(step.fit?.evidence.all_of ?? [])]
      return [{ keeps: asIs, seeds: named.map((name) => `result:${name.split('=')[0]}`), only: `${block.id}.${step.id}` }]
    }),
  )
}

export function searchesOf(edition: Edition): readonly AuditSearch[] {
  return OBSERVERS.flatMap((observer) => {
    const parts = observer.rule === 11 ? byFit(edition) : (PARTS[observer.rule] ?? whole())
    return parts.map((part) => ({ ...part, observer, seeds: [...ALWAYS, ...part.seeds] }))
  })
}
