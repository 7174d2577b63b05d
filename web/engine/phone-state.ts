// What the phone holds of one job in memory: the server's lines, its own commands on top, and the state they fold to.
// Nothing here waits: disk and network are phone-job.ts and exchange.ts.
import { foldLog } from '#graphs'
import type { Engine, JobState } from '#graphs'
import type { Command, JobEvent, JobView } from '#graphs/contract'
import { unitLabel } from '../form/unit.ts'
import type { KeptJob, Outgoing } from './store.ts'

export type Held = {
  /** Of the edition the job stands on. */
  readonly engine: Engine
  /** Of every edition that the log was written on. */
  readonly engines: ReadonlyMap<number, Engine>
  readonly job: KeptJob
  readonly events: readonly JobEvent[]
  readonly outgoing: readonly Outgoing[]
  readonly state: JobState
}

export function pendingOf(held: Pick<Held, 'outgoing'>): readonly Outgoing[] {
  return held.outgoing.filter((one) => one.refused === undefined)
}

type Unfolded = Omit<Held, 'engine' | 'state'>

/** Everything believed as it was written. Undefined when the server's lines fold to nothing. */
export function foldHeld(held: Unfolded): Held | undefined {
  const folded = foldLog([...held.events, ...pendingOf(held).flatMap((one) => one.events)], (edition) => held.engines.get(edition))
  return folded.ok ? { ...held, ...folded.value } : undefined
}

/** Who decides a command: the engine of the edition that the job goes over to, or of the one it stands on. */
export function engineFor(held: Pick<Held, 'engine' | 'engines'>, command: Command): Engine {
  return command.type === 'carry-over' ? (held.engines.get(command.to) ?? held.engine) : held.engine
}

/**
 * The server's log went on in another way than this phone thought: own commands are decided again on top of it.
 * One that no longer fits is kept, with the reason.
 */
export function rebase(held: Unfolded): Held | undefined {
  const base = foldHeld({ ...held, outgoing: [] })
  if (base === undefined) return undefined
  let { engine, state } = base
  const outgoing: Outgoing[] = []
  for (const one of held.outgoing) {
    if (one.refused !== undefined) {
      outgoing.push(one)
      continue
    }
    const decider = engineFor({ ...base, engine }, one.envelope.command)
    const decided = decider.decide(state, one.envelope, { now: one.events[0]?.at ?? state.lastAt })
    if (!decided.ok) outgoing.push({ ...one, refused: decided.problem })
    else if (decided.value.length > 0) {
      outgoing.push({ ...one, events: decided.value })
      engine = decider
      state = decided.value.reduce<JobState>(engine.evolve, state)
    }
  }
  return { ...held, engine, outgoing, state }
}

/** A command in words, so that it can be shown again if the server refuses it. */
export function describeCommand(
  command: Command,
  view: JobView | undefined,
): { readonly title: string; readonly lines: readonly string[] } {
  if (command.type === 'answer' || command.type === 'change') {
    const past = command.type === 'change' ? view?.trail.find((item) => item.key === command.key)?.title : undefined
    const step = command.type === 'answer' && view?.step?.place === command.place ? view.step : undefined
    const label = step?.outcomes.find((one) => one.outcome === command.outcome)?.label ?? command.outcome
    const readings = Object.values(command.readings ?? {})
      .flat()
      .map((one) => `${one.typed} ${unitLabel(one.unit)}`.trim())
    const lines = [label, ...readings, ...formLines(command.form), command.words].filter((line) => line !== undefined && line !== '')
    return { title: past ?? step?.title ?? 'Answer', lines: lines as string[] }
  }
  return { title: TITLES[command.type] ?? 'Entry', lines: 'words' in command && command.words !== undefined ? [command.words] : [] }
}

function formLines(form: object | undefined): string[] {
  if (form === undefined) return []
  return Object.entries(form).flatMap(([name, value]) => (name === 'form' ? [] : [`${name.replaceAll('_', ' ')}: ${asWords(value)}`]))
}

/** Whatever was typed, in a line that a person can copy from. */
function asWords(value: unknown): string {
  if (value === null) return 'not known'
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  if (typeof value !== 'object') return String(value)
  if (Array.isArray(value)) return value.map(asWords).join('; ')
  if ('typed' in value && 'unit' in value) return `${String(value.typed)} ${unitLabel(String(value.unit))}`.trim()
  return Object.entries(value)
    .map(([name, inner]) => `${name.replaceAll(/[_:]/g, ' ')} ${asWords(inner)}`)
    .join(', ')
}

const TITLES: { readonly [type in Command['type']]?: string } = {
  undo: 'Undo',
  stop: 'Stop',
  'red-flag': 'Red flag',
  join: 'Joined',
  arrive: 'Arrived on site',
  leave: 'Left',
  'take-tub': 'Took the tub',
  mend: 'Power state mended',
  'clear-hazard': 'Hazard cleared',
  'confirm-outcome': 'Outcome confirmed',
  'state-fact': 'Fact',
  'carry-over': 'Carried over to a newer edition',
}

/** What others wrote meanwhile, in one sentence; undefined when it was nothing a person needs to know. */
export function newsOf(foreign: readonly JobEvent[], view: JobView, me: string | undefined): string | undefined {
  const names = new Map(view.people.map((person) => [person.id, person.name]))
  const others = foreign.filter((event) => event.by.person !== me && event.type !== 'proof-lapsed')
  const said = others.flatMap((event) => {
    const name = names.get(event.by.person) ?? 'Somebody'
    switch (event.type) {
      case 'answer-given':
      case 'answer-changed': {
        const item = view.trail.find((one) => one.key === event.body.key)
        return item === undefined ? [] : [`${name}: ${item.title}, ${item.answer}.`]
      }
      case 'person-joined':
        return [`${name} joined.`]
      case 'person-left':
        return [`${name} left.`]
      case 'tub-handed':
        return [`${name} holds the tub now.`]
      case 'hazard-seen':
        return [`${name} reported a hazard.`]
      case 'job-ended':
        return ['The job has ended.']
      case 'job-carried-over':
        return [`${name} carried the job over to edition ${event.body.to}.`]
      default:
        return []
    }
  })
  return said.length === 0 ? undefined : [...new Set(said)].slice(-3).join(' ')
}
