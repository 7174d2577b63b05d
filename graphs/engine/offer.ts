// Who may do the present step: role, sign-off, place, holder of the tub, and every safety observer. Asked before a step is shown and again before an answer counts.
// What a step shows is view.ts; what an answer means is answer.ts.
import type { Edition, HandPlace, Part, Role, SignOff, Step } from '../edition/compiled.ts'
import { isPartless } from '../edition/lengths.ts'
import type { Problem } from '../result.ts'
import { breachOf } from '../safety/observers.ts'
import { placesNotProved } from '../safety/power.ts'
import { actOfStep } from './acts.ts'
import { own } from './lookup.ts'
import type { Entry, Frame, JobState } from './state.ts'

export type Here = { readonly frames: readonly Frame[]; readonly frame: Frame; readonly step: Step; readonly key: string }

/** The present place; undefined when the job has none (never before its end). */
export function here(edition: Edition, state: JobState): Here | undefined {
  const { frames } = state.path
  const frame = frames.at(-1)
  if (frame === undefined) return undefined
  const step = edition.blocks[frame.block]?.steps[frame.step]
  return step === undefined ? undefined : { frames, frame, step, key: frame.key }
}

export type Person = {
  readonly id: string
  readonly role: Role
  readonly signed: readonly SignOff[]
  readonly onSite: boolean
  /** The phone that is spoken through; unknown where nobody speaks. */
  readonly device?: string
}

export function personOf(state: JobState, id: string, device?: string): Person | undefined {
  const person = own(state.people, id)
  return person === undefined || !person.here
    ? undefined
    : { id, role: person.role, signed: person.signed, onSite: state.tub.onSite.includes(id), ...(device === undefined ? {} : { device }) }
}

/** Steps that only the phone holding the tub shows: hands inside, locks, power. */
export function isHeld(step: Step): boolean {
  if (step.needs === 'dead' || step.needs === 'proving' || step.needs === 'live-open' || step.starts !== undefined)
    return step.who.every((role) => role === 'technician')
  return Object.values(step.outcomes).some((outcome) => outcome.effects?.some((effect) => HELD_EFFECTS.has(effect.do)))
}
const HELD_EFFECTS = new Set(['energy', 'lock', 'unlock', 'covers', 'proof', 'leads'])

/** Only technicians and electricians do it, and something of the tub is touched or looked at: they must stand there. */
function needsPresence(step: Step): boolean {
  const forOutsiders = step.who.includes('homeowner') || step.who.includes('dispatcher')
  return !forOutsiders && (step.needs !== 'talk' || step.part !== 'phone')
}

/** Why this person may not do this step, or nothing. Safety observers are asked last, with the step as done. */
export function refusal(state: JobState, person: Person, { step }: Pick<Here, 'step'>): Problem | undefined {
  if (!step.who.includes(person.role)) {
    return { code: 'JOB_NOT_FOR_ROLE', message: `This step is for: ${step.who.join(', ')}.`, details: { who: step.who } }
  }
  if (needsPresence(step) && !person.onSite) {
    return {
      code: 'JOB_NOT_FOR_ROLE',
      message: 'This step is for a technician who stands at the tub. Arrive on site first.',
      details: { onSite: true },
    }
  }
  const missing = step.signed.filter((signOff) => !person.signed.includes(signOff))
  if (missing.length > 0) {
    return { code: 'JOB_SIGN_OFF_MISSING', message: `This step needs the sign-off: ${missing.join(', ')}.`, details: { missing } }
  }
  if (person.onSite && isHeld(step) && isHeldByOther(state, person)) {
    return {
      code: 'JOB_NOT_HOLDER',
      message: 'Another phone holds the tub. Take it over, said aloud, or wait.',
      details: { holder: state.tub.holder?.person },
    }
  }
  return undefined
}

/** Whether another phone holds the tub: that of somebody else, or a second one of this person. */
export function isHeldByOther({ tub: { holder } }: JobState, person: Pick<Person, 'id' | 'device'>): boolean {
  if (holder === undefined) return false
  return holder.person !== person.id || (person.device !== undefined && person.device !== holder.device)
}

/** Whether this person, who may not do the step, sends the job the other way: at the tub, and with the phone that holds it. */
export function goesOtherwise(state: JobState, person: Person, { step }: Pick<Here, 'step'>): boolean {
  return step.outcomes.otherwise !== undefined && person.onSite && step.who.includes(person.role) && !isHeldByOther(state, person)
}

/** The safety rule that doing the step now would break. */
export function safetyRefusal(edition: Edition, state: JobState, person: string, key: string, outcome = 'done'): Problem | undefined {
  const act = actOfStep(edition, state, key, person, outcome)
  const breach = act === undefined ? undefined : breachOf(state.watch, act)
  return breach === undefined ? undefined : { code: 'JOB_SAFETY', message: breach.says, details: { rule: breach.rule, name: breach.name } }
}

export const ALL_PLACES: readonly HandPlace[] = ['terminals', 'board', 'heater', 'pump']

/** Places that can be proved now. Needed: the feed terminals, and where hands go in the step the proof was put for. */
export function placesToProve(
  edition: Edition,
  state: JobState,
  person: string,
): readonly { readonly place: HandPlace; readonly needed: boolean }[] {
  const { frames } = state.path
  const putAt = frames.findLastIndex((frame) => frame.put !== undefined)
  const below = putAt > 0 ? frames[putAt - 1] : undefined
  // A proof that is corrected later was put for no step of now: then the terminals alone must stand in it.
  const wanted = below === undefined ? [] : (edition.blocks[below.block]?.steps[below.step]?.at ?? [])
  const open = placesNotProved(state.tub, person, ALL_PLACES)
  return (open.length === 0 ? ALL_PLACES : open).map((place) => ({ place, needed: place === 'terminals' || wanted.includes(place) }))
}

/** The part of the job that the present step belongs to; a test card takes the part of whoever called it. */
export function partNow(edition: Edition, state: JobState): Part {
  for (const frame of state.path.frames.toReversed()) {
    const block = edition.blocks[frame.block]
    const part = block?.steps[frame.step]?.part
    if (block !== undefined && part !== undefined && !isPartless(edition, block)) return part
  }
  return 'find'
}

/** An answer of somebody of the trade is corrected by the trade: nobody else saw what they saw. */
export function mayCorrect(state: JobState, step: Step, entry: Entry, role: Role): boolean {
  const given = own(state.people, entry.person)?.role
  return step.who.includes(role) && (!isOutsider(role) || given === undefined || isOutsider(given))
}

/** Homeowner and dispatcher: they tell and ask, they do not see the tub opened. */
export function isOutsider(role: Role): boolean {
  return role === 'homeowner' || role === 'dispatcher'
}

/** The last answer that a person gave in this visit (or phone part): what undo takes back. */
export function lastByHand(state: JobState): string | undefined {
  const { path } = state
  const segment = `${path.segments.length - 1}|`
  return path.trail.findLast((key) => key.startsWith(segment) && path.entries[key]?.auto === undefined)
}
