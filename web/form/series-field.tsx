// A series: one reading after another with its time, what is still missing, and the running rate.
// How far it has come is series.ts.
import { useState } from 'preact/hooks'
import type { StepView, TypedReading } from '#graphs/contract'
import { useNow } from '../job/use-source.ts'
import { clock, timeLeft } from '../job/words.ts'
import { NumberField } from './field.tsx'
import { progressOf, runningRate } from './series.ts'
import { unitLabel } from './unit.ts'

type Props = {
  readonly field: StepView['readings'][number]
  readonly series: NonNullable<StepView['readings'][number]['series']>
  readonly value: readonly TypedReading[]
  readonly onChange: (value: readonly TypedReading[]) => void
  readonly problem: string | undefined
}

export function SeriesField({ field, series, value, onChange, problem }: Props) {
  const [typed, setTyped] = useState('')
  const [unit, setUnit] = useState(value.at(-1)?.unit ?? field.units[0] ?? '')
  const [missing, setMissing] = useState<string>()
  const add = (): void => {
    if (typed.trim() === '') return setMissing('Type the reading first.')
    setMissing(undefined)
    onChange([
      ...value,
      { typed: typed.trim(), unit, at: Date.now(), ...(field.instrument === undefined ? {} : { instrument: field.instrument }) },
    ])
    setTyped('')
  }
  return (
    <div class="series">
      {value.length > 0 && (
        <ol class="series-list" aria-label={`Readings of ${field.label} so far`}>
          {value.map((one, index) => (
            <li key={index}>
              <span class="number">{one.at === undefined ? '' : clock(one.at)}</span>
              <span class="number">
                {one.typed} {unitLabel(one.unit)}
              </span>
              <button type="button" class="small" onClick={() => onChange(value.filter((_, other) => other !== index))}>
                remove<span class="unseen"> reading {index + 1}</span>
              </button>
            </li>
          ))}
        </ol>
      )}
      <SeriesProgress series={series} value={value} />
      <NumberField
        label={`${field.label}, now`}
        value={typed}
        onInput={setTyped}
        unit={unit}
        units={field.units}
        onUnit={setUnit}
        problem={missing ?? problem}
      />
      <button type="button" class="second" onClick={add}>
        Add this reading
      </button>
    </div>
  )
}

function SeriesProgress({ series, value }: Pick<Props, 'series' | 'value'>) {
  const now = useNow(1000)
  const progress = progressOf(series, value)
  const rate = runningRate(value)
  const due = progress.next === undefined ? undefined : progress.next - now
  return (
    <div class="progress">
      <p>
        <strong>
          {progress.isStopped
            ? `Hot enough. Record the series now, with ${progress.have} readings.`
            : `${progress.have} of ${progress.least} readings, ${progress.minutes} of ${progress.span} min${progress.isEnough ? ': enough to record' : ''}`}
        </strong>
      </p>
      {due !== undefined && (
        <p>
          {due > 0 ? (
            <>
              Next one in <span class="number">{timeLeft(due)}</span>
            </>
          ) : (
            'Read the next one now.'
          )}
        </p>
      )}
      {rate !== undefined && (
        <p>
          So far{' '}
          <span class="number">
            {rate.perHour >= 0 ? '+' : '−'}
            {Math.abs(rate.perHour).toFixed(1)} {unitLabel(rate.unit)}/h
          </span>
        </p>
      )}
    </div>
  )
}
