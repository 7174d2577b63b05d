// Stop, and the red flags: what to do with the hands stands first, then what happened.
// Where each leads is the engine's.
import { useState } from 'preact/hooks'
import type { Command, JobView } from '#graphs/contract'
import type { Problem, Sent } from '../job/source.ts'
import { Sheet } from './sheet.tsx'

type Props = {
  readonly view: JobView
  readonly words: string
  readonly send: (command: Command) => Promise<Sent>
  readonly close: () => void
  readonly atHome?: boolean
}

export function StopSheet({ view, words, send, close, atHome = false }: Props) {
  const [problem, setProblem] = useState<Problem>()
  const giveNow = async (command: Command): Promise<void> => {
    const sent = await send(command)
    if (sent.ok) close()
    else setProblem(sent.problem)
  }
  const give = (command: Command): void => void giveNow(command)
  const said = words === '' ? {} : { words }
  return (
    <Sheet title={atHome ? 'Step away from the tub' : 'Hands out. Step back.'} onClose={close} closeWords="Back to the step">
      {words !== '' && <p>Typed: “{words}”. Which of these is it?</p>}
      <p>
        {atHome
          ? 'Get everybody out of the water. Touch nothing that is wet or hot.'
          : 'First the people, then the tub. In danger of life, call emergency services first.'}
      </p>
      <div role="alert">{problem !== undefined && <p class="problem">{problem.message}</p>}</div>
      <button type="button" class="outcome stop-now" onClick={() => give({ type: 'stop', ...said })}>
        <span>{atHome ? 'Something else is not safe' : 'Stop the work here'}</span>
      </button>
      <fieldset class="outcomes">
        <legend>Or a red flag</legend>
        {view.red_flags.map((flag) => (
          <button key={flag.slug} type="button" class="outcome" onClick={() => give({ type: 'red-flag', flag: flag.slug, ...said })}>
            <span>{flag.label}</span>
          </button>
        ))}
      </fieldset>
    </Sheet>
  )
}
