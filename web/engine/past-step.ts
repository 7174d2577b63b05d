// The controls of an answer that stands in the log, made again from the edition and filled in as it was given.
// What may be changed at all is said by the view; the engine judges the change itself.
import { endOfKey, FACTS, fillText, PLACE_WORDS, unitsOfShop } from '#graphs'
import type { Edition, Entry, JobState, Step } from '#graphs'
import type { Form, StepView } from '#graphs/contract'
import type { Answer, Past } from '../job/source.ts'

export function pastStep(edition: Edition, state: JobState, key: string): Past | undefined {
  const { block, step: id } = endOfKey(key)
  const step = edition.blocks[block]?.steps[id]
  const entry = state.path.entries[key]
  if (step === undefined || entry === undefined || step.kind === 'decide' || step.kind === 'call') return undefined
  const fill = (text: string): string => fillText(text, unitsOfShop(state))
  const form = step.form === undefined ? undefined : formOf(step.form, entry.form, fill)
  const measured = step.readings !== undefined || form !== undefined
  const view: StepView = {
    place: key,
    key,
    block,
    step: id,
    kind: step.kind,
    title: fill(step.title),
    says: step.says.map(fill),
    why: fill(step.why),
    minutes: step.minutes,
    tools: [...step.tools],
    outcomes: Object.entries(step.outcomes)
      .filter(([name]) => name !== 'not-done' && name !== 'otherwise' && !(measured && isComputed(step, name, entry)))
      .map(([outcome, { label }]) => ({ outcome, label: fill(label) })),
    readings: (step.readings ?? []).map(({ name, quantity, label, units, optional, instrument, series }) => ({
      name,
      quantity,
      label,
      units: [...units],
      optional: optional ?? false,
      ...(instrument === undefined ? {} : { instrument }),
      ...(series === undefined ? {} : { series: { ...series } }),
    })),
    can_not_do: step.outcomes['not-done'] !== undefined,
    ...(step.hazard === undefined ? {} : { hazard: { word: step.hazard.word, text: fill(step.hazard.text) } }),
    ...(step.starts === undefined ? {} : { starts: step.starts }),
    ...(form === undefined ? {} : { form }),
  }
  return { step: view, answer: answerOf(entry) }
}

function answerOf(entry: Entry): Answer {
  const readings = entry.readings as Answer['readings']
  return {
    outcome: entry.outcome,
    ...(readings === undefined ? {} : { readings }),
    ...(entry.form === undefined ? {} : { form: entry.form }),
    ...(entry.words === undefined ? {} : { words: entry.words }),
  }
}

/** Outcomes that numbers or a form decide; the engine refuses them when they are sent by hand. */
function isComputed(step: Step, outcome: string, entry: Entry): boolean {
  if (step.kind === 'read') return entry.readings !== undefined || outcome !== entry.outcome
  return outcome === 'done' || ['zero', 'voltage', 'not-proved', 'match', 'mismatch'].includes(outcome)
}

function formOf(form: NonNullable<Step['form']>, given: Form | undefined, fill: (text: string) => string): StepView['form'] {
  switch (form.form) {
    case 'facts':
      return { form: 'facts', facts: form.facts.flatMap(factField) }
    case 'pairs':
      return { form: 'pairs', places: placesOf(given) }
    case 'checklist':
      return { form: 'checklist', items: form.items.map(fill) }
    case 'text':
      return { form: 'text', fields: form.fields.map((field) => ({ ...field })) }
    case 'switches':
    case 'settings':
      return { form: form.form, which: form.which } as StepView['form']
    default:
      return { form: form.form }
  }
}

type FactField = Extract<NonNullable<StepView['form']>, { form: 'facts' }>['facts'][number]

function factField(slug: string): FactField[] {
  const fact = FACTS.find((one) => one.slug === slug)
  if (fact === undefined) return []
  const { label, question, quantity, units, choices } = fact
  return [
    {
      slug,
      label,
      question,
      ...(quantity === undefined ? {} : { quantity }),
      ...(units === undefined ? {} : { units: [...units] }),
      ...(choices === undefined ? {} : { choices: choices.map((choice) => ({ ...choice })) }),
    },
  ]
}

/** The places and pairs that were measured then. */
function placesOf(given: Form | undefined): { place: string; label: string; needed: boolean; pairs: string[] }[] {
  if (given?.form !== 'pairs') return []
  const pairs = new Map<string, string[]>()
  for (const name of Object.keys(given.volts)) {
    const cut = name.indexOf(':')
    const place = name.slice(0, cut)
    pairs.set(place, [...(pairs.get(place) ?? []), name.slice(cut + 1)])
  }
  return [...pairs].map(([place, list]) => ({
    place,
    label: PLACE_WORDS[place as keyof typeof PLACE_WORDS] ?? place,
    needed: true,
    pairs: list,
  }))
}
