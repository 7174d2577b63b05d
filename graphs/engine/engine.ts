// The engine of one edition: everything a shell needs to run a job. Pure: time and ids are handed in.
// The parts stand in decide.ts, evolve.ts, view.ts; this file only puts them together.
import type { Envelope, JobEvent, JobView, OpenJob } from '../contract/index.ts'
import type { Edition } from '../edition/compiled.ts'
import { createLengths } from '../edition/lengths.ts'
import { failed, ok } from '../result.ts'
import type { Result } from '../result.ts'
import { createDecide, isDue } from './decide.ts'
import type { Decided } from './draft.ts'
import { createEvolve } from './evolve.ts'
import { nextByTables } from './next.ts'
import type { NextTarget } from './next.ts'
import type { JobState } from './state.ts'
import { createView } from './view.ts'
import { createWalker } from './walk.ts'

export type Context = {
  /** Milliseconds since 1970, of this device. */
  readonly now: number
}

export type Opening = Context & {
  readonly job: string
  /** A short id for people to say. */
  readonly short: string
  readonly device: string
  readonly channel: Envelope['channel']
  /** Made by the sender, URL-safe; ids of all events follow from it. */
  readonly commandId: string
}

export type Engine = {
  readonly edition: Edition
  /** First events of a job: opened, and the person joined. */
  readonly open: (order: OpenJob, opening: Opening) => Result<JobEvent[]>
  /** Events that a command brings about; the first carries the command's id. Time's effects (proof lapsed, wait over) come first among them. */
  readonly decide: (state: JobState, envelope: Envelope, context: Context) => Result<JobEvent[]>
  /** The same, with the state that the events lead to: whoever writes them need not fold them once more. */
  readonly run: (state: JobState, envelope: Envelope, context: Context) => Result<Decided>
  /** Believes the event: total, calls no formula, reads no clock. */
  readonly evolve: (state: JobState | undefined, event: JobEvent) => JobState
  readonly fold: (events: Iterable<JobEvent>) => JobState | undefined
  /** Whether time has brought something about that the shell must record by a `wake` command. */
  readonly due: (state: JobState, now: number) => boolean
  /**
   * What this person sees and may do now. An unknown person sees what a homeowner sees.
   * With a device: what is done on the phone that holds the tub is shown on that one only.
   */
  readonly view: (state: JobState, person: string, now: number, device?: string) => JobView
}

/** What this program can run; an edition that needs more is refused. */
export const SEMANTICS = 1

/**
 * The engine over whatever walks single steps: the machines (machines.ts) or the bare tables.
 *
 * Shape:  an edition in, its engine out; lengths are made once and kept inside.
 * Errors: throws when the edition needs other semantics: shells check `edition.semantics` before.
 */
export function engineOf(edition: Edition, next: NextTarget): Engine {
  if (edition.semantics !== SEMANTICS) throw new Error(`edition ${edition.number} needs semantics ${String(edition.semantics)}`)
  const walker = createWalker(edition, next)
  const evolve = createEvolve(edition, walker)
  const decide = createDecide({ edition, evolve, walker })
  const view = createView(edition, createLengths(edition))
  return {
    edition,
    evolve,
    view,
    due: (state, now) => isDue(edition, state, now),
    decide: (state, envelope, context) => {
      const decided = decide(state, envelope, context.now)
      return decided.ok ? ok(decided.value.events) : decided
    },
    run: (state, envelope, context) => decide(state, envelope, context.now),
    fold: (events) => {
      let state: JobState | undefined
      for (const event of events) state = evolve(state, event)
      return state
    },
    open: (order, opening) => {
      const symptom = edition.symptoms.find((one) => one.flow === order.flow && one.complaint === order.complaint)
      if (symptom === undefined) {
        return failed('JOB_ANSWER_NOT_OFFERED', 'Pick the complaint from the list.', {
          details: { offered: edition.symptoms.map((one) => one.complaint) },
        })
      }
      const opened = openedEvent(order, opening, edition.number)
      const join: Envelope = {
        id: `${opening.commandId}-1`,
        person: order.person.id,
        role: order.person.role,
        device: opening.device,
        channel: opening.channel,
        command: { type: 'join', person: order.person, on_site: false },
      }
      const joined = decide(evolve(undefined, opened), join, opening.now)
      return joined.ok ? ok([opened, ...joined.value.events]) : joined
    },
  }
}

/**
 * A whole log, each event folded by the engine of the edition it was written on: a job may have been carried over.
 *
 * Errors: GRAPH_EDITION_UNKNOWN with `details.edition` for an edition that is not held; JOB_UNKNOWN for no events at all.
 */
export function foldLog(
  events: Iterable<JobEvent>,
  engineFor: (edition: number) => Engine | undefined,
): Result<{ readonly engine: Engine; readonly state: JobState }> {
  let folded: { engine: Engine; state: JobState } | undefined
  for (const event of events) {
    const engine = folded?.engine.edition.number === event.edition ? folded.engine : engineFor(event.edition)
    if (engine === undefined)
      return failed(
        'GRAPH_EDITION_UNKNOWN',
        `This job runs on edition ${event.edition}, which is not held here. Bring it, then try again.`,
        {
          details: { edition: event.edition },
        },
      )
    folded = { engine, state: engine.evolve(folded?.state, event) }
  }
  return folded === undefined ? failed('JOB_UNKNOWN', 'There is no such job. Check the link, or open a new job.') : ok(folded)
}

/** The phone's engine: single steps by the tables, which the laws show to be the machines' own; a third of the script smaller. */
export function createTableEngine(edition: Edition): Engine {
  return engineOf(edition, nextByTables(edition))
}

function openedEvent(order: OpenJob, opening: Opening, edition: number): JobEvent {
  return {
    id: opening.commandId,
    job: opening.job,
    type: 'job-opened',
    v: 1,
    at: opening.now,
    by: { person: order.person.id, role: order.person.role },
    channel: opening.channel,
    device: opening.device,
    visit: 0,
    edition,
    body: { flow: order.flow, complaint: order.complaint, short: opening.short, words: order.words, practice: order.practice ?? false },
  }
}
