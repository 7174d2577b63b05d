// The end of a job: how it ended, the state of the tub, what guards it, the note in its voices, and whether the outcome held.
// The words come from the engine and from the note.
import { useState } from 'preact/hooks'
import type { Command, JobView } from '#graphs/contract'
import { TextField } from '../form/field.tsx'
import { clock, day } from '../job/words.ts'
import type { Sent } from '../job/source.ts'

const VOICES = [
  { voice: 'customer', label: 'For the customer' },
  { voice: 'office', label: 'For the office' },
  { voice: 'next-technician', label: 'For the next technician' },
  { voice: 'warranty', label: 'For the warranty desk' },
] as const

type Props = {
  readonly ended: NonNullable<JobView['ended']>
  readonly token: string
  readonly act: (command: Command) => Promise<Sent>
  readonly atHome?: boolean
}

export function Ended({ ended, token, act, atHome = false }: Props) {
  const voices = atHome ? VOICES.slice(0, 1) : VOICES
  return (
    <div class="ended">
      <p class="meta">
        Ended {day(ended.at)} {clock(ended.at)}
      </p>
      <h2 tabIndex={-1}>{ended.ending}</h2>
      <p class="tub-state">
        <strong>{ended.tub}</strong>
      </p>
      {ended.says.length > 0 && (
        <ol class="says">
          {ended.says.map((line, index) => (
            <li key={index}>{line}</li>
          ))}
        </ol>
      )}
      {ended.guard !== undefined && ended.guard !== '' && (
        <p class="guard">
          <strong>Until then:</strong> {ended.guard}
        </p>
      )}
      <h3>The job note</h3>
      <ul class="links">
        {voices.map(({ voice, label }) => (
          <li key={voice}>
            <a class="outcome" href={`/api/jobs/${token}/note?voice=${voice}&format=html`} target="_blank" rel="noreferrer">
              {atHome ? 'Read the job note' : label}
            </a>
          </li>
        ))}
      </ul>
      <Confirm act={act} atHome={atHome} />
    </div>
  )
}

function Confirm({ act, atHome }: { readonly act: Props['act']; readonly atHome: boolean }) {
  const [words, setWords] = useState('')
  const [said, setSaid] = useState<string>()
  const give = (held: boolean): void =>
    void act({ type: 'confirm-outcome', held, ...(words.trim() === '' ? {} : { words: words.trim() }) }).then((sent) =>
      setSaid(sent.ok ? 'Written down. Thank you.' : sent.problem.message),
    )
  return (
    <fieldset class="outcomes confirm">
      <legend>{atHome ? 'Some days later: did it stay right?' : 'Days later: did the outcome hold?'}</legend>
      <TextField label="A few words, if they help" value={words} onInput={setWords} most={2000} />
      <button type="button" class="outcome" onClick={() => give(true)}>
        <span>Yes, it held</span>
      </button>
      <button type="button" class="outcome" onClick={() => give(false)}>
        <span>No, it came back</span>
      </button>
      <p role="status">{said}</p>
    </fieldset>
  )
}
