// The controls by which a step is answered: its outcomes as buttons, its readings, its form, or the end of a wait.
// What was typed stays until the answer was taken.
import type { ComponentChildren } from 'preact'
import type { StepView } from '#graphs/contract'
import { readingsOf } from '../form/draft.ts'
import type { Draft } from '../form/draft.ts'
import { isAbout, ReadingsForm, submitWords } from '../form/readings-form.tsx'
import { formToSend, RecordForm } from '../form/record-form.tsx'
import { useNow } from '../job/use-source.ts'
import type { Answer, Problem } from '../job/source.ts'
import { clock, timeLeft } from '../job/words.ts'
import { Doubt } from './doubt.tsx'

export type ControlProps = {
  readonly step: StepView
  readonly draft: Draft
  readonly setDraft: (draft: Draft) => void
  readonly problem: Problem | undefined
  readonly answer: (answer: Answer) => void
  /** The outcome that stands, when a past answer is changed. */
  readonly stands?: string | undefined
  readonly withKeys: boolean
}

export function Controls(props: ControlProps) {
  const { step, draft, setDraft, problem } = props
  const hasFields = step.readings.length > 0 || step.form !== undefined
  if (!hasFields) {
    return (
      <>
        {step.kind === 'wait' && step.until !== undefined && <WaitClock until={step.until} meanwhile={step.meanwhile ?? []} />}
        <ProblemLine problem={problem} />
        <Outcomes {...props} />
      </>
    )
  }
  // A form beside answers to pick is a note that goes along with whichever is picked.
  const isRecorded = step.kind === 'record' || step.readings.length > 0
  const fill = (answer: Answer): Answer => ({
    ...answer,
    ...(step.readings.length === 0 ? {} : { readings: readingsOf(step, draft) }),
    ...(draft.form === undefined ? {} : { form: formToSend(draft.form) }),
  })
  return (
    <form
      class="fields"
      noValidate
      onSubmit={(event) => {
        event.preventDefault()
        if (isRecorded) props.answer(fill({}))
      }}
    >
      <fieldset>
        <legend class="unseen">{step.title}</legend>
        {step.readings.length > 0 && (
          <ReadingsForm step={step} readings={draft.readings} problem={problem} onChange={(readings) => setDraft({ ...draft, readings })} />
        )}
        {step.form !== undefined && (
          <RecordForm field={step.form} value={draft.form} problem={problem} onChange={(form) => setDraft({ ...draft, form })} />
        )}
      </fieldset>
      <Doubt step={step} draft={draft} setDraft={setDraft} problem={problem} answer={props.answer} fill={fill} />
      <ProblemLine problem={problem} isBesideField={step.readings.some((field) => isAbout(problem, field.name))} />
      {isRecorded && (
        <button type="submit" class="main">
          {step.readings.length > 0 ? submitWords(step) : 'Record'}
        </button>
      )}
      {isRecorded && step.outcomes.length > 0 && <p class="or">or</p>}
      <Outcomes {...props} fill={step.form === undefined ? undefined : fill} />
    </form>
  )
}

function ProblemLine({ problem, isBesideField = false }: { readonly problem: Problem | undefined; readonly isBesideField?: boolean }) {
  const isShown = problem !== undefined && problem.code !== 'CALC_READING_DOUBTFUL'
  return (
    <div role="alert">
      {isShown && (
        <p class={isBesideField ? 'problem again' : 'problem'}>
          <strong>Not recorded.</strong> {problem.message}
        </p>
      )}
    </div>
  )
}

type OutcomeProps = ControlProps & { readonly fill?: ((answer: Answer) => Answer) | undefined }

function Outcomes({ step, answer, fill, stands, withKeys }: OutcomeProps) {
  const now = useNow(1000)
  if (step.outcomes.length === 0) return null
  const isEarly = step.kind === 'wait' && step.until !== undefined && now < step.until
  return (
    <fieldset class="outcomes">
      <legend class="unseen">{step.title}</legend>
      {step.outcomes.map(({ outcome, label }, index) => (
        <OutcomeButton
          key={outcome}
          label={isEarly ? `${label}, from ${clock(step.until ?? now)} on` : label}
          isEarly={isEarly}
          mark={outcome === stands ? 'stands now' : label === step.before ? 'as before' : undefined}
          number={withKeys && index < 9 ? index + 1 : undefined}
          press={() => answer(fill === undefined ? { outcome } : fill({ outcome }))}
        />
      ))}
    </fieldset>
  )
}

type ButtonProps = {
  readonly label: ComponentChildren
  readonly isEarly: boolean
  readonly mark: string | undefined
  readonly number: number | undefined
  readonly press: () => void
}

function OutcomeButton({ label, isEarly, mark, number, press }: ButtonProps) {
  return (
    <button
      type="button"
      class="outcome"
      aria-disabled={isEarly ? true : undefined}
      aria-keyshortcuts={number?.toString()}
      onClick={() => !isEarly && press()}
    >
      <span>{label}</span>
      {mark !== undefined && <span class="tag">{mark}</span>}
      {number !== undefined && (
        <kbd aria-hidden="true" class="key-number">
          {number}
        </kbd>
      )}
    </button>
  )
}

function WaitClock({ until, meanwhile }: { readonly until: number; readonly meanwhile: readonly string[] }) {
  const now = useNow(1000)
  const left = until - now
  return (
    <>
      <p class="wait" role="timer">
        {left > 0 ? (
          <>
            <span class="wait-left number">{timeLeft(left)}</span> left, until <span class="number">{clock(until)}</span>
          </>
        ) : (
          <strong>The time is over.</strong>
        )}
      </p>
      {left > 0 && meanwhile.length > 0 && <p class="hint">Meanwhile: {meanwhile.join('. ')}.</p>}
    </>
  )
}
