// What a person can do besides answering: red flag, arrive, take or leave the tub, see facts and people, send the homeowner's link.
// Rarely needed, so it stands below the card.
import { useState } from 'preact/hooks'
import type { Command, CommandOf, JobView } from '#graphs/contract'
import { recall } from '../job/device.ts'
import { ROLE, SIGN_OFF } from '../job/words.ts'
import type { Problem, Sent } from '../job/source.ts'
import { StepsEdition } from './steps-edition.tsx'
import { WhereButton } from './where-button.tsx'

type Props = {
  readonly view: JobView
  readonly act: (command: Command) => Promise<Sent>
  readonly redFlag: () => void
  readonly me: string | undefined
}

export function More({ view, act, redFlag, me }: Props) {
  const [problem, setProblem] = useState<Problem>()
  const give = (command: Command): void => void act(command).then((sent) => setProblem(sent.ok ? undefined : sent.problem))
  const onSite = view.people.some((person) => person.id === me && person.here)
  return (
    <section class="more" aria-label="More of this job">
      <div role="alert">{problem !== undefined && <p class="problem">{problem.message}</p>}</div>
      <div class="row-buttons">
        {view.ended === undefined && (
          <button type="button" class="small" onClick={redFlag}>
            Red flag
          </button>
        )}
        {view.can_arrive && (
          <button type="button" class="small" onClick={() => give({ type: 'arrive' })}>
            Arrive on site
          </button>
        )}
        {!view.holds && view.holder !== undefined && (
          <button type="button" class="small" onClick={() => give({ type: 'take-tub' })}>
            Take the tub
          </button>
        )}
        {onSite && view.ended === undefined && (
          <button type="button" class="small" onClick={() => give({ type: 'leave' })}>
            Leave, or hand over
          </button>
        )}
        <WhereButton view={view} />
      </div>
      <details>
        <summary>People on this job</summary>
        <ul>
          {view.people.map((person) => (
            <li key={person.id}>
              {person.name}
              {person.name !== ROLE[person.role] && `, ${ROLE[person.role].toLowerCase()}`}
              {person.signed.length > 0 && ` (says: ${person.signed.map((sign) => SIGN_OFF[sign].toLowerCase()).join(', ')})`}
              {!person.here && ', left'}
            </li>
          ))}
        </ul>
        {view.holder !== undefined && <p>Holds the tub: {view.holder}.</p>}
      </details>
      {onSite && view.visit > 0 && view.ended === undefined && <PutRight give={give} />}
      {view.facts.length > 0 && (
        <details>
          <summary>Known facts</summary>
          <dl class="typed">
            {view.facts.map((fact) => (
              <div key={fact.slug}>
                <dt>{fact.label}</dt>
                <dd>
                  {fact.value} <span class="source">({fact.source})</span>
                </dd>
              </div>
            ))}
          </dl>
        </details>
      )}
      <StepsEdition view={view} give={give} />
      <HomeownerLink job={view.job} />
    </section>
  )
}

const WRONG: readonly { readonly what: CommandOf<'mend'>['what']; readonly label: string }[] = [
  { what: 'power-is-on', label: 'The power is on' },
  { what: 'cover-is-off', label: 'A cover is off' },
  { what: 'lock-is-off', label: 'My lock is off' },
  { what: 'proof-is-gone', label: 'The proof of dead is gone' },
]

/** A wrong line about the tub is put right by a new one, and only towards less safe. */
function PutRight({ give }: { readonly give: (command: Command) => void }) {
  return (
    <details>
      <summary>The tub is not as the log says</summary>
      <p class="hint">Say what is true now. Hands out first.</p>
      <div class="row-buttons">
        {WRONG.map(({ what, label }) => (
          <button key={what} type="button" class="small" onClick={() => give({ type: 'mend', what })}>
            {label}
          </button>
        ))}
      </div>
    </details>
  )
}

function HomeownerLink({ job }: { readonly job: string }) {
  const token = recall(`homeowner:${job}`)
  if (token === undefined) return null
  const link = `${location.origin}/h/${token}`
  return (
    <details>
      <summary>Link for the homeowner</summary>
      <p class="hint">It shows their questions and nothing else.</p>
      <p class="link-text">
        <a href={link}>{link}</a>
      </p>
    </details>
  )
}
