// People come, arrive on site, hand the tub over and leave. A proof of dead goes with whoever made it.
// Answers are decide.ts.
import type { CommandOf, Role } from '../contract/index.ts'
import { push, refuse } from './draft.ts'
import type { Draft } from './draft.ts'
import { own } from './lookup.ts'
import { here } from './offer.ts'

export function people(draft: Draft, command: CommandOf<'join'> | CommandOf<'arrive'> | CommandOf<'leave'> | CommandOf<'take-tub'>): void {
  switch (command.type) {
    case 'join':
      return join(draft, command)
    case 'arrive':
      return arrive(draft)
    case 'leave':
      return leave(draft, command)
    default:
      return takeTub(draft)
  }
}

function join(draft: Draft, command: CommandOf<'join'>): void {
  const { person } = command
  const { envelope, state } = draft
  if (person.id !== envelope.person) return refuse(draft, { code: 'JOB_NOT_JOINED', message: 'A person joins with the own name.' })
  if (person.role !== envelope.role) return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: 'A person joins in the own role.' })
  // Only people of the trade stand at the tub, and the first of a visit arrives.
  const joinsOthers = worksOnSite(person.role) && state.ended === undefined && state.tub.onSite.length > 0
  push(draft, 'person-joined', { person, on_site: command.on_site && joinsOthers })
}

function worksOnSite(role: Role): boolean {
  return role === 'technician' || role === 'electrician'
}

/** A visit begins: the technician's own entry of the flow, with all that is known. */
function arrive(draft: Draft): void {
  const { envelope, state, edition } = draft
  const flow = edition.blocks[state.flow]
  const person = own(state.people, envelope.person)
  if (person === undefined || !worksOnSite(person.role)) {
    return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: 'Only a technician arrives on site.' })
  }
  if (state.tub.onSite.length > 0 && state.ended === undefined) {
    return push(draft, 'person-joined', {
      person: { id: person.id, name: person.name, role: person.role, signed: [...person.signed] },
      on_site: true,
    })
  }
  if (flow?.arrive === undefined) return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'This complaint has no visit.' })
  if (state.ended !== undefined) push(draft, 'job-reopened', { why: 'visit' })
  if (draft.state.tub.proofs.length > 0) push(draft, 'proof-lapsed', { reason: 'left' })
  push(draft, 'person-joined', {
    person: { id: person.id, name: person.name, role: person.role, signed: [...person.signed] },
    on_site: true,
  })
  push(draft, 'tub-handed', { to: person.id, device: envelope.device })
  push(draft, 'arrived', { visit: state.visit + 1, entry: `${state.flow}.${flow.arrive}` })
}

/** Whoever has a lock on or holds the tub leaves in order; everybody else just goes. */
function leave(draft: Draft, command: CommandOf<'leave'>): void {
  const { state, envelope, edition } = draft
  const holds = state.tub.holder?.person === envelope.person && state.tub.onSite.includes(envelope.person)
  const locked = state.tub.locks.some((lock) => lock.owner === envelope.person)
  if (locked && !holds) {
    // The steps of leaving are done by whoever leaves: a lock comes off by the hand that put it on.
    return refuse(draft, { code: 'JOB_NOT_HOLDER', message: 'Your own lock is still on. Take the tub over, said aloud, then leave.' })
  }
  const bound = locked || (holds && envelope.role === 'technician')
  if (!bound) return push(draft, 'person-left', { person: envelope.person, reason: command.reason ?? 'left' })
  const at = here(edition, state)
  const { block } = edition.interrupts.leave
  if (at === undefined || at.frames.some((frame) => frame.block === block)) return
  push(draft, 'procedure-put', { key: at.key, block, cause: 'leave' })
}

function takeTub(draft: Draft): void {
  const { envelope, state } = draft
  if (!state.tub.onSite.includes(envelope.person))
    return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: 'Only somebody at the tub takes it over. Arrive on site first.' })
  if (state.tub.holder?.person === envelope.person && state.tub.holder.device === envelope.device) return
  if (state.tub.proofs.length > 0) push(draft, 'proof-lapsed', { reason: 'handed-over' })
  push(draft, 'tub-handed', { to: envelope.person, device: envelope.device })
}
