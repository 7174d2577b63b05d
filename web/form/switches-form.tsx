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
  const resize = (count: number): void =>
    onChange({ ...value, positions: value.positions.padEnd(count, '-').slice(0, Math.max(0, Math.min(MOST, count))) })
  const numbers = (is: (position: Position, old: string | undefined) => boolean): number[] =>
    field.old === undefined ? [] : positions.flatMap((one, index) => (is(one, field.old?.positions[index]) ? [index + 1] : []))
  const differing = numbers(isDifferent)
  const open = numbers(isOpen)
  return (
    <div class="switches">
      {field.old !== undefined && <p class="hint">The old board is written beside each switch.</p>}
      <ol class="switch-list">
        {positions.map((position, index) => (
          <SwitchLine
            key={index}
            number={index + 1}
            position={position}
            old={field.old?.positions[index]}
            onChange={(next) => set(index, next)}
          />
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
        hint={
          field.old === undefined ? 'None: write "none".' : `Old board: ${field.old.jumpers === '' ? 'nothing written' : field.old.jumpers}`
        }
      />
      {field.old !== undefined && <Comparison differing={differing} open={open} />}
    </div>
  )
}

/** Not set yet is no difference: nothing is shouted before somebody has read the new board. */
function isOpen(position: Position, old: string | undefined): boolean {
  return old !== undefined && old !== '-' && position === '-'
}

function isDifferent(position: Position, old: string | undefined): boolean {
  return old !== undefined && old !== position && !isOpen(position, old)
}

function Comparison({ differing, open }: { readonly differing: readonly number[]; readonly open: readonly number[] }) {
  const words =
    differing.length > 0
      ? `Different: switch ${differing.join(', ')}.`
      : open.length > 0
        ? `Still to set: switch ${open.join(', ')}.`
        : 'All switches are as on the old board.'
  return (
    <p class={differing.length > 0 ? 'shout' : 'progress'} role="status">
      <strong>{words}</strong>
    </p>
  )
}

type LineProps = {
  readonly number: number
  readonly position: Position
  readonly old: string | undefined
  readonly onChange: (position: Position) => void
}

function SwitchLine({ number, position, old, onChange }: LineProps) {
  const differs = isDifferent(position, old)
  const isUnset = isOpen(position, old)
  return (
    <li class={`switch${differs ? ' different' : ''}${isUnset ? ' open' : ''}`}>
      <span class="number">{number}</span>
      {old !== undefined && (
        <span class="old">
          old {WORD[old] ?? old} {differs && <strong>≠ different</strong>}
        </span>
      )}
      <Segments legend={`Switch ${number}`} segments={POSITIONS} value={isUnset ? undefined : position} onChange={onChange} />
    </li>
  )
}
