// The present step: what it is, how it is done, why, the hazard, and the controls.
// The same card, without the typed line, changes an answer that stands in the log.
import { useRef, useState } from 'preact/hooks'
import type { RefObject } from 'preact'
import type { JobView, StepView } from '#graphs/contract'
import { draftOf, dropDraft, emptyDraft, keepDraft, recallDraft } from '../form/draft.ts'
import type { Draft } from '../form/draft.ts'
import type { Answer, Parked, Problem, Sent } from '../job/source.ts'
import { KIND, unbroken } from '../job/words.ts'
import type { Filled } from '../typed/match.ts'
import { Controls } from './controls.tsx'
import { isGuarded } from './guard.ts'
import { HazardPanel } from './hazard.tsx'
import { useNumberKeys } from './number-keys.ts'
import { NotDone } from './not-done.tsx'
import { isSecondTap } from './second-tap.ts'
import { TypedLine } from './typed-line.tsx'

type Props = {
  readonly step: StepView
  readonly view: Pick<JobView, 'not_done' | 'part' | 'job'>
  readonly send: (answer: Answer) => Promise<Sent>
  readonly askRed: (words: string) => void
  readonly heading: RefObject<HTMLHeadingElement | null>
  /** An answer that stands, to be changed; without it the step is answered for the first time. */
  readonly before?: Answer
  /** An answer to this step that the server did not take: said here, with what was typed. */
  readonly refused?: Parked | undefined
  /** Questions are read to somebody on the phone. */
  readonly aloud: boolean
  /** A homeowner reads it: kinds of steps are words of the trade. */
  readonly atHome?: boolean
}

export function StepCard({ step, view, send, askRed, heading, before, refused, aloud, atHome = false }: Props) {
  const isChange = before !== undefined
  const [draft, setDraftState] = useState<Draft>(() =>
    isChange
      ? draftOf(step, before)
      : (recallDraft(view.job, step.place) ?? (refused?.given === undefined ? emptyDraft(step) : draftOf(step, refused.given.answer))),
  )
  const [problem, setProblem] = useState<Problem | undefined>(refused?.problem)
  const [isNotDoneOpen, setNotDoneOpen] = useState(false)
  const busyRef = useRef(false)
  const guarded = isGuarded(step, view.part)
  const setDraft = (next: Draft): void => {
    setDraftState(next)
    if (!isChange) keepDraft(view.job, step.place, next)
  }
  const answer = async (given: Answer): Promise<void> => {
    if (busyRef.current || isSecondTap()) return
    busyRef.current = true
    const sent = await send(given)
    busyRef.current = false
    setProblem(sent.ok ? undefined : sent.problem)
    if (sent.ok && !isChange) dropDraft(view.job)
  }
  const press = (given: Answer): void => void answer(given)
  const fill = (filled: readonly Filled[]): void =>
    setDraft({ ...draft, readings: { ...draft.readings, ...filledReadings(step, draft, filled) } })
  const hasFields = step.readings.length > 0 || step.form !== undefined
  const withKeys = !isChange && !guarded && !hasFields
  useNumberKeys(withKeys ? step.outcomes : [], (outcome) => press({ outcome }))
  return (
    <>
      <StepHead step={step} heading={heading} aloud={aloud} atHome={atHome} />
      {step.practice !== undefined && !isChange && (
        <PracticeAnswer practice={step.practice} answer={press} fill={(given) => setDraft(draftOf(step, given))} />
      )}
      <Controls
        step={step}
        draft={draft}
        setDraft={setDraft}
        problem={problem}
        answer={press}
        stands={before?.outcome}
        withKeys={withKeys}
      />
      {step.can_not_do && <NotDone reasons={view.not_done} open={isNotDoneOpen} setOpen={setNotDoneOpen} answer={press} />}
      {!isChange && (
        <TypedLine step={step} guarded={guarded} answer={press} fill={fill} cannot={() => setNotDoneOpen(true)} askRed={askRed} />
      )}
    </>
  )
}

/** Typed numbers go into their fields; a series gets one reading more, with the time now. */
function filledReadings(step: StepView, draft: Draft, filled: readonly Filled[]): Draft['readings'] {
  return Object.fromEntries(
    filled.map(({ name, typed, unit }) => {
      const field = step.readings.find((one) => one.name === name)
      const reading = { typed, unit, ...(field?.instrument === undefined ? {} : { instrument: field.instrument }) }
      return [name, field?.series === undefined ? [reading] : [...(draft.readings[name] ?? []), { ...reading, at: Date.now() }]]
    }),
  )
}

type HeadProps = Pick<Props, 'step' | 'heading' | 'aloud'> & { readonly atHome: boolean }

function StepHead({ step, heading, aloud, atHome }: HeadProps) {
  return (
    <>
      <p class="meta">{[atHome ? `about ${step.minutes} min` : `${KIND[step.kind]} · ${step.minutes} min`, ...step.tools].join(' · ')}</p>
      <h2 ref={heading} tabIndex={-1}>
        {step.title}
      </h2>
      {step.before !== undefined && (
        <p class="before">
          Found before: <strong>{step.before}</strong>. Still so?
        </p>
      )}
      {aloud && step.aloud !== undefined && <AskAloud words={step.aloud} />}
      {step.says.length > 0 && (
        <ol class="says">
          {step.says.map((line, index) => (
            <li key={index}>{unbroken(line)}</li>
          ))}
        </ol>
      )}
      {step.why !== '' && <p class="why">{step.why}</p>}
      {step.starts !== undefined && (
        <p class="starts">
          <strong>This starts: {step.starts}.</strong>
          {step.hazard === undefined && ' Hands and hair clear, nobody in the water.'}
        </p>
      )}
      {step.hazard !== undefined && <HazardPanel hazard={step.hazard} />}
    </>
  )
}

type PracticeProps = {
  readonly practice: NonNullable<StepView['practice']>
  readonly answer: (answer: Answer) => void
  readonly fill: (answer: Answer) => void
}

/** On a practice job the tub cannot be looked at: it says here what it shows. Fields are filled in, then looked at and recorded. */
function PracticeAnswer({ practice, answer, fill }: PracticeProps) {
  const { says, ...given } = practice
  const isPicked = given.outcome !== undefined
  return (
    <div class="practice">
      <p>
        <strong>The invented practice tub:</strong> {says}
      </p>
      <button type="button" class="second" onClick={() => (isPicked ? answer(given) : fill(given))}>
        {isPicked ? 'Give this answer' : 'Fill it in'}
      </button>
    </div>
  )
}

function AskAloud({ words }: { readonly words: string }) {
  return (
    <div class="aloud">
      <p class="hint">Ask, in these words</p>
      <p class="aloud-words">“{words}”</p>
    </div>
  )
}
