// Events under construction: each is checked by the safety observers, folded at once, and kept; a refusal stops all that follows.
// Nothing is written if anything was refused.
import type { Envelope, EventBodies, EventType, JobEvent } from '../contract/index.ts'
import type { Edition } from '../edition/compiled.ts'
import type { Problem, Result } from '../result.ts'
import { ok } from '../result.ts'
import { breachOf } from '../safety/observers.ts'
import { actsOf } from './acts.ts'
import type { Evolve } from './evolve.ts'
import { own } from './lookup.ts'
import type { JobState } from './state.ts'
import type { Walker } from './walk.ts'

export type Draft = {
  readonly edition: Edition
  readonly envelope: Envelope
  readonly now: number
  state: JobState
  readonly events: JobEvent[]
  refused?: Problem
  readonly evolve: Evolve
  readonly walker: Walker
}

export function createDraft(house: Pick<Draft, 'edition' | 'evolve' | 'walker'>, state: JobState, envelope: Envelope, now: number): Draft {
  // A clock that was set back stands still until it has caught up.
  const at = Math.max(now, own(state.clocks, envelope.device) ?? 0)
  return { ...house, envelope, now: at, state, events: [] }
}

/** Adds an event unless something was refused before or a safety rule forbids it. */
export function push<T extends EventType>(draft: Draft, type: T, body: EventBodies[T]): void {
  if (draft.refused !== undefined) return
  const event = eventOf(draft, type, body)
  let { watch } = draft.state
  for (const act of actsOf(draft.edition, draft.state, event)) {
    const breach = breachOf(watch, act)
    if (breach !== undefined) {
      draft.refused = { code: 'JOB_SAFETY', message: breach.says, details: { rule: breach.rule, name: breach.name } }
      return
    }
    watch = draft.state.watch
  }
  draft.events.push(event)
  draft.state = draft.evolve(draft.state, event)
}

export function refuse(draft: Draft, problem: Problem): void {
  draft.refused ??= problem
}

/** Ids follow from the command's own, so that phone and server write the same events and a repeat is known. */
function eventOf<T extends EventType>(draft: Draft, type: T, body: EventBodies[T]): JobEvent {
  const { envelope, events, now, state } = draft
  return {
    id: events.length === 0 ? envelope.id : `${envelope.id}-${events.length}`,
    job: state.job,
    type,
    v: 1,
    at: now,
    by: { person: envelope.person, role: envelope.role },
    channel: envelope.channel,
    device: envelope.device,
    visit: state.visit,
    edition: draft.edition.number,
    body,
    ...(envelope.toldBy === undefined ? {} : { toldBy: envelope.toldBy }),
  } as unknown as JobEvent
}

/** What a command brings about: its events, and the state that they lead to. */
export type Decided = { readonly events: JobEvent[]; readonly state: JobState }

export function finished({ refused, events, state }: Draft): Result<Decided> {
  return refused === undefined ? ok({ events, state }) : { ok: false, problem: refused }
}
