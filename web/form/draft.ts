// What is typed at a step before it is recorded: kept on this device until it is, so that nothing typed is lost.
// The shapes are those of the contract; only what a person has not touched yet is made up here.
import type { Form, StepView, TypedReading } from '#graphs/contract'
import { recall, remember } from '../job/device.ts'
import type { Answer } from '../job/source.ts'

export type Draft = {
  /** A list for a series, one for all others. */
  readonly readings: { readonly [name: string]: readonly TypedReading[] }
  readonly form: Form | undefined
  readonly words: string
}

export function emptyDraft(step: Pick<StepView, 'readings' | 'form'>): Draft {
  return {
    readings: Object.fromEntries(step.readings.map((field) => [field.name, field.series === undefined ? [blankReading(field)] : []])),
    form: step.form === undefined ? undefined : emptyForm(step.form),
    words: '',
  }
}

export function blankReading(field: StepView['readings'][number]): TypedReading {
  return { typed: '', unit: field.units[0] ?? '', ...(field.instrument === undefined ? {} : { instrument: field.instrument }) }
}

/** An answer that stands in the log, back in its controls. */
export function draftOf(step: Pick<StepView, 'readings' | 'form'>, answer: Answer): Draft {
  const empty = emptyDraft(step)
  const readings = Object.entries(answer.readings ?? {}).map(([name, given]) => [name, Array.isArray(given) ? given : [given]] as const)
  return { readings: { ...empty.readings, ...Object.fromEntries(readings) }, form: answer.form ?? empty.form, words: answer.words ?? '' }
}

function emptyForm(form: NonNullable<StepView['form']>): Form {
  switch (form.form) {
    case 'facts':
      return { form: 'facts', facts: {} }
    case 'pairs':
      return { form: 'pairs', tester_before: false, tester_after: false, volts: {} }
    case 'switches':
      // The new board starts unread: the old setting is shown beside it, never copied into it.
      return { form: 'switches', positions: '-'.repeat(form.old?.positions.length ?? 0), jumpers: '' }
    case 'conductors':
      return { form: 'conductors', conductors: [] }
    case 'loads':
      return { form: 'loads', loads: [] }
    case 'settings':
      return { form: 'settings', settings: {} }
    case 'checklist':
      return { form: 'checklist', ticked: [] }
    case 'text':
      return { form: 'text', fields: Object.fromEntries(form.fields.map((field) => [field.name, ''])) }
  }
}

/** What is sent: nothing empty. */
export function readingsOf(step: Pick<StepView, 'readings'>, draft: Draft): NonNullable<Answer['readings']> {
  const sent: NonNullable<Answer['readings']> = {}
  for (const field of step.readings) {
    const typed = (draft.readings[field.name] ?? []).filter((one) => one.typed.trim() !== '')
    const [first] = typed
    if (first === undefined) continue
    sent[field.name] = field.series === undefined ? first : [...typed]
  }
  return sent
}

export function keepDraft(job: string, place: string, draft: Draft): void {
  remember(`draft:${job}`, JSON.stringify({ place, draft }))
}

export function dropDraft(job: string): void {
  remember(`draft:${job}`, undefined)
}

export function recallDraft(job: string, place: string): Draft | undefined {
  const text = recall(`draft:${job}`)
  if (text === undefined) return undefined
  try {
    const kept = JSON.parse(text) as { place: string; draft: Draft }
    return kept.place === place ? kept.draft : undefined
  } catch {
    return undefined
  }
}
