// What the invented practice tub answers at a step, ready to be sent. Only practice jobs see it; what it means is judged like any answer.
// A tub that is really simulated is not this file.
import type { Form, StepView, TypedReading } from '../contract/index.ts'
import type { Edition, PracticeAnswer } from '../edition/compiled.ts'
import { FACTS } from '../trade/facts.ts'
import { fillText } from '../trade/placeholder.ts'
import type { ShopUnits } from '../trade/placeholder.ts'
import type { Here } from './offer.ts'
import type { JobState } from './state.ts'
import { testName } from './walk.ts'

type Practice = NonNullable<StepView['practice']>

export function practiceView(
  edition: Edition,
  state: JobState,
  at: Here,
  form: StepView['form'],
  now: number,
  units: ShopUnits,
): Practice | undefined {
  const { step, frame } = at
  const answer = edition.practice.answers[`${testName(frame.block)}.${step.id}`] ?? {}
  const filled = form === undefined ? undefined : formOf(form, answer)
  const readings = answer.read === undefined ? undefined : readingsOf(answer.read, now)
  const outcome = answer.pick ?? onlyOutcome(at, filled !== undefined || readings !== undefined)
  if (outcome === undefined && filled === undefined && readings === undefined) return undefined
  const label = outcome === undefined ? 'It has an answer ready to fill in.' : (step.outcomes[outcome]?.label ?? '')
  return {
    says: fillText(answer.says ?? label, units),
    ...(outcome === undefined ? {} : { outcome }),
    ...(readings === undefined ? {} : { readings }),
    ...(filled === undefined ? {} : { form: filled }),
  }
}

/** A step with a single way on needs no line of its own. */
function onlyOutcome(at: Here, filled: boolean): string | undefined {
  const ways = Object.keys(at.step.outcomes).filter((name) => name !== 'not-done' && name !== 'otherwise')
  return ways.length === 1 && !filled ? ways[0] : undefined
}

function readingsOf(read: NonNullable<PracticeAnswer['read']>, now: number): NonNullable<Practice['readings']> {
  return Object.fromEntries(
    Object.entries(read).map(([name, series]) => {
      const typed = series.map(([minutesAgo, number, unit]): TypedReading => ({ typed: number, unit, at: now - minutesAgo * 60_000 }))
      const [first] = typed
      return [name, typed.length === 1 && first !== undefined ? { typed: first.typed, unit: first.unit } : typed]
    }),
  )
}

function formOf(form: NonNullable<StepView['form']>, answer: PracticeAnswer): Form | undefined {
  switch (form.form) {
    case 'pairs':
      return {
        form: 'pairs',
        tester_before: true,
        tester_after: true,
        volts: Object.fromEntries(
          form.places.flatMap(({ place, pairs }) => pairs.map((pair) => [`${place}:${pair}`, { typed: '0.0', unit: 'V' }])),
        ),
      }
    case 'checklist':
      return { form: 'checklist', ticked: [...form.items] }
    case 'facts':
      return { form: 'facts', facts: Object.fromEntries(form.facts.map(({ slug }) => [slug, factOf(slug, answer.facts?.[slug])])) }
    case 'settings':
      return answer.settings === undefined ? undefined : { form: 'settings', settings: { ...answer.settings } }
    case 'switches':
      return answer.switches === undefined
        ? form.old === undefined
          ? undefined
          : { form: 'switches', ...form.old }
        : { form: 'switches', ...answer.switches }
    case 'conductors':
      return answer.conductors === undefined ? undefined : { form: 'conductors', conductors: answer.conductors.map((one) => ({ ...one })) }
    case 'loads':
      return answer.loads === undefined ? undefined : { form: 'loads', loads: answer.loads.map((one) => ({ ...one })) }
    default:
      return {
        form: 'text',
        fields: Object.fromEntries(form.fields.map(({ name }) => [name, answer.fields?.[name] ?? 'invented for practice'])),
      }
  }
}

function factOf(slug: string, value: string | boolean | undefined): TypedReading | string | boolean | null {
  if (value === undefined) return null
  const isNumber = FACTS.find((fact) => fact.slug === slug)?.quantity !== undefined
  if (!isNumber || typeof value === 'boolean') return value
  const [typed = '', unit = '1'] = value.split(' ')
  return { typed, unit }
}
