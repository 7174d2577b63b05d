// The settings of the tub as found or as left; what was found stands beside what is left.
// Values are kept as the display shows them.
import type { Form, StepView } from '#graphs/contract'
import { TextField } from './field.tsx'

type Settings = Extract<Form, { form: 'settings' }>
type Field = Extract<NonNullable<StepView['form']>, { form: 'settings' }>
type Props = { readonly field: Field; readonly value: Settings; readonly onChange: (value: Settings) => void }

const LINES = [
  { name: 'set-point', label: 'Set point' },
  { name: 'heating-mode', label: 'Heating mode' },
  { name: 'filtration', label: 'Filter times and hours a day' },
  { name: 'clock', label: 'Clock' },
  { name: 'lock', label: 'Locked buttons or limited range' },
  { name: 'schedule', label: 'Schedule from a phone or timer' },
] as const

export function SettingsForm({ field, value, onChange }: Props) {
  const found = field.which === 'left' ? (field.found ?? {}) : undefined
  const set = (name: string, text: string): void => onChange({ ...value, settings: { ...value.settings, [name]: text } })
  const more = Object.keys(found ?? {}).filter((name) => !LINES.some((line) => line.name === name))
  const lines = [...LINES, ...more.map((name) => ({ name, label: name.replaceAll('-', ' ') }))]
  return (
    <div class="rows">
      {lines.map(({ name, label }) => {
        const before = found?.[name]
        return (
          <div key={name} class="setting">
            <TextField
              label={label}
              value={value.settings[name] ?? ''}
              onInput={(text) => set(name, text)}
              most={120}
              hint={before === undefined || before === '' ? undefined : `Found: ${before}`}
            />
            {before !== undefined && before !== '' && (
              <button type="button" class="small" onClick={() => set(name, before)}>
                as found<span class="unseen">: {label}</span>
              </button>
            )}
          </div>
        )
      })}
    </div>
  )
}
