// The line to type in: what is typed is matched to the fields and answers of the step, and confirmed where there is doubt.
// On steps that can hurt somebody it only points to the buttons; red words ask whether it is a red flag.
import { useState } from 'preact/hooks'
import type { StepView } from '#graphs/contract'
import { useTrade } from '../job/trade-door.ts'
import type { Answer } from '../job/source.ts'
import { matchTyped } from '../typed/match.ts'
import type { Filled, Match } from '../typed/match.ts'

type Props = {
  readonly step: StepView
  readonly guarded: boolean
  readonly answer: (answer: Answer) => void
  readonly fill: (readings: readonly Filled[]) => void
  readonly cannot: () => void
  readonly askRed: (words: string) => void
}

export function TypedLine({ step, guarded, answer, fill, cannot, askRed }: Props) {
  const trade = useTrade()
  const [text, setText] = useState('')
  const [match, setMatch] = useState<Match | 'guarded' | 'red'>()
  const read = (): void => {
    const words = text.trim()
    if (words === '') return
    if (trade.redWords(words).length > 0) return setMatch('red')
    if (guarded) return setMatch('guarded')
    const found = matchTyped(words, step)
    setMatch(found)
    if (found.kind === 'fill') fill(found.readings)
    if (found.kind === 'cannot') cannot()
  }
  const take = (outcome: string): void => {
    setText('')
    setMatch(undefined)
    answer({ outcome })
  }
  return (
    <form
      class="typed-line"
      onSubmit={(event) => {
        event.preventDefault()
        read()
      }}
    >
      <div class="typed-row">
        <input
          aria-label="Or type the answer"
          type="text"
          value={text}
          maxLength={300}
          autoComplete="off"
          placeholder={exampleFor(step)}
          onInput={(event) => setText(event.currentTarget.value)}
        />
        <button type="submit" class="small">
          Read it
        </button>
      </div>
      <div role="status" class="typed-answer">
        {match !== undefined && <Reply match={match} step={step} text={text} take={take} askRed={() => askRed(text.trim())} />}
      </div>
    </form>
  )
}

type ReplyProps = {
  readonly match: Match | 'guarded' | 'red'
  readonly step: StepView
  readonly text: string
  readonly take: (outcome: string) => void
  readonly askRed: () => void
}

function Reply({ match, step, text, take, askRed }: ReplyProps) {
  if (match === 'red') {
    return (
      <>
        <p>“{text.trim()}”: is this a red flag?</p>
        <button type="button" class="second" onClick={askRed}>
          See the red flags
        </button>
        <p class="hint">If not, answer with the controls above.</p>
      </>
    )
  }
  if (match === 'guarded') return <p>This step is about safety. Answer it with its own buttons above.</p>
  if (match.kind === 'fill') return <p>Filled in above: {match.says}. Look at it, then record it.</p>
  if (match.kind === 'cannot') return <p>Pick the reason above.</p>
  if (match.kind === 'nothing') return <p>That fits no answer of this step. Use the controls above.</p>
  const offered = match.kind === 'outcome' ? step.outcomes.filter((one) => one.outcome === match.outcome) : match.outcomes
  return (
    <>
      <p>{match.kind === 'outcome' ? 'Is this meant?' : 'Which of these is meant?'}</p>
      {offered.map(({ outcome, label }) => (
        <button key={outcome} type="button" class="second" onClick={() => take(outcome)}>
          {match.kind === 'outcome' ? `Yes: ${label}` : label}
        </button>
      ))}
    </>
  )
}

function exampleFor(step: StepView): string {
  const [first, second] = step.readings
  if (first?.quantity === 'resistance' && second?.quantity === 'temperature') return 'or type: 6.1k at 98'
  if (first?.quantity === 'temperature') return 'or type: 101.5'
  if (first?.quantity === 'resistance') return 'or type: 10.4 ohm'
  if (first?.quantity === 'voltage') return 'or type: 240'
  return 'or type the answer'
}
