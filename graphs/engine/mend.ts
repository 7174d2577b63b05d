// Statements about the tub outside of any step: a wrong one is mended by a new one, a hazard is named, an electrician clears one.
// A mend only makes the tub less safe; corrected answers are correct.ts.
import type { CommandOf } from '../contract/index.ts'
import { push, refuse } from './draft.ts'
import type { Draft } from './draft.ts'
import { power } from './effects.ts'
import { own } from './lookup.ts'
import { HAZARD_WORDS } from './words.ts'

export function mend(draft: Draft, command: CommandOf<'mend'>): void {
  const { proofs, locks } = draft.state.tub
  const owner = draft.envelope.person
  switch (command.what) {
    case 'power-is-on':
      return power(draft, 'on')
    case 'cover-is-off':
      return push(draft, 'covered', { to: 'off' })
    case 'proof-is-gone':
      return proofs.length > 0 ? push(draft, 'proof-lapsed', { reason: 'withdrawn' }) : undefined
    case 'lock-is-off':
      if (proofs.length > 0) push(draft, 'proof-lapsed', { reason: 'lock-off' })
      return locks.some((lock) => lock.owner === owner) ? push(draft, 'lock-taken', { owner }) : undefined
    default:
      return nameHazard(draft, command.hazard)
  }
}

/** Named after the end, a hazard opens the job again: an ending never stands over it. */
function nameHazard(draft: Draft, hazard: string | undefined): void {
  if (hazard === undefined) return refuse(draft, { code: 'JOB_ANSWER_INCOMPLETE', message: 'Name the hazard.', path: 'hazard' })
  if (own(HAZARD_WORDS, hazard) === undefined) return refuse(draft, notInList('There is no such hazard. Pick one of the list.'))
  push(draft, 'hazard-seen', { hazard })
  if (draft.state.ended !== undefined) push(draft, 'job-reopened', { why: hazard })
}

function notInList(message: string) {
  return { code: 'JOB_ANSWER_NOT_OFFERED', message, path: 'hazard', details: { offered: Object.keys(HAZARD_WORDS) } } as const
}

/** Whoever mends a hazard answers the step for it. By word alone only an electrician clears one. */
export function clearHazard(draft: Draft, command: CommandOf<'clear-hazard'>): void {
  if (draft.envelope.role !== 'electrician') {
    const message = 'By word alone only a licensed electrician clears a hazard. Everybody else answers the step for it.'
    return refuse(draft, { code: 'JOB_SAFETY', message, details: { rule: 7 } })
  }
  if (own(draft.state.tub.hazards, command.hazard) === undefined) return refuse(draft, notInList('That hazard does not stand now.'))
  push(draft, 'hazard-cleared', { hazard: command.hazard, how: command.how })
}
