// A new job: the customer's words matched to a complaint and confirmed, or a complaint from the list; who speaks; then open.
// Red words are asked about first, never decided here.
import { useId, useRef, useState } from 'preact/hooks'
import { matchWords } from '#graphs'
import type { Edition } from '#graphs'
import { TextField } from '../form/field.tsx'
import { PersonForm, personOf, useWho } from '../sheet/person-form.tsx'
import { newOpeningId, openAndGo } from './opening.ts'
import type { Complaint } from './opening.ts'

type Row = Complaint & { readonly label: string; readonly isMatch: boolean }

export function NewJob({ edition }: { readonly edition: Edition | undefined }) {
  const [words, setWords] = useState('')
  const [picked, setPicked] = useState<string>()
  const [who, setWho] = useWho()
  const [problem, setProblem] = useState<{ readonly about: 'words' | 'name' | 'all'; readonly message: string }>()
  const id = useRef(newOpeningId())
  if (edition === undefined) return null
  const { rows, red } = rowsOf(edition, words)
  const open = (): void => {
    const row = rows.find((one) => one.complaint === picked)
    if (row === undefined) return setProblem({ about: 'words', message: 'Pick what it is, so that the right questions come.' })
    if (who.name.trim() === '') return setProblem({ about: 'name', message: 'Write your name, so that the others know who answers.' })
    const order = { complaint: row, words: words.trim(), person: personOf(who), practice: false, id: id.current }
    void openAndGo(order).then((message) => setProblem(message === undefined ? undefined : { about: 'all', message }))
  }
  return (
    <section aria-labelledby="new-job">
      <h2 id="new-job">New job</h2>
      <form
        class="fields"
        noValidate
        onSubmit={(event) => {
          event.preventDefault()
          open()
        }}
      >
        <TextField
          label="What does the customer say?"
          hint="In their own words. The list below follows."
          value={words}
          onInput={setWords}
          lines={2}
          most={2000}
        />
        {red.length > 0 && (
          <p class="bar strong" role="status">
            <strong>{red.join('. ')}?</strong> If so: everybody away from the tub first. The red questions come first in the job.
          </p>
        )}
        <Complaints rows={rows} picked={picked} pick={setPicked} problem={problem?.about === 'words' ? problem.message : undefined} />
        <PersonForm
          who={who}
          set={setWho}
          problem={problem?.about === 'name' ? problem.message : undefined}
          roles={['dispatcher', 'technician', 'electrician']}
          asksSite={false}
        />
        <div role="alert">{problem?.about === 'all' && <p class="problem">{problem.message}</p>}</div>
        <button type="submit" class="main">
          Open the job
        </button>
      </form>
    </section>
  )
}

type ComplaintsProps = {
  readonly rows: readonly Row[]
  readonly picked: string | undefined
  readonly pick: (complaint: string) => void
  readonly problem: string | undefined
}

function Complaints({ rows, picked, pick, problem }: ComplaintsProps) {
  const name = useId()
  return (
    <fieldset class="choices" aria-describedby={problem === undefined ? undefined : `${name}-problem`}>
      <legend>Which of these is it?</legend>
      {rows.map((row) => (
        <label key={row.complaint} class={row.complaint === picked ? 'tick chosen' : 'tick'}>
          <input type="radio" name={name} checked={row.complaint === picked} onChange={() => pick(row.complaint)} />
          <span>
            {row.label}
            {row.isMatch && <span class="tag">fits the words</span>}
          </span>
        </label>
      ))}
      {problem !== undefined && (
        <p id={`${name}-problem`} class="problem">
          {problem}
        </p>
      )}
    </fieldset>
  )
}

/** All complaints, those that fit the words first; none is picked for the person. */
function rowsOf(edition: Edition, words: string): { readonly rows: readonly Row[]; readonly red: readonly string[] } {
  const matched = words.trim() === '' ? { complaints: [], redFlags: [] } : matchWords(edition, words)
  const fitting = new Set(matched.complaints.map((one) => one.complaint))
  const order = [...fitting]
  const rows = edition.symptoms
    .map(({ flow, complaint, label }) => ({ flow, complaint, label, isMatch: fitting.has(complaint) }))
    .toSorted((a, b) => rank(order, a.complaint) - rank(order, b.complaint))
  return { rows, red: matched.redFlags.map((flag) => flag.label) }
}

function rank(order: readonly string[], complaint: string): number {
  const at = order.indexOf(complaint)
  return at === -1 ? order.length : at
}
