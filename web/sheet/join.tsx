// A person who is new to this job says who they are before anything else.
// It stands in place of the step, not over it: there is nothing else to do.
import { useState } from 'preact/hooks'
import type { Command, JobView, Person, Role } from '#graphs/contract'
import type { Sent } from '../job/source.ts'
import { PersonForm, personOf, useWho } from './person-form.tsx'

type Props = { readonly view: Pick<JobView, 'holder' | 'ended'>; readonly send: (command: Command) => Promise<Sent> }

export function Join({ view, send }: Props) {
  const [who, set] = useWho()
  const [problem, setProblem] = useState<string>()
  const join = (): void => {
    if (who.name.trim() === '') return setProblem('Write your name, so that the others know who answers.')
    const person = personOf(who)
    void joinNow(person, who.onSite && mayStand(view, person.role))
  }
  const joinNow = async (person: Person, isSite: boolean): Promise<void> => {
    const joined = await send({ type: 'join', person, on_site: false })
    // The first of a visit begins it by arriving, others come to one that goes on.
    const sent = joined.ok && isSite ? await send({ type: 'arrive' }) : joined
    setProblem(sent.ok ? undefined : sent.problem.message)
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
      <h2 tabIndex={-1}>Who are you?</h2>
      <PersonForm
        who={who}
        set={set}
        problem={problem}
        roles={['technician', 'dispatcher', 'electrician']}
        asksSite={mayStand(view, who.role)}
      />
      <button type="submit" class="main">
        Join this job
      </button>
    </form>
  )
}

/** A visit is begun by a technician; an electrician comes to a tub that somebody holds. */
function mayStand(view: Props['view'], role: Role): boolean {
  return view.ended === undefined && (role === 'technician' || (role === 'electrician' && view.holder !== undefined))
}
