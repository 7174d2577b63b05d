// A past answer is changed with the same controls, filled in as it was given.
// Later answers that no longer fit are kept in the log, struck through.
import { useRef } from 'preact/hooks'
import type { JobView, TrailItem } from '#graphs/contract'
import type { Answer, Past, Sent } from '../job/source.ts'
import { StepCard } from '../step/card.tsx'
import { Sheet } from './sheet.tsx'

type Props = {
  readonly view: JobView
  readonly item: TrailItem
  readonly past: Past | undefined
  readonly send: (answer: Answer) => Promise<Sent>
  readonly askRed: (words: string) => void
  readonly close: () => void
  readonly atHome?: boolean
}

export function ChangeSheet({ view, item, past, send, askRed, close, atHome = false }: Props) {
  const heading = useRef<HTMLHeadingElement>(null)
  const change = async (answer: Answer): Promise<Sent> => {
    const sent = await send(answer)
    if (sent.ok) close()
    return sent
  }
  return (
    <Sheet title="Change an answer" onClose={close} closeWords="Leave it">
      <p class="before">
        It stands as: <strong>{item.answer}</strong>
      </p>
      <p class="hint">
        {atHome
          ? 'Questions that follow from it may come again.'
          : 'Later answers that no longer fit stay in the log, struck through. What hands did to the tub is not taken back.'}
      </p>
      {past === undefined ? (
        <p>This answer cannot be changed here just now. Try again in a moment, or call the shop.</p>
      ) : (
        <StepCard
          step={past.step}
          view={view}
          send={change}
          askRed={askRed}
          heading={heading}
          before={past.answer}
          aloud={false}
          atHome={atHome}
        />
      )}
    </Sheet>
  )
}
