// "I can't do this here": the reason from the list, and a few words if they help.
// It is always a way on; nobody is asked to argue.
import { useState } from 'preact/hooks'
import type { JobView } from '#graphs/contract'
import { TextField } from '../form/field.tsx'
import type { Answer } from '../job/source.ts'

type Props = {
  readonly reasons: JobView['not_done']
  readonly open: boolean
  readonly setOpen: (open: boolean) => void
  readonly answer: (answer: Answer) => void
}

export function NotDone({ reasons, open, setOpen, answer }: Props) {
  const [words, setWords] = useState('')
  return (
    <div class="not-done">
      <button type="button" class="outcome quiet" aria-expanded={open} onClick={() => setOpen(!open)}>
        <span>I can’t do this here</span>
      </button>
      {open && (
        <fieldset class="outcomes reasons">
          <legend>Why not?</legend>
          <TextField label="A few words, if they help" value={words} onInput={setWords} most={2000} />
          {reasons
            .filter((reason) => reason.slug !== 'gate-shut')
            .map((reason) => (
              <button
                key={reason.slug}
                type="button"
                class="outcome"
                onClick={() => answer({ not_done: reason.slug, ...(words.trim() === '' ? {} : { words: words.trim() }) })}
              >
                <span>{reason.label}</span>
              </button>
            ))}
        </fieldset>
      )}
    </div>
  )
}
