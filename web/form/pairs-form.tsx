// Proof of dead: the tester proved before, every pair at every place, the tester proved again after.
// Three volts or more are shouted at once; what they mean is judged by the engine.
import type { Form, StepView } from '#graphs/contract'
import type { Problem } from '../job/source.ts'
import { TextField } from './field.tsx'
import { isAbout } from './readings-form.tsx'
import { numberOf } from './series.ts'
import { Tick } from './tick.tsx'

type Pairs = Extract<Form, { form: 'pairs' }>
type Field = Extract<NonNullable<StepView['form']>, { form: 'pairs' }>
type Props = {
  readonly field: Field
  readonly value: Pairs
  readonly onChange: (value: Pairs) => void
  readonly problem: Problem | undefined
}

const VOLTS_THAT_STOP = 3

export function PairsForm({ field, value, onChange, problem }: Props) {
  const isFilled = (name: string): boolean => (value.volts[name]?.typed ?? '').trim() !== ''
  const asked = field.places.filter((one) => one.needed || one.pairs.some((pair) => isFilled(`${one.place}:${pair}`)))
  const names = asked.flatMap(({ place, pairs }) => pairs.map((pair) => `${place}:${pair}`))
  const left = names.filter((name) => !isFilled(name)).length
  const set = (name: string, typed: string): void => onChange({ ...value, volts: { ...value.volts, [name]: { typed, unit: 'V' } } })
  const shared = { value, set, problem }
  const further = field.places.filter((one) => !one.needed)
  return (
    <div class="pairs">
      <Tick checked={value.tester_before} onChange={(tester_before) => onChange({ ...value, tester_before })}>
        Before: the tester showed voltage on a known live source.
      </Tick>
      {field.places.map((one) => one.needed && <PlaceLines key={one.place} one={one} {...shared} />)}
      {further.length > 0 && (
        <details class="further" open={further.some((one) => asked.includes(one))}>
          <summary>Prove further places in the same go</summary>
          <p class="hint">Hands go there later? Every pair of a place, or none of it.</p>
          {further.map((one) => (
            <PlaceLines key={one.place} one={one} {...shared} />
          ))}
        </details>
      )}
      <Tick checked={value.tester_after} onChange={(tester_after) => onChange({ ...value, tester_after })}>
        After: the tester showed voltage on the known live source again.
      </Tick>
      <p class="progress">
        <strong>{left === 0 ? `All ${names.length} pairs are written.` : `${left} of ${names.length} pairs still to measure.`}</strong>
      </p>
    </div>
  )
}

type PlaceProps = {
  readonly one: Field['places'][number]
  readonly value: Pairs
  readonly set: (name: string, typed: string) => void
  readonly problem: Problem | undefined
}

function PlaceLines({ one: { place, label, pairs }, value, set, problem }: PlaceProps) {
  return (
    <fieldset class="place">
      <legend>{label}</legend>
      {pairs.map((pair) => {
        const name = `${place}:${pair}`
        return (
          <PairLine
            key={name}
            pair={pair}
            place={label}
            typed={value.volts[name]?.typed ?? ''}
            onInput={(next) => set(name, next)}
            problem={isAbout(problem, name) ? problem?.message : undefined}
          />
        )
      })}
    </fieldset>
  )
}

type LineProps = {
  readonly pair: string
  readonly place: string
  readonly typed: string
  readonly onInput: (typed: string) => void
  readonly problem: string | undefined
}

function PairLine({ pair, place, typed, onInput, problem }: LineProps) {
  const isLive = isVoltage(typed)
  return (
    <div class={isLive ? 'pair live' : 'pair'}>
      <div class="pair-row">
        <TextField label={`${pair} V`} value={typed} onInput={onInput} mode="decimal" most={16} problem={problem} />
        <button type="button" class="quick" onClick={() => onInput('0.0')}>
          0.0
          <span class="unseen">
            {' '}
            volts at {place}, {pair}
          </span>
        </button>
      </div>
      <div role="alert">
        {isLive && (
          <p class="shout">
            <strong>
              STOP. {typed} V between {pair}.
            </strong>{' '}
            It is live. Hands away. Record it as it is.
          </p>
        )}
      </div>
    </div>
  )
}

/** Anything with a number of three or more, or millivolts aside: better shouted once too often. */
function isVoltage(typed: string): boolean {
  const number = numberOf(typed)
  return number !== undefined && Math.abs(number) >= VOLTS_THAT_STOP
}
