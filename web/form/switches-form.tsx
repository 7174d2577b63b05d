// Configuration switches and jumpers: each one on, off or not there; the old board stands beside the new, differences are shouted.
// Whether they match is judged by the engine.
import type { Form, StepView } from '#graphs/contract'
import { TextField } from './field.tsx'
import { Segments } from './segments.tsx'

type Switches = Extract<Form, { form: 'switches' }>
type Field = Extract<NonNullable<StepView['form']>, { form: 'switches' }>
type Props = { readonly field: Field; readonly value: Switches; readonly onChange: (value: Switches) => void }
type Position = '1' | '0' | '-'

const MOST = 24
const POSITIONS = [
  { value: '1', label: 'On' },
  { value: '0', label: 'Off' },
  { value: '-', label: '–', spoken: 'not there or not read' },
] as const
const WORD: { readonly [position: string]: string } = { '1': 'on', '0': 'off', '-': 'not there' }

export function SwitchesForm({ field, value, onChange }: Props) {
  const positions = [...value.positions] as Position[]
  const set = (index: number, position: Position): void =>
    onChange({ ...value, positions: positions.map((one, other) => (other === index ? position : one)).join('') })
  const resize = (count: number): void => onChange({ ...value, positions: value.positions.padEnd(count, '-').slice(0, Math.max(0, Math.min(MOST, count))) })
  const differing = field.old === undefined ? [] : positions.flatMap((one, index) => (field.old?.positions[index] === one ? [] : [index + 1]))
  return (
    <div class="switches">
      {field.old !== undefined && <p class="hint">The old board is written beside each switch.</p>}
      <ol class="switch-list">
        {positions.map((position, index) => (
          <SwitchLine key={index} number={index + 1} position={position} old={field.old?.positions[index]} onChange={(next) => set(index, next)} />
        ))}
      </ol>
      <div class="row-buttons">
        <button type="button" class="small" disabled={positions.length >= MOST} onClick={() => resize(positions.length + 1)}>
          One switch more
        </button>
        {positions.length === 0 && (
          <button type="button" class="small" onClick={() => resize(8)}>
            Eight switches
          </button>
        )}
        {positions.length > 0 && (
          <button type="button" class="small" onClick={() => resize(positions.length - 1)}>
            One fewer
          </button>
        )}
      </div>
      <TextField
        label="Jumpers: which pins are joined"
        value={value.jumpers}
        onInput={(jumpers) => onChange({ ...value, jumpers })}
        hint={field.old === undefined ? 'None: write "none".' : `Old board: ${field.old.jumpers === '' ? 'nothing written' : field.old.jumpers}`}
      />
      {field.old !== undefined && (
        <p class={differing.length === 0 ? 'progress' : 'shout'} role="status">
          <strong>{differing.length === 0 ? 'All switches are as on the old board.' : `Different: switch ${differing.join(', ')}.`}</strong>
        </p>
      )}
    </div>
  )
}

type LineProps = { readonly number: number; readonly position: Position; readonly old: string | undefined; readonly onChange: (position: Position) => void }

function SwitchLine({ number, position, old, onChange }: LineProps) {
  const isDifferent = old !== undefined && old !== position
  return (
    <li class={isDifferent ? 'switch different' : 'switch'}>
      <span class="number">{number}</span>
      {old !== undefined && (
        <span class="old">
          old {WORD[old] ?? old} {isDifferent && <strong>≠</strong>}
        </span>
      )}
      <Segments legend={`Switch ${number}`} segments={POSITIONS} value={position} onChange={onChange} />
    </li>
  )
}
