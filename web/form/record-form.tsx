// The form of a recording step, whichever it is.
// Each form stands in a file of its own.
import type { Form, StepView } from '#graphs/contract'
import type { Problem } from '../job/source.ts'
import { FactsForm } from './facts-form.tsx'
import { TextField } from './field.tsx'
import { PairsForm } from './pairs-form.tsx'
import { ConductorsForm, LoadsForm } from './rows-form.tsx'
import { SettingsForm } from './settings-form.tsx'
import { SwitchesForm } from './switches-form.tsx'
import { Tick } from './tick.tsx'

type Props = {
  readonly field: NonNullable<StepView['form']>
  readonly value: Form | undefined
  readonly onChange: (value: Form) => void
  readonly problem: Problem | undefined
}

export function RecordForm({ field, value, onChange, problem }: Props) {
  if (field.form === 'facts' && value?.form === 'facts')
    return <FactsForm fields={field.facts} value={value} onChange={onChange} problem={problem} />
  if (field.form === 'pairs' && value?.form === 'pairs')
    return <PairsForm field={field} value={value} onChange={onChange} problem={problem} />
  if (field.form === 'switches' && value?.form === 'switches') return <SwitchesForm field={field} value={value} onChange={onChange} />
  if (field.form === 'conductors' && value?.form === 'conductors') return <ConductorsForm value={value} onChange={onChange} />
  if (field.form === 'loads' && value?.form === 'loads') return <LoadsForm value={value} onChange={onChange} />
  if (field.form === 'settings' && value?.form === 'settings') return <SettingsForm field={field} value={value} onChange={onChange} />
  if (field.form === 'checklist' && value?.form === 'checklist') {
    return (
      <div class="rows">
        {field.items.map((item) => (
          <Tick
            key={item}
            checked={value.ticked.includes(item)}
            onChange={(checked) =>
              onChange({ ...value, ticked: checked ? [...value.ticked, item] : value.ticked.filter((one) => one !== item) })
            }
          >
            {item}
          </Tick>
        ))}
      </div>
    )
  }
  if (field.form === 'text' && value?.form === 'text') {
    return (
      <div class="rows">
        {field.fields.map(({ name, label }) => (
          <TextField
            key={name}
            label={label}
            value={value.fields[name] ?? ''}
            onInput={(text) => onChange({ ...value, fields: { ...value.fields, [name]: text } })}
            most={2000}
            lines={2}
          />
        ))}
      </div>
    )
  }
  return null
}

/** What is sent: empty lines and untouched facts are left out. */
export function formToSend(form: Form): Form {
  switch (form.form) {
    case 'facts':
      return { ...form, facts: Object.fromEntries(Object.entries(form.facts).filter(([, value]) => !isUntouched(value))) }
    case 'conductors':
      return { ...form, conductors: form.conductors.filter((one) => one.from.trim() !== '' && one.to.trim() !== '').map(withoutEmptyMeter) }
    case 'loads':
      return { ...form, loads: form.loads.filter((one) => one.load.trim() !== '') }
    case 'settings':
      return { ...form, settings: Object.fromEntries(Object.entries(form.settings).filter(([, text]) => text.trim() !== '')) }
    case 'text':
      return { ...form, fields: Object.fromEntries(Object.entries(form.fields).filter(([, text]) => text.trim() !== '')) }
    case 'pairs':
      return { ...form, volts: Object.fromEntries(Object.entries(form.volts).filter(([, one]) => one.typed.trim() !== '')) }
    default:
      return form
  }
}

type FactValue = Extract<Form, { form: 'facts' }>['facts'][string]

function isUntouched(value: FactValue): boolean {
  return value === '' || (typeof value === 'object' && value !== null && value.typed.trim() === '')
}

type Conductor = Extract<Form, { form: 'conductors' }>['conductors'][number]

function withoutEmptyMeter({ meter, ...rest }: Conductor): Conductor {
  return meter === undefined || meter.trim() === '' ? rest : { ...rest, meter }
}
