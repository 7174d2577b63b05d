// A person who is new to this job says who they are before anything else.
// It stands in place of the step, not over it: there is nothing else to do.
import { useState } from 'preact/hooks'
import type { Command } from '#graphs/contract'
import type { Sent } from '../job/source.ts'
import { PersonForm, personOf, useWho } from './person-form.tsx'

export function Join({ send }: { readonly send: (command: Command) => Promise<Sent> }) {
  const [who, set] = useWho()
  const [problem, setProblem] = useState<string>()
  const join = (): void => {
    if (who.name.trim() === '') return setProblem('Write your name, so that the others know who answers.')
    const person = personOf(who)
    const isSite = who.onSite && (person.role === 'technician' || person.role === 'electrician')
    void send({ type: 'join', person, on_site: isSite }).then((sent) => setProblem(sent.ok ? undefined : sent.problem.message))
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
      <PersonForm who={who} set={set} problem={problem} roles={['technician', 'dispatcher', 'electrician']} asksSite />
      <button type="submit" class="main">
        Join this job
      </button>
    </form>
  )
}
