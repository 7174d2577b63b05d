// The log page of staff: header, log, and the present step as a card at the bottom.
// Where the job runs is the source's matter; this page paints it and moves the focus after the person's own action.
import { useRef, useState } from 'preact/hooks'
import type { RefObject } from 'preact'
import type { Command, JobView, TrailItem } from '#graphs/contract'
import type { Answer, JobSource, Parked, Past, Sent, Snapshot } from '../job/source.ts'
import { useSource } from '../job/use-source.ts'
import { atMostWords } from '../job/words.ts'
import { ChangeSheet } from '../sheet/change-sheet.tsx'
import { Join } from '../sheet/join.tsx'
import { StopSheet } from '../sheet/stop-sheet.tsx'
import { StepCard } from '../step/card.tsx'
import { useStepFocus } from '../step/focus.ts'
import { Ended } from './ended.tsx'
import { JobHeader } from './header.tsx'
import { Log } from './log.tsx'
import { More } from './more.tsx'
import { Hazards, Notices } from './notices.tsx'
import { UndoBar } from './undo-bar.tsx'
import type { Done } from './undo-bar.tsx'
import { Waiting } from './waiting.tsx'

type Open =
  | { readonly sheet: 'stop'; readonly words: string }
  | { readonly sheet: 'change'; readonly item: TrailItem; readonly past: Past | undefined }
  | undefined

type Props = { readonly source: JobSource; readonly token: string }

export function LogPage({ source, token }: Props) {
  const snapshot = useSource(source)
  const { view } = snapshot
  if (view === undefined) return <Loading snapshot={snapshot} source={source} />
  return <JobPage source={source} snapshot={snapshot} view={view} token={token} />
}

function Loading({ snapshot, source }: { readonly snapshot: Snapshot; readonly source: JobSource }) {
  return (
    <main class="loading">
      <h1>Backwrench</h1>
      <p role="status">{snapshot.trouble === undefined ? 'The job is being fetched.' : snapshot.trouble.message}</p>
      {snapshot.trouble !== undefined && (
        <button type="button" class="main" onClick={source.wake}>
          Try again
        </button>
      )}
      <p>
        <a href="/">To the start page</a>
      </p>
    </main>
  )
}

type PageProps = Props & { readonly snapshot: Snapshot; readonly view: JobView }

function JobPage({ source, snapshot, view, token }: PageProps) {
  const [open, setOpen] = useState<Open>()
  const [done, setDone] = useState<Done>()
  const heading = useRef<HTMLHeadingElement>(null)
  const { cardRef, noteAct } = useStepFocus(view.step?.place ?? view.waiting?.step ?? view.ended?.ending, view.trail.length > 0)
  const act = async (command: Command): Promise<Sent> => {
    noteAct(true)
    const sent = await source.send(command)
    if (!sent.ok) noteAct(false)
    else setDone(doneWords(command, view, source.read().view))
    return sent
  }
  const answer = async (given: Answer): Promise<Sent> => await act({ type: 'answer', place: view.step?.place ?? '', ...given })
  const change = (item: TrailItem): void => void source.past(item.key).then((past) => setOpen({ sheet: 'change', item, past }))
  const askRed = (words: string): void => setOpen({ sheet: 'stop', words })
  const isJoined = snapshot.me !== undefined
  return (
    <>
      <JobHeader view={view} stop={view.ended === undefined && isJoined ? () => askRed('') : undefined} />
      <main>
        <Log view={view} change={isJoined ? change : undefined} />
        <Notices snapshot={snapshot} source={source} />
        <UndoBar done={snapshot.parked.length > 0 ? undefined : done} canUndo={view.can_undo} undo={() => void act({ type: 'undo' })} />
        <section ref={cardRef} class="card" aria-label="Present step">
          {view.practice && view.step?.practice === undefined && (
            <p class="practice-line">Practice: an invented shop and an invented tub. Nothing here is real.</p>
          )}
          <p class="card-most">
            {view.title}
            {view.ended === undefined && `, ${atMostWords(view)}`}
          </p>
          <Hazards view={view} />
          {isJoined ? (
            <Present
              view={view}
              token={token}
              heading={heading}
              act={act}
              answer={answer}
              askRed={askRed}
              role={snapshot.me.role}
              refused={refusedAt(snapshot, view.step?.place)}
            />
          ) : (
            <Join view={view} send={act} />
          )}
        </section>
        {isJoined && <More view={view} act={act} redFlag={() => askRed('')} me={snapshot.me.id} />}
      </main>
      {open?.sheet === 'stop' && <StopSheet view={view} words={open.words} send={act} close={() => setOpen(undefined)} />}
      {open?.sheet === 'change' && (
        <ChangeSheet
          view={view}
          item={open.item}
          past={open.past}
          send={async (given) => await act({ type: 'change', key: open.item.key, ...given })}
          askRed={askRed}
          close={() => setOpen(undefined)}
        />
      )}
    </>
  )
}

type PresentProps = {
  readonly view: JobView
  readonly token: string
  readonly heading: RefObject<HTMLHeadingElement | null>
  readonly act: (command: Command) => Promise<Sent>
  readonly answer: (answer: Answer) => Promise<Sent>
  readonly askRed: (words: string) => void
  readonly role: string
  readonly refused: Parked | undefined
}

/** The last answer to this very step that the server did not take. */
function refusedAt(snapshot: Snapshot, place: string | undefined): Parked | undefined {
  return snapshot.parked.findLast((one) => one.given !== undefined && one.given.place === place)
}

function Present({ view, token, heading, act, answer, askRed, role, refused }: PresentProps) {
  const { step, waiting, ended } = view
  if (ended !== undefined) return <Ended ended={ended} token={token} act={act} />
  return (
    <>
      {waiting !== undefined && <Waiting view={view} waiting={waiting} act={act} />}
      {step !== undefined && (
        <StepCard
          key={`${step.place} ${refused?.id ?? ''}`}
          step={step}
          refused={refused}
          view={view}
          send={answer}
          askRed={askRed}
          heading={heading}
          aloud={role === 'dispatcher' || view.part === 'phone'}
        />
      )}
    </>
  )
}

function doneWords(command: Command, before: JobView, after: JobView | undefined): Done | undefined {
  if (after === undefined || after.ended !== undefined) return undefined
  const at = Date.now()
  if (command.type === 'undo') return { words: 'The last answer was taken back.', at }
  if (command.type === 'change') {
    const count = after.trail.filter((item) => item.struck).length - before.trail.filter((item) => item.struck).length
    const struck = count > 0 ? ` ${count} later ${count === 1 ? 'answer is' : 'answers are'} struck through.` : ''
    return { words: `Changed.${struck}`, at }
  }
  if (command.type !== 'answer') return undefined
  const item = after.trail.findLast((one) => one.key === command.place) ?? after.trail.at(-1)
  return item === undefined ? undefined : { words: `Recorded: ${item.answer}.`, at }
}
