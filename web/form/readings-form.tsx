// The readings of a step: numbers with their units, or a series.
// They are judged by the engine when they are recorded.
import type { StepView, TypedReading } from '#graphs/contract'
import type { Problem } from '../job/source.ts'
import { blankReading } from './draft.ts'
import type { Draft } from './draft.ts'
import { NumberField } from './field.tsx'
import { SeriesField } from './series-field.tsx'

type Props = {
  readonly step: Pick<StepView, 'readings'>
  readonly readings: Draft['readings']
  readonly onChange: (readings: Draft['readings']) => void
  readonly problem: Problem | undefined
}

export function ReadingsForm({ step, readings, onChange, problem }: Props) {
  const set = (name: string, value: readonly TypedReading[]): void => onChange({ ...readings, [name]: value })
  return (
    <>
      {step.readings.map((field) => {
        const value = readings[field.name] ?? []
        const own = isAbout(problem, field.name) ? problem?.message : undefined
        if (field.series !== undefined) {
          return (
            <SeriesField
              key={field.name}
              field={field}
              series={field.series}
              value={value}
              problem={own}
              onChange={(next) => set(field.name, next)}
            />
          )
        }
        const one = value[0] ?? blankReading(field)
        return (
          <NumberField
            key={field.name}
            label={field.optional ? `${field.label} (if you have it)` : field.label}
            value={one.typed}
            onInput={(typed) => set(field.name, [{ ...one, typed }])}
            unit={one.unit}
            units={field.units}
            onUnit={(unit) => set(field.name, [{ ...one, unit }])}
            withOpen={field.quantity === 'resistance'}
            problem={own}
          />
        )
      })}
    </>
  )
}

export function isAbout(problem: Problem | undefined, name: string): boolean {
  if (problem?.path === undefined) return false
  return problem.path === name || problem.path.split('.').includes(name)
}

export function submitWords(step: Pick<StepView, 'readings'>): string {
  if (step.readings.some((field) => field.series !== undefined)) return 'Record the series'
  if (step.readings.length <= 1) return 'Record'
  return step.readings.length === 2 ? 'Record both' : `Record all ${step.readings.length}`
}
