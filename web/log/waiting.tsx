// Nobody here may do the next step: what is awaited, for whom, and what this person can do meanwhile.
// Who may do what is the engine's.
import type { Command, JobView } from '#graphs/contract'
import { ROLE, SIGN_OFF } from '../job/words.ts'
import type { Sent } from '../job/source.ts'

type Props = {
  readonly view: JobView
  readonly waiting: NonNullable<JobView['waiting']>
  readonly act: (command: Command) => Promise<Sent>
}

export function Waiting({ view, waiting, act }: Props) {
  const roles = waiting.roles.map((role) => ROLE[role].toLowerCase()).join(' or ')
  return (
    <div class="waiting">
      <p class="meta">Waiting</p>
      <h2 tabIndex={-1}>{waiting.step}</h2>
      <p>{waiting.says}</p>
      <dl class="typed">
        <div>
          <dt>For</dt>
          <dd>{roles}</dd>
        </div>
        {waiting.signed.map((sign) => (
          <div key={sign}>
            <dt>Signed off</dt>
            <dd>{SIGN_OFF[sign]}</dd>
          </div>
        ))}
        {view.holder !== undefined && (
          <div>
            <dt>Holds the tub</dt>
            <dd>{view.holder}</dd>
          </div>
        )}
      </dl>
      {waiting.holder && !view.holds && (
        <button type="button" class="main" onClick={() => void act({ type: 'take-tub' })}>
          Take the tub. Say it aloud first.
        </button>
      )}
      {view.can_arrive && (
        <button type="button" class="main" onClick={() => void act({ type: 'arrive' })}>
          I stand at the tub now
        </button>
      )}
    </div>
  )
}
