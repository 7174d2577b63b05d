// An answer that stands in the log with its controls, filled in as it was given: what a change begins with.
// Whether it may be changed is the view's to say and the engine's to judge.
import type { CommandOf, Form, StepView } from '../contract/index.ts'
import type { Edition, HandPlace } from '../edition/compiled.ts'
import { endOfKey } from './place.ts'
import type { JobState } from './state.ts'
import { stepView } from './step-view.ts'
import { PLACE_WORDS, unitsOfShop } from './words.ts'

export type PastStep = {
  readonly step: StepView
  readonly answer: Pick<CommandOf<'answer'>, 'outcome' | 'readings' | 'form' | 'words'>
}

/** Shape: undefined for a key without a standing answer of a person. */
export function pastStep(edition: Edition, state: JobState, key: string): PastStep | undefined {
  const { block, step: id } = endOfKey(key)
  const step = edition.blocks[block]?.steps[id]
  const entry = state.path.entries[key]
  if (step === undefined || entry === undefined || entry.auto !== undefined) return undefined
  const at = { frames: [], frame: { block, step: id, visit: 1, key, by: [] }, step, key }
  const { practice: _now, before: _before, form, ...shown } = stepView(edition, state, entry.person, at, unitsOfShop(state), entry.at)
  const filled = form?.form === 'pairs' ? { form: 'pairs' as const, places: placesMeasuredThen(entry.form) } : form
  return {
    step: { ...shown, ...(filled === undefined ? {} : { form: filled }) },
    answer: {
      outcome: entry.outcome,
      ...(entry.readings === undefined ? {} : { readings: entry.readings }),
      ...(entry.form === undefined ? {} : { form: entry.form }),
      ...(entry.words === undefined ? {} : { words: entry.words }),
    },
  }
}

/** A proof is corrected at the places and pairs that were measured, not at those open now. */
function placesMeasuredThen(given: Form | undefined): { place: string; label: string; needed: boolean; pairs: string[] }[] {
  if (given?.form !== 'pairs') return []
  const names = Object.keys(given.volts).map((name) => [name.slice(0, name.indexOf(':')), name.slice(name.indexOf(':') + 1)] as const)
  const places = [...new Set(names.map(([place]) => place))]
  return places.map((place) => ({
    place,
    label: PLACE_WORDS[place as HandPlace] ?? place,
    needed: true,
    pairs: names.filter(([of]) => of === place).map(([, pair]) => pair),
  }))
}
