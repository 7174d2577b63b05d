// Words and times that several parts of the page show. Plain and short; nothing is looked up or computed for the trade here.
// Words of the trade come ready from the engine.
import type { JobView, PowerState, StepView, TrailItem } from '#graphs/contract'

const POWER: { readonly [power in PowerState]: string } = {
  closed: 'Covers on, power as found',
  'live-shut': 'Power on, covers on',
  proving: 'Off and locked, not proved: treat it as live',
  locked: 'Locked, proved dead',
  'live-open': 'Open and not proved dead: live',
}

/**
 * Covers on and no lock is the state of a tub as it was found, of one that is off, and of one that everybody has left.
 * Off is claimed only while somebody stands at it.
 */
export function powerWords(power: PowerState, index: number, isHeldNow: boolean): string {
  if (power !== 'closed' || (index === 0 && !isHeldNow)) return POWER[power]
  return isHeldNow ? OFF_AND_SHUT : 'Covers on, power off or nobody there'
}

const OFF_AND_SHUT = 'Covers on, power off'

export function powerNow(view: Pick<JobView, 'power' | 'holder' | 'rail'>): string {
  if (view.power !== 'closed') return POWER_SHORT[view.power]
  if (view.holder !== undefined) return OFF_AND_SHUT
  return view.rail.some((point) => point.power !== 'closed') ? 'Covers on, nobody there' : POWER_SHORT.closed
}

/** Short enough for the header. */
const POWER_SHORT: { readonly [power in PowerState]: string } = {
  closed: 'As found, covers on',
  'live-shut': 'Power on, covers on',
  proving: 'Locked, not proved: treat as live',
  locked: 'Locked, proved',
  'live-open': 'Open, live',
}

const PART: { readonly [part: string]: string } = {
  phone: 'on the phone',
  arrive: 'to see the tub as found',
  'make-dead': 'to make it dead',
  find: 'to find it',
  mend: 'to mend it',
  prove: 'to prove it',
  close: 'to close the job',
}

export function atMostWords(view: JobView): string {
  const { at_most: most, part } = view
  return `at most ${most} more ${most === 1 ? 'step' : 'steps'} ${PART[part] ?? part}`
}

export const KIND: { readonly [kind in StepView['kind']]: string } = {
  ask: 'Ask',
  read: 'Read',
  do: 'Do',
  record: 'Record',
  wait: 'Wait',
  refer: 'Pass on',
  fit: 'Fit',
  finish: 'Finish',
}

export const ROLE: { readonly [role in JobView['people'][number]['role']]: string } = {
  homeowner: 'Homeowner',
  dispatcher: 'Dispatcher',
  technician: 'Technician',
  electrician: 'Licensed electrician',
}

export const SIGN_OFF: { readonly [sign in JobView['people'][number]['signed'][number]]: string } = {
  'absence-of-voltage': 'May prove that it is dead',
  'energized-work': 'May measure on live parts',
}

export const AUTO: { readonly [auto: string]: string } = {
  decided: 'worked out from the answers above',
  'still-stands': 'an earlier result still holds',
  'gate-shut': 'hands stay out of the water',
}

/** A number and its unit stay on one line. */
export function unbroken(text: string): string {
  return text.replace(/(\d) (?=(?:°[FC]|[kM]?Ω|[kM]?W|m?A|V|min|ft|gal|L|h)(?![A-Za-z]))/g, '$1\u00a0')
}

export function verdictWords(verdict: NonNullable<TrailItem['verdict']>): string {
  if (verdict.mark === 'in') return 'In'
  if (verdict.mark === 'cannot-tell') return 'Cannot tell'
  return verdict.direction === undefined ? 'Out' : `Out, ${verdict.direction}`
}

export function clock(at: number): string {
  const date = new Date(at)
  return `${String(date.getHours()).padStart(2, '0')}:${String(date.getMinutes()).padStart(2, '0')}`
}

export function day(at: number): string {
  return new Date(at).toLocaleDateString(undefined, { weekday: 'short', day: 'numeric', month: 'short' })
}

/** "12:05" for what is left; never below nothing. */
export function timeLeft(ms: number): string {
  const seconds = Math.max(0, Math.ceil(ms / 1000))
  const hours = Math.floor(seconds / 3600)
  const minutes = Math.floor((seconds % 3600) / 60)
  const rest = String(seconds % 60).padStart(2, '0')
  return hours > 0 ? `${hours}:${String(minutes).padStart(2, '0')}:${rest}` : `${minutes}:${rest}`
}
