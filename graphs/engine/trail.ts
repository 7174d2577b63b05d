// The log of a job as one person sees it: each answer in words, with what no longer stands struck through.
// The present step and the rest of the screen are view.ts.
import type { TrailItem } from '../contract/index.ts'
import type { Edition, Role, Step } from '../edition/compiled.ts'
import { fillText } from '../trade/placeholder.ts'
import type { ShopUnits } from '../trade/placeholder.ts'
import { own, stepOfKey } from './lookup.ts'
import { mayCorrect } from './offer.ts'
import type { Entry, JobState } from './state.ts'
import { answerWords, typedList } from './words.ts'

/** What an answer says whoever looks at it. */
type Told = Pick<TrailItem, 'title' | 'answer' | 'typed' | 'why' | 'verdict'> & { readonly units: ShopUnits; readonly step: Step }

/** Shape: the log of a state for a role. An answer never changes: its words are made once and kept for as long as somebody holds it. */
export function createTrail(edition: Edition): (state: JobState, role: Role, units: ShopUnits) => TrailItem[] {
  const kept = new WeakMap<Entry, Told>()
  const toldOf = (entry: Entry, units: ShopUnits): Told | undefined => {
    const known = kept.get(entry)
    if (known?.units === units) return known
    const step = stepOfKey(edition, entry.key)
    if (step === undefined) return undefined
    const told = inWords(edition, step, entry, units)
    kept.set(entry, told)
    return told
  }
  /** Answers on the path in order, with those that no longer stand put in by their time. A homeowner sees only what is theirs. */
  return (state, role, units) => {
    const standing = new Set(state.path.trail)
    const struck = Object.keys(state.path.entries).filter((key) => !standing.has(key) && state.path.entries[key]?.auto === undefined)
    const items: TrailItem[] = []
    for (const key of [...state.path.trail, ...struck]) {
      const entry = state.path.entries[key]
      const told = entry === undefined ? undefined : toldOf(entry, units)
      const item = entry === undefined || told === undefined ? undefined : trailItem(state, entry, told, role, !standing.has(key))
      if (item !== undefined) items.push(item)
    }
    return struck.length === 0 ? items : items.toSorted((a, b) => a.at - b.at)
  }
}

function inWords(edition: Edition, step: Step, entry: Entry, units: ShopUnits): Told {
  const { verdict } = entry
  const filled =
    verdict === undefined
      ? undefined
      : {
          ...verdict,
          reason: fillText(verdict.reason, units),
          ...(verdict.settle === undefined ? {} : { settle: fillText(verdict.settle, units) }),
        }
  return {
    units,
    step,
    title: fillText(step.title, units),
    answer: answerWords(edition, step, entry, units),
    typed: typedList(step, entry),
    why: fillText(step.why, units),
    ...(filled === undefined ? {} : { verdict: filled }),
  }
}

function trailItem(state: JobState, entry: Entry, told: Told, role: Role, struck: boolean): TrailItem | undefined {
  const { step, title, answer, typed, why, verdict } = told
  if (step.kind === 'decide') return undefined
  const person = own(state.people, entry.person)
  if (role === 'homeowner' && (!step.who.includes(role) || person?.role === 'technician')) return undefined
  return {
    key: entry.key,
    at: entry.at,
    by: { name: person?.name ?? '', role: person?.role ?? 'homeowner' },
    title,
    answer,
    typed,
    why,
    power: entry.power,
    can_change: mayCorrect(state, step, entry, role) && entry.auto === undefined && !struck && state.ended === undefined,
    struck,
    ...(verdict === undefined || role === 'homeowner' ? {} : { verdict }),
    ...(entry.auto === undefined ? {} : { auto: entry.auto }),
    ...(entry.reason === undefined ? {} : { reason: entry.reason }),
    ...(entry.words === undefined ? {} : { words: entry.words }),
  }
}
