// The present step as a screen needs it: texts filled in, fields with their units, only outcomes that may be picked.
// Whether the step may be shown at all is view.ts.
import type { StepView } from '../contract/index.ts'
import type { Edition, Outcome, Step } from '../edition/compiled.ts'
import { FACTS } from '../trade/facts.ts'
import { fillText } from '../trade/placeholder.ts'
import type { ShopUnits } from '../trade/placeholder.ts'
import { isComputed, recordedSwitches } from './answer.ts'
import { evidenceStands } from './evidence.ts'
import { placesToProve } from './offer.ts'
import type { Here } from './offer.ts'
import { supplyPairs } from './proof.ts'
import type { JobState } from './state.ts'
import { practiceView } from './practice.ts'
import { leadsNowhere } from './stopping.ts'
import { factWords, PLACE_WORDS } from './words.ts'

export function stepView(edition: Edition, state: JobState, person: string, at: Here, units: ShopUnits, now: number): StepView {
  const { step, key, frame } = at
  const fill = (text: string) => fillText(text, units)
  const form = step.form === undefined ? undefined : formView(edition, state, person, step, units)
  const until = state.waits[key]
  const before = earlierAnswer(edition, state, at)
  const practice = state.practice ? practiceView(edition, state, at, form, now, units) : undefined
  return {
    place: key,
    key,
    block: frame.block,
    step: step.id,
    kind: step.kind as StepView['kind'],
    title: fill(step.title),
    says: step.says.map(fill),
    why: fill(step.why),
    minutes: step.minutes,
    tools: [...step.tools],
    outcomes: pickable(edition, state, at).map(([outcome, { label }]) => ({ outcome, label: fill(label) })),
    readings: (step.readings ?? []).map((reading) => ({
      name: reading.name,
      quantity: reading.quantity,
      label: reading.label,
      units: [...reading.units],
      optional: reading.optional ?? false,
      ...(reading.instrument === undefined ? {} : { instrument: reading.instrument }),
      ...(reading.choices === undefined ? {} : { choices: reading.choices.map((choice) => ({ ...choice })) }),
      ...(reading.series === undefined ? {} : { series: { ...reading.series } }),
    })),
    can_not_do: step.outcomes['not-done'] !== undefined,
    ...(step.ask_aloud === undefined ? {} : { aloud: fill(step.ask_aloud) }),
    ...(step.hazard === undefined ? {} : { hazard: { word: step.hazard.word, text: fill(step.hazard.text) } }),
    ...(step.starts === undefined ? {} : { starts: step.starts }),
    ...(form === undefined ? {} : { form }),
    ...(until === undefined ? {} : { until, meanwhile: [...(step.wait?.meanwhile ?? [])] }),
    ...(before === undefined ? {} : { before }),
    ...(practice === undefined ? {} : { practice }),
  }
}

/** For a person who may not do the step: the substitute, and nothing else. */
export function otherwiseView(at: Here, units: ShopUnits): StepView {
  const { step, key, frame } = at
  return {
    place: key,
    key,
    block: frame.block,
    step: step.id,
    kind: 'ask',
    title: fillText(step.title, units),
    says: ['This step is for somebody with a sign-off that you do not have.', 'Wait for that person, or go the other way.'],
    why: fillText(step.why, units),
    minutes: 1,
    tools: [],
    outcomes: [{ outcome: 'otherwise', label: 'Go the other way' }],
    readings: [],
    can_not_do: false,
  }
}

/** Outcomes a person picks: computed ones, "not done" and the substitute have their own controls. */
function pickable(edition: Edition, state: JobState, at: Here): [string, Outcome][] {
  const { step } = at
  return step.order.flatMap((name): [string, Outcome][] => {
    const outcome = step.outcomes[name]
    const shown = outcome !== undefined && mayBePicked(state, step, name) && !leadsNowhere(edition, state.path, at, name)
    return shown ? [[name, outcome]] : []
  })
}

function mayBePicked(state: JobState, step: Step, name: string): boolean {
  if (name === 'not-done' || name === 'otherwise' || isComputed(step, name)) return false
  return !(
    step.kind === 'fit' &&
    name === 'fitted' &&
    step.fit !== undefined &&
    !step.fit.consumable &&
    !evidenceStands(state, step.fit.evidence, step.fit.part)
  )
}

/** What was found here before and no longer lasts: asked again as "still so?". */
function earlierAnswer(edition: Edition, state: JobState, at: Here): string | undefined {
  const block = edition.blocks[at.frame.block]
  if (block?.kind !== 'test') return undefined
  const result = state.path.results[block.id]
  return result === undefined ? undefined : (block.exits[result.outcome]?.label ?? result.outcome)
}

function formView(edition: Edition, state: JobState, person: string, step: Step, units: ShopUnits): NonNullable<StepView['form']> {
  const form = step.form
  switch (form?.form) {
    case 'facts':
      return { form: 'facts', facts: form.facts.flatMap((slug) => factField(state, slug, units)) }
    case 'pairs':
      return {
        form: 'pairs',
        places: placesToProve(edition, state, person).map(({ place, needed }) => ({
          place,
          label: PLACE_WORDS[place],
          needed,
          pairs: [...supplyPairs(edition, state)],
        })),
      }
    case 'switches': {
      const old = form.which === 'new' ? recordedSwitches(edition, state) : undefined
      return { form: 'switches', which: form.which, ...(old === undefined ? {} : { old }) }
    }
    case 'settings': {
      const found = form.which === 'left' ? settingsFound(state) : undefined
      return { form: 'settings', which: form.which, ...(found === undefined ? {} : { found }) }
    }
    case 'checklist':
      return { form: 'checklist', items: form.items.map((item) => fillText(item, units)) }
    case 'text':
      return { form: 'text', fields: form.fields.map((field) => ({ ...field })) }
    case 'loads':
      return { form: 'loads' }
    default:
      return { form: 'conductors' }
  }
}

type FactField = Extract<NonNullable<StepView['form']>, { form: 'facts' }>['facts'][number]

function factField(state: JobState, slug: string, units: ShopUnits): FactField[] {
  const definition = FACTS.find((fact) => fact.slug === slug)
  if (definition === undefined) return []
  const known = state.facts[slug]
  return [
    {
      slug,
      label: definition.label,
      question: definition.question,
      ...(definition.quantity === undefined ? {} : { quantity: definition.quantity }),
      ...(definition.units === undefined ? {} : { units: [...definition.units] }),
      ...(definition.choices === undefined ? {} : { choices: definition.choices.map((choice) => ({ ...choice })) }),
      ...(known === undefined ? {} : { known: factWords(known, units) }),
    },
  ]
}

function settingsFound(state: JobState): { [name: string]: string } | undefined {
  for (const key of state.path.trail) {
    const form = state.path.entries[key]?.form
    if (form?.form === 'settings') return form.settings
  }
  return undefined
}
