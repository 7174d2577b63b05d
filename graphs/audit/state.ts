// What the audit knows of a job at one moment: a few named values, each with a default, and the memory of one observer.
// How moves change it is moves.ts; nothing here knows blocks or procedures.
import type { Condition, Edition, Effect, HandPlace } from '../edition/compiled.ts'
import { BATHING_LIMIT_DEGC, HOT_WATER_DEGC } from '../safety/tub.ts'
import { HAND_LIMIT_DEGC } from '../safety/power.ts'

/** Named values; a value at its default is left out, so that equal states have equal text. */
export type Vars = { readonly [name: string]: string }
/** Which values are told apart. Everything else may be anything: more ways, never fewer. */
export type Tracked = ReadonlySet<string> | 'all'

export type State = { readonly vars: Vars; readonly memory: unknown; /** The same for equal states of one search. */ readonly id: number }

const DEFAULTS: Vars = { energy: 'on', covers: 'on' }
/** Never told apart: what a person knows or may do differs from job to job, and both is looked at. */
const ANYTHING = /^(fact|signed):/

export function isTracked(tracked: Tracked, name: string): boolean {
  return !ANYTHING.test(name) && (tracked === 'all' || tracked.has(name))
}

export function valueOf(vars: Vars, name: string): string {
  return vars[name] ?? DEFAULTS[name] ?? ''
}

export type Changes = { readonly [name: string]: string }

export function withChanges(vars: Vars, changes: Changes, tracked: Tracked): Vars {
  let after: { [name: string]: string } | undefined
  for (const [name, value] of Object.entries(changes)) {
    if (!isTracked(tracked, name) || valueOf(vars, name) === value) continue
    after ??= { ...vars }
    if (value === (DEFAULTS[name] ?? '')) delete after[name]
    else after[name] = value
  }
  return after ?? vars
}

/** Equal states become one and the same, so that they are compared by their number. */
export function createStates(): (vars: Vars, memory: unknown) => State {
  const known = new Map<string, State>()
  return (vars, memory) => {
    let text = JSON.stringify(memory)
    for (const name of Object.keys(vars).toSorted()) text += `;${name}=${vars[name]}`
    let state = known.get(text)
    if (state === undefined) {
      state = { vars, memory, id: known.size }
      known.set(text, state)
    }
    return state
  }
}

/** A memory that means the same has the same text: lists are sets, here sorted and without doubles. */
export function settledMemory(memory: unknown): unknown {
  if (Array.isArray(memory)) {
    const parts = memory.map((part) => settledMemory(part))
    const byText = new Map(parts.map((part) => [JSON.stringify(part), part]))
    return [...byText.entries()].toSorted(([a], [b]) => (a < b ? -1 : 1)).map(([, part]) => part)
  }
  if (typeof memory !== 'object' || memory === null) return memory
  return Object.fromEntries(Object.entries(memory).map(([name, part]) => [name, settledMemory(part)]))
}

/** Names that a condition reads. */
export function namesIn(condition: Condition): readonly string[] {
  if ('result' in condition) return [`result:${condition.result}`]
  if ('flag' in condition) return [`flag:${condition.flag}`]
  if ('no_flag' in condition) return [`flag:${condition.no_flag}`]
  if ('hazard' in condition) return [`hazard:${condition.hazard}`]
  if ('no_hazard' in condition) return [`hazard:${condition.no_hazard}`]
  if ('mark' in condition) return [`mark:${condition.mark}`]
  if ('no_mark' in condition) return [`mark:${condition.no_mark}`]
  if ('fact' in condition) return [`fact:${condition.fact}`]
  if ('energy' in condition) return ['energy']
  if ('covers' in condition) return ['covers']
  if ('locked' in condition) return ['energy', 'lock:own', 'lock:shop', 'lock:others']
  if ('lock' in condition) return [`lock:${condition.lock}`]
  if ('no_lock' in condition) return [`lock:${condition.no_lock}`]
  if ('on_site' in condition) return ['onSite']
  if ('signed' in condition) return [`signed:${condition.signed}`]
  return 'resets_used' in condition ? ['resets'] : ['water']
}

/** Whether a condition holds; undefined where what it reads is not told apart. */
export function truthOf(condition: Condition, vars: Vars, tracked: Tracked): boolean | undefined {
  if (namesIn(condition).some((name) => !isTracked(tracked, name))) return undefined
  const has = (name: string) => valueOf(vars, name) !== ''
  if ('result' in condition) {
    const outcome = outcomeOf(valueOf(vars, `result:${condition.result}`))
    return 'is' in condition ? outcome !== '' && condition.is.includes(outcome) : outcome === '' || !condition.not.includes(outcome)
  }
  if ('energy' in condition) return condition.energy.includes(valueOf(vars, 'energy') as 'on')
  if ('covers' in condition) return valueOf(vars, 'covers') === condition.covers
  if ('locked' in condition) return isLockedIn(vars) === condition.locked
  if ('on_site' in condition) return has('onSite') === condition.on_site
  if ('resets_used' in condition) return has('resets') === condition.resets_used
  if ('water_above' in condition) return has('water') && Number(valueOf(vars, 'water')) > condition.water_above
  const isNegative = Object.keys(condition).some((word) => word.startsWith('no_'))
  return has(namesIn(condition)[0] ?? '') !== isNegative
}

export function isLockedIn(vars: Vars): boolean {
  return valueOf(vars, 'energy') === 'off' && ['lock:own', 'lock:shop', 'lock:others'].some((lock) => valueOf(vars, lock) !== '')
}

// A result is `outcome`, then `~` once it no longer lasts, then `/part` for each part fitted since.

export function outcomeOf(result: string): string {
  return result.split(/[~/]/)[0] ?? ''
}

export function stillLasts(result: string): boolean {
  return result !== '' && !result.includes('~')
}

export function speaksFor(result: string, outcome: string, part: string): boolean {
  return outcomeOf(result) === outcome && !result.split('/').slice(1).includes(part)
}

const evidence = new WeakMap<Edition, ReadonlySet<string>>()

/** Whether a result of the test is evidence for the part anywhere. */
function isEvidence(edition: Edition, test: string, part: string): boolean {
  let known = evidence.get(edition)
  if (known === undefined) {
    const fits = Object.values(edition.blocks).flatMap((block) => Object.values(block.steps).flatMap((step) => step.fit ?? []))
    known = new Set(
      fits.flatMap((fit) => [...fit.evidence.one_of, ...fit.evidence.all_of].map((named) => `${named.split('=')[0]}/${fit.part}`)),
    )
    evidence.set(edition, known)
  }
  return known.has(`${test}/${part}`)
}

/** Results that end with this: a new visit, power back, a part fitted. */
export function endResults(edition: Edition, vars: Vars, lasting: readonly string[], part?: string): Changes {
  const changes: { [name: string]: string } = {}
  for (const [name, value] of Object.entries(vars)) {
    if (!name.startsWith('result:')) continue
    const test = name.slice('result:'.length)
    const lasts = edition.blocks[test]?.lasts
    const [outcome = '', ...parts] = value.split('/')
    const ended = typeof lasts === 'string' && lasting.includes(lasts) && !outcome.endsWith('~') ? `${outcome}~` : outcome
    changes[name] = [ended, ...new Set(part === undefined || !isEvidence(edition, test, part) ? parts : [...parts, part].toSorted())].join(
      '/',
    )
  }
  return changes
}

/** What an effect changes in the tub and on the path. `proved`: places of a proof made now. */
export function changesOf(edition: Edition, effect: Effect, vars: Vars, proved: readonly HandPlace[]): Changes {
  switch (effect.do) {
    case 'energy':
      if (effect.to === 'off') return { energy: 'off', clear: '' }
      return { energy: 'on', proof: '', ...(valueOf(vars, 'energy') === 'on' ? {} : endResults(edition, vars, ['until-power-up'])) }
    case 'covers':
      return { covers: effect.to }
    case 'lock':
      return { [`lock:${effect.owner}`]: 'yes' }
    case 'unlock':
      return effect.owner === 'own' ? { 'lock:own': '', proof: '' } : { [`lock:${effect.owner}`]: '' }
    case 'proof':
      return { proof: [...new Set([...valueOf(vars, 'proof').split(','), ...proved])].filter(Boolean).toSorted().join() }
    case 'hazard':
      return { [`hazard:${effect.hazard}`]: 'yes' }
    case 'clear-hazard':
      return { [`hazard:${effect.hazard}`]: '' }
    case 'mark':
      return { [`mark:${effect.mark}`]: 'yes' }
    case 'unmark':
      return { [`mark:${effect.mark}`]: '', ...(effect.mark === 'water-clear' ? { clear: '' } : {}) }
    case 'flag':
      return { [`flag:${effect.flag}`]: 'yes' }
    case 'reset':
      return { resets: 'yes' }
    case 'water-clear':
      return { clear: 'yes' }
    case 'part-in':
      return endResults(edition, vars, ['until-part-fitted'], effect.part)
    default:
      return {}
  }
}

/** One temperature from between each two limits that anything in the edition asks about, degC. */
export function waterValues(edition: Edition): readonly number[] {
  const limits = new Set([BATHING_LIMIT_DEGC, HOT_WATER_DEGC - 0.01, HAND_LIMIT_DEGC])
  for (const block of Object.values(edition.blocks)) {
    for (const step of Object.values(block.steps))
      for (const condition of (step.cases ?? []).flatMap((one) => one.when))
        if ('water_above' in condition) limits.add(condition.water_above)
  }
  const sorted = [...limits].toSorted((a, b) => a - b)
  return [...sorted.map((limit, index) => (index === 0 ? limit - 1 : (limit + (sorted[index - 1] ?? limit)) / 2)), (sorted.at(-1) ?? 0) + 1]
}
