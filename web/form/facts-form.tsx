// Facts about tub and shop: a number with its unit, a choice or a word each; "don't know" is always an answer.
// What is already known stands filled in.
import type { Form, StepView } from '#graphs/contract'
import type { Problem } from '../job/source.ts'
import { NumberField, TextField } from './field.tsx'
import { isAbout } from './readings-form.tsx'
import { Tick } from './tick.tsx'
import { useId } from 'preact/hooks'

type Facts = Extract<Form, { form: 'facts' }>
type Field = Extract<NonNullable<StepView['form']>, { form: 'facts' }>['facts'][number]
type Value = Facts['facts'][string]
type Props = {
  readonly fields: readonly Field[]
  readonly value: Facts
  readonly onChange: (value: Facts) => void
  readonly problem: Problem | undefined
}

export function FactsForm({ fields, value, onChange, problem }: Props) {
  return (
    <div class="facts">
      {fields.map((field) => (
        <FactField
          key={field.slug}
          field={field}
          value={value.facts[field.slug]}
          onChange={(next) => onChange({ ...value, facts: { ...value.facts, [field.slug]: next } })}
          problem={isAbout(problem, field.slug) ? problem?.message : undefined}
        />
      ))}
    </div>
  )
}

type FactProps = {
  readonly field: Field
  readonly value: Value | undefined
  readonly onChange: (value: Value) => void
  readonly problem: string | undefined
}

function FactField({ field, value, onChange, problem }: FactProps) {
  const isUnknown = value === null && !hasUnknown(field)
  const known = field.known === undefined ? undefined : `Known so far: ${field.known}. Leave it empty to keep that.`
  return (
    <div class="fact">
      {!isUnknown && <FactInput field={field} value={value} onChange={onChange} problem={problem} hint={known} />}
      {isUnknown && <p class="fact-question">{field.question}</p>}
      {!hasUnknown(field) && (
        <Tick checked={isUnknown} onChange={(checked) => onChange(checked ? null : '')}>
          Don’t know<span class="unseen">: {field.label}</span>
        </Tick>
      )}
    </div>
  )
}

/** A list that offers "not known" itself needs no second one. */
function hasUnknown(field: Field): boolean {
  return field.choices?.some((choice) => choice.value === 'unknown') ?? false
}

type InputProps = FactProps & { readonly hint: string | undefined }

function FactInput({ field, value, onChange, problem, hint }: InputProps) {
  if (field.choices !== undefined) return <Choices field={field} value={value} onChange={onChange} hint={hint} problem={problem} />
  if (field.quantity !== undefined) {
    const units = field.units ?? ['1']
    const typed = typeof value === 'object' && value !== null ? value : { typed: '', unit: units[0] ?? '1' }
    return (
      <NumberField
        label={field.question}
        value={typed.typed}
        unit={typed.unit}
        units={units}
        onInput={(next) => onChange({ ...typed, typed: next })}
        onUnit={(unit) => onChange({ ...typed, unit })}
        hint={hint}
        problem={problem}
      />
    )
  }
  return (
    <TextField
      label={field.question}
      value={typeof value === 'string' ? value : ''}
      onInput={onChange}
      hint={hint}
      problem={problem}
      most={500}
    />
  )
}

function Choices({ field, value, onChange, hint, problem }: InputProps) {
  const name = useId()
  const chosen = value === null ? 'unknown' : value
  return (
    <fieldset class="choices" aria-describedby={problem === undefined ? undefined : `${name}-problem`}>
      <legend>{field.question}</legend>
      {hint !== undefined && <p class="hint">{hint}</p>}
      {field.choices?.map((choice) => (
        <label key={String(choice.value)} class={choice.value === chosen ? 'tick chosen' : 'tick'}>
          <input type="radio" name={name} checked={choice.value === chosen} onChange={() => onChange(choice.value)} />
          <span>{choice.label}</span>
        </label>
      ))}
      {problem !== undefined && (
        <p id={`${name}-problem`} class="problem">
          {problem}
        </p>
      )}
    </fieldset>
  )
}
