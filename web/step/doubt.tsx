// A number that does not fit is asked about: another unit, or meant as it stands. Nothing is corrected silently.
// What is doubtful is said by the engine.
import type { StepView, TypedReading } from '#graphs/contract'
import type { Draft } from '../form/draft.ts'
import { isAbout } from '../form/readings-form.tsx'
import { unitLabel } from '../form/unit.ts'
import type { Answer, Problem } from '../job/source.ts'

type Props = {
  readonly step: StepView
  readonly draft: Draft
  readonly setDraft: (draft: Draft) => void
  readonly problem: Problem | undefined
  readonly answer: (answer: Answer) => void
  /** The answer with all that is typed. */
  readonly fill: (answer: Answer) => Answer
}

export function Doubt({ step, draft, setDraft, problem, answer, fill }: Props) {
  const isDoubtful = problem?.code === 'CALC_READING_DOUBTFUL'
  const field = isDoubtful ? step.readings.find((one) => isAbout(problem, one.name)) : undefined
  const typed = field === undefined || field.series !== undefined ? undefined : draft.readings[field.name]?.[0]
  const others = typed === undefined ? [] : (field?.units ?? []).filter((unit) => unit !== typed.unit)
  const change = (unit: string): void => {
    if (field === undefined || typed === undefined) return
    const readings = { ...draft.readings, [field.name]: [{ ...typed, unit }] }
    setDraft({ ...draft, readings })
    answer({ ...fill({}), readings: sentReadings(fill({}).readings, field.name, { ...typed, unit }) })
  }
  return (
    <div role="alert">
      {isDoubtful && (
        <div class="doubt">
          <p>
            <strong>{typed === undefined ? 'Look again.' : `${typed.typed} ${unitLabel(typed.unit)}?`}</strong> {problem.message}
          </p>
          {others.map((unit) => (
            <button key={unit} type="button" class="second" onClick={() => change(unit)}>
              Use {unitLabel(unit)}
            </button>
          ))}
          <button type="button" class="second" onClick={() => answer({ ...fill({}), sure: true })}>
            It is meant as it stands
          </button>
        </div>
      )}
    </div>
  )
}

function sentReadings(sent: Answer['readings'], name: string, reading: TypedReading): NonNullable<Answer['readings']> {
  return { ...sent, [name]: reading }
}
