// What a homeowner sees: the question, their own answers above it, the red flags, and the ending in their words.
// No power state, no readings of others, no staff buttons.
import { useRef, useState } from 'preact/hooks'
import type { RefObject } from 'preact'
import type { Command, JobView, StepView, TrailItem } from '#graphs/contract'
import { TextField } from '../form/field.tsx'
import { newId } from '../job/device.ts'
import type { Answer, JobSource, Past, Sent, Snapshot } from '../job/source.ts'
import { useSource } from '../job/use-source.ts'
import { Ended } from '../log/ended.tsx'
import { Notices } from '../log/notices.tsx'
import { UndoBar } from '../log/undo-bar.tsx'
import type { Done } from '../log/undo-bar.tsx'
import { ChangeSheet } from '../sheet/change-sheet.tsx'
import { StopSheet } from '../sheet/stop-sheet.tsx'
import { StepCard } from '../step/card.tsx'
import { useStepFocus } from '../step/focus.ts'

type Props = { readonly source: JobSource; readonly token: string }

export function HomeownerPage({ source, token }: Props) {
  const snapshot = useSource(source)
  const { view } = snapshot
  if (view !== undefined) return <TubPage source={source} token={token} snapshot={snapshot} view={view} />
  return (
    <main class="loading">
      <h1>Your hot tub</h1>
      <p role="status">{snapshot.trouble?.message ?? 'The questions are being fetched.'}</p>
      {snapshot.trouble !== undefined && (
        <button type="button" class="main" onClick={source.wake}>
          Try again
        </button>
      )}
    </main>
  )
}

function TubPage({ source, token, snapshot, view }: Props & { readonly snapshot: Snapshot; readonly view: JobView }) {
  const [redWords, setRedWords] = useState<string>()
  const [changing, setChanging] = useState<{ readonly item: TrailItem; readonly past: Past | undefined }>()
  const [done, setDone] = useState<Done>()
  const heading = useRef<HTMLHeadingElement>(null)
  const { cardRef, noteAct } = useStepFocus(view.step?.place ?? view.waiting?.step ?? view.ended?.ending, view.trail.length > 0)
  const act = async (command: Command): Promise<Sent> => {
    noteAct(true)
    const sent = await source.send(command)
    if (!sent.ok) noteAct(false)
    const last = source.read().view?.trail.at(-1)
    if (sent.ok && command.type === 'answer' && last !== undefined) setDone({ words: `Written down: ${last.answer}.`, at: Date.now() })
    if (sent.ok && command.type === 'change') setDone({ words: 'Changed.', at: Date.now() })
    if (sent.ok && command.type === 'undo') setDone(undefined)
    return sent
  }
  const change = (item: TrailItem): void => void source.past(item.key).then((past) => setChanging({ item, past: past && asAsked(past) }))
  const isJoined = snapshot.me !== undefined
  return (
    <>
      <header class="job-header">
        <div class="job-words">
          <h1>
            Your hot tub <span class="short">{view.short}</span>
            {view.practice && <span class="practice-tag">invented</span>}
          </h1>
          <p class="job-power">{view.complaint}</p>
        </div>
        {isJoined && view.ended === undefined && (
          <button type="button" class="stop" onClick={() => setRedWords('')}>
            Danger?
          </button>
        )}
      </header>
      <main>
        <Answers view={view} change={isJoined ? change : undefined} />
        <Notices snapshot={{ ...snapshot, news: undefined }} source={source} />
        <UndoBar done={done} canUndo={view.can_undo} undo={() => void act({ type: 'undo' })} />
        <section ref={cardRef} class="card" aria-label="Question">
          {isJoined ? <Question view={view} token={token} act={act} heading={heading} askRed={setRedWords} /> : <Hello send={act} />}
        </section>
      </main>
      {redWords !== undefined && <StopSheet view={view} words={redWords} send={act} close={() => setRedWords(undefined)} atHome />}
      {changing !== undefined && (
        <ChangeSheet
          view={view}
          item={changing.item}
          past={changing.past}
          send={async (given) => await act({ type: 'change', key: changing.item.key, ...given })}
          askRed={setRedWords}
          close={() => setChanging(undefined)}
          atHome
        />
      )}
    </>
  )
}

/** The question as it would be asked aloud is the title here. */
function asSpoken(step: StepView): StepView {
  const { aloud: spoken, ...rest } = step
  return spoken === undefined ? step : { ...rest, title: spoken }
}

function asAsked(past: Past): Past {
  return { ...past, step: asSpoken(past.step) }
}

type AnswersProps = { readonly view: JobView; readonly change: ((item: TrailItem) => void) | undefined }

function Answers({ view, change }: AnswersProps) {
  const own = view.trail.filter((item) => !item.struck)
  if (own.length === 0) return null
  return (
    <section class="log plain" aria-label="Your answers">
      <ol>
        {own.map((item) => (
          <li key={item.key} class={item.can_change && change !== undefined ? 'row can-change' : 'row'}>
            <div class="row-text">
              <p class="row-title">{item.title}</p>
              <p class="row-answer">{item.answer}</p>
              {item.can_change && change !== undefined && (
                <button type="button" class="change" onClick={() => change(item)}>
                  change<span class="unseen"> {item.title}</span>
                </button>
              )}
            </div>
          </li>
        ))}
      </ol>
    </section>
  )
}

type QuestionProps = {
  readonly view: JobView
  readonly token: string
  readonly act: (command: Command) => Promise<Sent>
  readonly heading: RefObject<HTMLHeadingElement | null>
  readonly askRed: (words: string) => void
}

function Question({ view, token, act, heading, askRed }: QuestionProps) {
  if (view.ended !== undefined) return <Ended ended={view.ended} token={token} act={act} atHome />
  const { step } = view
  if (step === undefined) {
    return (
      <div class="waiting">
        <h2 tabIndex={-1}>The shop has it now</h2>
        <p>There is nothing to do for you at the moment. Nobody goes into the water. This page shows the next question by itself.</p>
      </div>
    )
  }
  const answer = async (given: Answer): Promise<Sent> => await act({ type: 'answer', place: step.place, ...given })
  return (
    <StepCard key={step.place} step={asSpoken(step)} view={view} send={answer} askRed={askRed} heading={heading} aloud={false} atHome />
  )
}

function Hello({ send }: { readonly send: (command: Command) => Promise<Sent> }) {
  const [name, setName] = useState('')
  const [problem, setProblem] = useState<string>()
  const join = (): void => {
    const person = { id: newId(), name: name.trim() === '' ? 'Homeowner' : name.trim(), role: 'homeowner' as const, signed: [] }
    void send({ type: 'join', person, on_site: false }).then((sent) => setProblem(sent.ok ? undefined : sent.problem.message))
  }
  return (
    <form
      class="fields"
      noValidate
      onSubmit={(event) => {
        event.preventDefault()
        join()
      }}
    >
      <h2 tabIndex={-1}>A few questions about your tub</h2>
      <ol class="says">
        <li>Nobody goes into the water for now.</li>
        <li>Look and answer. Open nothing, and reach into nothing.</li>
        <li>Not sure is always a good answer.</li>
      </ol>
      <TextField label="Your name, if you like" value={name} onInput={setName} most={80} problem={problem} />
      <button type="submit" class="main">
        Begin
      </button>
    </form>
  )
}
