// One line of text or one number with its label, its unit and what is wrong with it.
// What was typed stays as it was typed.
import { useId } from 'preact/hooks'
import { Segments } from './segments.tsx'
import { unitLabel, unitSpoken } from './unit.ts'

type TextProps = {
  readonly label: string
  readonly value: string
  readonly onInput: (value: string) => void
  readonly hint?: string | undefined
  readonly problem?: string | undefined
  readonly mode?: 'text' | 'decimal'
  readonly most?: number
  readonly lines?: number
}

export function TextField({ label, value, onInput, hint, problem, mode = 'text', most = 200, lines = 1 }: TextProps) {
  const id = useId()
  const described = [hint === undefined ? '' : `${id}-hint`, problem === undefined ? '' : `${id}-problem`].filter(Boolean).join(' ')
  const shared = {
    id,
    value,
    maxLength: most,
    'aria-invalid': problem === undefined ? undefined : true,
    'aria-describedby': described === '' ? undefined : described,
  } as const
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {hint !== undefined && (
        <p id={`${id}-hint`} class="hint">
          {hint}
        </p>
      )}
      {lines > 1 ? (
        <textarea {...shared} rows={lines} onInput={(event) => onInput(event.currentTarget.value)} />
      ) : (
        <input {...shared} type="text" inputMode={mode} autoComplete="off" onInput={(event) => onInput(event.currentTarget.value)} />
      )}
      {problem !== undefined && (
        <p id={`${id}-problem`} class="problem">
          {problem}
        </p>
      )}
    </div>
  )
}

type NumberProps = Omit<TextProps, 'mode' | 'lines'> & {
  readonly unit: string
  readonly units: readonly string[]
  readonly onUnit: (unit: string) => void
  readonly withOpen?: boolean
}

export function NumberField({ unit, units, onUnit, withOpen = false, ...text }: NumberProps) {
  return (
    <div class="number">
      <TextField {...text} mode="decimal" most={64} />
      {units.length > 1 ? (
        <Segments
          legend={`Unit of ${text.label}`}
          value={unit}
          onChange={onUnit}
          segments={units.map((one) => ({ value: one, label: unitLabel(one), spoken: unitSpoken(one) }))}
        />
      ) : (
        unitLabel(unit) !== '' && <span class="unit">{unitLabel(unit)}</span>
      )}
      {withOpen && (
        <button type="button" class="quick" onClick={() => text.onInput('OL')}>
          OL<span class="unseen"> for {text.label}: the meter shows open</span>
        </button>
      )}
    </div>
  )
}
