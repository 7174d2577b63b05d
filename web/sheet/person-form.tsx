// Who speaks on this device: name, role, and the sign-offs the person declares.
// What a role or a sign-off allows is the engine's.
import { useState } from 'preact/hooks'
import type { Person, Role, SignOff } from '#graphs/contract'
import { TextField } from '../form/field.tsx'
import { Segments } from '../form/segments.tsx'
import { Tick } from '../form/tick.tsx'
import { lastPerson, newId } from '../job/device.ts'
import { ROLE, SIGN_OFF } from '../job/words.ts'

export type Who = {
  readonly id: string
  readonly name: string
  readonly role: Role
  readonly signed: readonly SignOff[]
  readonly onSite: boolean
}

const SIGN_OFFS: readonly SignOff[] = ['absence-of-voltage', 'energized-work']

export function useWho(): [Who, (part: Partial<Who>) => void] {
  const [who, setWho] = useState<Who>(() => {
    const known = lastPerson()
    return known === undefined ? { id: newId(), name: '', role: 'technician', signed: [], onSite: false } : { ...known, onSite: false }
  })
  return [who, (part) => setWho((before) => ({ ...before, ...part }))]
}

export function personOf(who: Who): Person {
  const mayBeSigned = who.role === 'technician' || who.role === 'electrician'
  return { id: who.id, name: who.name.trim(), role: who.role, signed: mayBeSigned ? [...who.signed] : [] }
}

type Props = {
  readonly who: Who
  readonly set: (part: Partial<Who>) => void
  readonly problem: string | undefined
  readonly roles: readonly Role[]
  readonly asksSite: boolean
}

export function PersonForm({ who, set, problem, roles, asksSite }: Props) {
  const mayBeSigned = who.role === 'technician' || who.role === 'electrician'
  return (
    <div class="rows">
      <TextField label="Your name" value={who.name} onInput={(name) => set({ name })} most={80} problem={problem} />
      <Segments
        legend="You are"
        shown
        value={who.role}
        onChange={(role) => set({ role })}
        segments={roles.map((role) => ({ value: role, label: ROLE[role] }))}
      />
      {mayBeSigned && (
        <fieldset class="choices">
          <legend>Your sign-offs</legend>
          <p class="hint">You declare them yourself. The note says so.</p>
          {SIGN_OFFS.map((sign) => (
            <Tick
              key={sign}
              checked={who.signed.includes(sign)}
              onChange={(checked) => set({ signed: checked ? [...who.signed, sign] : who.signed.filter((one) => one !== sign) })}
            >
              {SIGN_OFF[sign]}
            </Tick>
          ))}
        </fieldset>
      )}
      {asksSite && (
        <Tick checked={who.onSite} onChange={(onSite) => set({ onSite })}>
          I stand at the tub now
        </Tick>
      )}
    </div>
  )
}
