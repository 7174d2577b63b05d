// Every way out of one step in one state: decided, called, put on top, answered, ended. One observer looks on and may object.
// Which states are reached is search.ts; over procedures it knows only their exits.
import type { Edition, Effect, HandPlace, Outcome, Role, Standing, Step } from '../edition/compiled.ts'
import type { Act, Observer } from '../safety/act.ts'
import { isBreach } from '../safety/act.ts'
import { HOT_WATER_DEGC } from '../safety/tub.ts'
import { isComputed } from '../engine/answer.ts'
import { ALL_PLACES } from '../engine/offer.ts'
import { actOf, actsOfEffect, otherHolder, personOf } from './acts.ts'
import type { Footprint } from './footprint.ts'
import { changesOf, endResults, isTracked, settledMemory, speaksFor, stillLasts, truthOf, valueOf, withChanges } from './state.ts'
import type { State, Tracked, Vars } from './state.ts'

export type World = {
  readonly edition: Edition
  readonly observer: Observer<unknown>
  /** The part of the observer's memory that this search keeps. */
  readonly keeps: (memory: unknown) => unknown
  readonly tracked: Tracked
  /** With interruption, hand-over and arrival at every place; without, the authors' arrows alone. */
  readonly gateOn: boolean
  readonly water: readonly number[]
  readonly footprint: Footprint
  readonly states: (vars: Vars, memory: unknown) => State
}

/** What lies below a place and matters to it: procedures that are not put twice, and where hands go in the step that waits. */
export type Below = { readonly blocks: readonly string[]; readonly wanted: readonly HandPlace[]; readonly text: string }
export const NOTHING_BELOW: Below = { blocks: [], wanted: [], text: '' }

export type Cause = 'dead' | 'prove' | 'live_shut' | 'live_open' | 'water_clear' | 'stop' | 'leave' | 'red-flag'
export type Next =
  | { readonly go: 'to'; readonly to: string }
  | { readonly go: 'call'; readonly block: string }
  | { readonly go: 'put'; readonly block: string; readonly cause: Cause }
  | { readonly go: 'end' }
  | { readonly go: 'arrive' }

/** `key` tells the moves of one place apart; a breach is a move that must never come about. */
export type Move = { readonly key: string; readonly state: State; readonly next: Next; readonly breach?: string; readonly byHand: boolean }

/** The state in which every job begins. */
export function firstState(world: World): State {
  return world.states({}, settledMemory(world.keeps(world.observer.start)))
}

type Trial = { readonly vars: Vars; readonly memory: unknown; readonly breach?: string }

/** Lets the observer see acts one after the other. */
function see(world: World, trial: Trial, acts: readonly Act[]): Trial {
  let { memory, breach } = trial
  for (const act of acts) {
    if (breach !== undefined) break
    const next = world.observer.next(memory, act)
    if (isBreach(next)) breach = next.breach
    else memory = next
  }
  if (breach === undefined) return memory === trial.memory ? trial : { vars: trial.vars, memory }
  return { vars: trial.vars, memory, breach }
}

function change(world: World, trial: Trial, changes: { readonly [name: string]: string }): Trial {
  const vars = withChanges(trial.vars, changes, world.tracked)
  return vars === trial.vars ? trial : { vars, memory: trial.memory, ...(trial.breach === undefined ? {} : { breach: trial.breach }) }
}

type By = { readonly role: Role; readonly signed: boolean; readonly step: Step; readonly proved: readonly HandPlace[] }

/** One effect. A hazard that is not told apart may or may not have stood. */
function effectTrials(world: World, trial: Trial, effect: Effect, by: By): readonly Trial[] {
  const { vars } = trial
  const after = (acts: readonly Act[], extra = {}) =>
    change(world, see(world, trial, acts), { ...changesOf(world.edition, effect, vars, by.proved), ...extra })
  if (effect.do === 'clear-hazard') {
    const name = `hazard:${effect.hazard}`
    const acts: Act[] = [{ act: 'cleared', hazard: effect.hazard, by: by.role, how: 'step' }]
    if (isTracked(world.tracked, name)) return valueOf(vars, name) === '' ? [trial] : [after(acts)]
    return [trial, after(acts)]
  }
  const facts = { role: by.role, vars, signed: by.signed }
  if (effect.do !== 'part-in') return [after(actsOfEffect(effect, { ...facts, evidence: true }, by.proved))]
  return evidenceFor(world, vars, by.step, effect.part).map((evidence) => after(actsOfEffect(effect, { ...facts, evidence }, by.proved)))
}

/** Whether the part has its evidence; both, where the results are not told apart. */
function evidenceFor(world: World, vars: Vars, step: Step, part: string): readonly boolean[] {
  const { fit } = step
  if (fit === undefined || fit.part !== part) return [false]
  if (fit.consumable) return [true]
  const { one_of, all_of } = fit.evidence
  const named = [...one_of, ...all_of]
  if (named.some((name) => !isTracked(world.tracked, `result:${name.split('=')[0]}`))) return [true, false]
  const stands = (name: string) => {
    const [test = '', outcome = ''] = name.split('=')
    return speaksFor(valueOf(vars, `result:${test}`), outcome, part)
  }
  return [named.length > 0 && all_of.every(stands) && (one_of.length === 0 || one_of.some(stands))]
}

function allEffects(world: World, trial: Trial, effects: readonly Effect[], by: By): readonly Trial[] {
  let trials: readonly Trial[] = [trial]
  for (const effect of effects) trials = trials.flatMap((one) => (one.breach === undefined ? effectTrials(world, one, effect, by) : [one]))
  return trials
}

function moveOf(world: World, key: string, trial: Trial, next: Next, byHand: boolean): Move {
  const state = 'id' in trial ? (trial as State) : world.states(trial.vars, settledMemory(world.keeps(trial.memory)))
  return { key, state, next, byHand, ...(trial.breach === undefined ? {} : { breach: trial.breach }) }
}

/** Where an outcome leads; a backward arrow may be used up at any time. */
function targetsOf(name: string, outcome: Outcome): readonly { readonly key: string; readonly next: Next }[] {
  const first = { key: name, next: { go: 'to', to: outcome.to } as const }
  return outcome.again === undefined ? [first] : [first, { key: `${name}, used up`, next: { go: 'to', to: outcome.again.then } }]
}

/** All ways out of a step. */
export function movesOf(world: World, below: Below, block: string, step: Step, state: State): readonly Move[] {
  if (step.kind === 'decide') return decided(world, step, state)
  if (step.kind === 'call') return called(world, step, state)
  if (step.kind === 'finish' || step.kind === 'refer') return [ended(world, step, state)]
  const between = world.gateOn ? interruptions(world, below, state) : []
  const site = valueOf(state.vars, 'onSite') !== ''
  if (
    !site &&
    step.who.every((role) => role === 'technician' || role === 'electrician') &&
    (step.needs !== 'talk' || step.part !== 'phone')
  )
    return [moveOf(world, 'arrive', state, { go: 'arrive' }, true), ...between]
  const gates = gatesOf(world, below, step, state)
  const puts = gates.map(({ block, cause }) => moveOf(world, `gate ${cause}`, state, { go: 'put', block, cause }, false))
  return [...between, ...puts, ...(gates.at(-1)?.sure === true ? [] : answers(world, below, block, step, state))]
}

function decided(world: World, step: Step, state: State): readonly Move[] {
  const moves: Move[] = []
  const seen = new Set<string>()
  for (const one of step.cases ?? []) {
    const truths = one.when.map((condition) => truthOf(condition, state.vars, world.tracked))
    if (truths.includes(false)) continue
    const outcome = step.outcomes[one.outcome]
    if (outcome !== undefined && !seen.has(one.outcome)) moves.push(...arrowMoves(world, step, one.outcome, outcome, state, false))
    seen.add(one.outcome)
    if (!truths.includes(undefined)) break
  }
  return moves
}

/** Effects on the arrow of a decide or call step, brought about by whoever comes by. */
function arrowMoves(world: World, step: Step, name: string, outcome: Outcome, state: State, byHand: boolean): readonly Move[] {
  const role = step.who.includes('technician') ? 'technician' : (step.who[0] ?? 'homeowner')
  const by: By = { role, signed: true, step, proved: [] }
  const trials = allEffects(world, state, outcome.effects ?? [], by)
  return targetsOf(name, outcome).flatMap(({ key, next }) => trials.map((trial) => moveOf(world, key, trial, next, byHand)))
}

function called(world: World, step: Step, state: State): readonly Move[] {
  if (step.call === undefined) return []
  const { block, fresh } = step.call
  const moves: Move[] = [moveOf(world, 'call', state, { go: 'call', block }, false)]
  if (fresh || world.edition.blocks[block]?.kind !== 'test') return moves
  const name = `result:${block.split('~')[0]}`
  for (const [exit, outcome] of Object.entries(step.outcomes)) {
    if (exit === 'not-done') continue
    const result = valueOf(state.vars, name)
    if (isTracked(world.tracked, name) && (result.split(/[~/]/)[0] !== exit || !stillLasts(result))) continue
    moves.push(...arrowMoves(world, step, exit, outcome, state, false).map((move) => ({ ...move, key: `still ${move.key}` })))
  }
  return moves
}

function ended(world: World, step: Step, state: State): Move {
  const closing = step.finish ?? step.refer
  if (closing === undefined) return moveOf(world, 'end', state, { go: 'end' }, false)
  const guard = 'guard' in closing && closing.guard !== undefined
  const onSite = valueOf(state.vars, 'onSite') !== ''
  return moveOf(
    world,
    'end',
    see(world, state, [{ act: 'end', ending: closing.ending, tub: closing.tub, guard, onSite }]),
    { go: 'end' },
    false,
  )
}

type Gate = { readonly block: string; readonly cause: StandingCause; readonly sure: boolean }
type StandingCause = 'dead' | 'prove' | 'live_shut' | 'live_open' | 'water_clear'

/** Procedures that the step's own words put on top of it, the engine's order. `sure`: nothing else can be. */
function gatesOf(world: World, below: Below, step: Step, { vars }: State): readonly Gate[] {
  const gates: Gate[] = []
  const add = (cause: StandingCause, sure: boolean) => {
    const { block } = world.edition.standing[cause]
    if (!below.blocks.includes(block)) gates.push({ block, cause, sure })
  }
  /** Whether a value is so; undefined where it is not told apart. */
  const is = (name: string, value: string) => (isTracked(world.tracked, name) ? valueOf(vars, name) === value : undefined)
  const unless = (cause: StandingCause, ...met: readonly (boolean | undefined)[]) => {
    if (met.includes(false)) add(cause, true)
    else if (met.includes(undefined)) add(cause, false)
  }
  if (step.needs === 'dead') {
    const proved = isTracked(world.tracked, 'proof') ? valueOf(vars, 'proof').split(',') : undefined
    const off = [is('energy', 'off'), is('lock:own', 'yes')]
    const isHere = proved === undefined ? undefined : step.at.every((place) => proved.includes(place))
    const some = proved === undefined ? undefined : proved.join() !== ''
    // A further place is proved where one is proved already; all of it is done anew where none is.
    if (!off.includes(false) && some !== false) unless('prove', ...off, isHere)
    if (!(off.every((one) => one === true) && some === true)) unless('dead', ...off, isHere)
  }
  if (step.needs === 'live-shut') unless('live_shut', is('energy', 'on'), is('covers', 'on'))
  if (step.needs === 'shut') unless('live_shut', is('covers', 'on'))
  // The gate for live work was passed for this very step, or it was not: both are looked at.
  if (step.needs === 'live-open') unless('live_open', is('covers', 'off'), is('energy', 'on'), undefined)
  if (step.starts !== undefined) unless('water_clear', is('clear', 'yes'))
  const first = gates.findIndex((gate) => gate.sure)
  return first === -1 ? gates : gates.slice(0, first + 1)
}

const EVERY_ROLE: readonly number[] = [5, 7, 9]

function doersOf(world: World, step: Step): readonly Role[] {
  if (EVERY_ROLE.includes(world.observer.rule) || step.who.length === 1) return step.who
  return [step.who.find((role) => role === 'technician') ?? step.who[0] ?? 'homeowner']
}

function answers(world: World, below: Below, block: string, step: Step, state: State): readonly Move[] {
  const moves: Move[] = []
  for (const [name, outcome] of Object.entries(step.outcomes)) {
    const done = name !== 'not-done' && name !== 'otherwise'
    for (const role of doersOf(world, step)) {
      const acted = see(world, state, [actOf(block, step, role, state.vars, done)])
      const own = step.fit !== undefined && name === 'fitted' ? [{ do: 'part-in', part: step.fit.part } as const] : []
      const rest = (outcome.effects ?? []).filter((effect) => own.length === 0 || effect.do !== 'part-in' || effect.part !== step.fit?.part)
      for (const [index, proved] of provedBy(rest, below).entries()) {
        const by: By = { role, signed: step.signed.includes('absence-of-voltage'), step, proved }
        const trials = readings(world, acted, step, name).flatMap((trial) => allEffects(world, trial, [...own, ...rest], by))
        for (const { key, next } of targetsOf(name, outcome))
          for (const trial of trials) moves.push(moveOf(world, index === 0 ? key : `${key}, every place`, trial, next, true))
      }
    }
  }
  return moves
}

/** A proof holds for the places that had to be proved, or for all of them. */
function provedBy(effects: readonly Effect[], below: Below): readonly (readonly HandPlace[])[] {
  if (!effects.some((effect) => effect.do === 'proof')) return [[]]
  return [[...new Set<HandPlace>(['terminals', ...below.wanted])], ALL_PLACES]
}

/** A thermometer in the water reads anything; a series may have been hotter than it ends. */
function readings(world: World, trial: Trial, step: Step, outcome: string): readonly Trial[] {
  const spec = step.readings?.find((one) => one.name === 'water')
  if (spec === undefined || trial.breach !== undefined || outcome === 'not-done' || outcome === 'otherwise') return [trial]
  const values = isTracked(world.tracked, 'water') ? world.water : [world.water[0] ?? 0, world.water.at(-1) ?? 50]
  const pairs = values.flatMap((last) => {
    const hot = last >= HOT_WATER_DEGC
    return spec.series === undefined || hot
      ? [{ last, hot }]
      : [
          { last, hot },
          { last, hot: true },
        ]
  })
  const read = pairs.map(({ last, hot }) => {
    const measured = change(world, see(world, trial, [{ act: 'water', degC: last }]), { water: String(last) })
    if (!hot) return measured
    const acts: Act[] = valueOf(trial.vars, 'hazard:hot-water') === '' ? [{ act: 'hazard', hazard: 'hot-water' }] : []
    return change(world, see(world, measured, acts), { 'hazard:hot-water': 'yes' })
  })
  // Without a number only where the answer is picked by hand, or the number may be left out.
  return spec.optional === true || !isComputed(step, outcome) ? [trial, ...read] : read
}

/** What anybody may do at any place: stop, leave, a red flag, another person taking the tub, a visit. */
function interruptions(world: World, below: Below, state: State): readonly Move[] {
  const { interrupts, red_flags } = world.edition
  const moves: Move[] = []
  const put = (block: string, cause: Cause, key: string, from: Trial = state) => {
    if (!below.blocks.includes(block)) moves.push(moveOf(world, key, from, { go: 'put', block, cause }, true))
  }
  put(interrupts.stop.block, 'stop', 'stop')
  for (const flag of red_flags) {
    const effects: Effect[] = flag.hazard === undefined ? [] : [{ do: 'hazard', hazard: flag.hazard }]
    const by: By = { role: 'homeowner', signed: false, step: NO_STEP, proved: [] }
    for (const trial of allEffects(world, state, effects, by))
      put(flag.put, 'red-flag', `red flag ${flag.slug}`, change(world, see(world, trial, [{ act: 'unmark', mark: 'water' }]), {}))
  }
  if (valueOf(state.vars, 'onSite') === '') return [...moves, moveOf(world, 'arrive', state, { go: 'arrive' }, true)]
  put(interrupts.leave.block, 'leave', 'leave')
  return moves
}

const NO_STEP = { id: '', outcomes: {} } as unknown as Step

/** The tub goes into the hands of the other technician, who has come meanwhile. */
export function handedOver(world: World, state: State): Move {
  const to = otherHolder(state.vars)
  const acts: Act[] = [{ act: 'joined', person: to, onSite: true }, { act: 'lapse' }, { act: 'handed', to }]
  const trial = change(world, see(world, state, acts), {
    holder: to,
    proof: '',
    clear: '',
    'lock:own': valueOf(state.vars, 'lock:others'),
    'lock:others': valueOf(state.vars, 'lock:own'),
  })
  return moveOf(world, 'hand over', trial, { go: 'to', to: '' }, true)
}

/** A new visit begins. */
export function arrived(world: World, state: State): Move {
  const person = personOf('technician', state.vars)
  const acts: Act[] = [{ act: 'lapse' }, { act: 'joined', person, onSite: true }, { act: 'handed', to: person }, { act: 'arrived', person }]
  const lapsed = endResults(world.edition, state.vars, ['visit', 'until-power-up'])
  return moveOf(
    world,
    'arrive',
    change(world, see(world, state, acts), { onSite: 'yes', proof: '', clear: '', ...lapsed }),
    { go: 'arrive' },
    true,
  )
}

/** After a called block was left by an exit. */
export function afterCall(world: World, step: Step, exit: string, state: State): readonly Move[] {
  const outcome = step.outcomes[exit]
  return outcome === undefined ? [] : arrowMoves(world, step, exit, outcome, state, false)
}

/** What a test card leaves behind when it is left by an exit. */
export function withResult(world: World, block: string, exit: string, state: State): State {
  if (world.edition.blocks[block]?.kind !== 'test' || exit === 'not-done') return state
  const vars = withChanges(state.vars, { [`result:${block.split('~')[0]}`]: exit }, world.tracked)
  return vars === state.vars ? state : world.states(vars, state.memory)
}

/** After a procedure that was put on top was left by an exit: back to the step, the step left undone, or another procedure. */
export function afterPut(world: World, below: Below, step: Step, put: Put, exit: string, state: State): Move {
  const standing = standingOf(world.edition, put.cause)
  const isOwn = standing?.block === put.block
  const otherwise = put.cause !== 'red-flag' && exit === 'not-done' ? 'not-done' : 'return'
  const after = isOwn ? (standing.exits[exit] ?? 'return') : otherwise
  if (typeof after === 'object') return moveOf(world, exit, state, { go: 'put', block: after.put, cause: put.cause }, false)
  const undone = after === 'not-done' ? step.outcomes['not-done'] : undefined
  const left: Trial = put.cause === 'leave' ? see(world, state, [{ act: 'left', person: personOf('technician', state.vars) }]) : state
  if (undone === undefined) {
    const isEmpty =
      isOwn &&
      GATE_RULES[put.cause]?.includes(world.observer.rule) &&
      gatesOf(world, below, step, state).some((gate) => gate.sure && sameGate(gate.cause, put.cause))
    const breach = isEmpty
      ? { breach: `"${world.edition.blocks[put.block]?.title ?? put.block}" comes back by "${exit}" without what this step needs.` }
      : {}
    return moveOf(
      world,
      exit,
      { vars: left.vars, memory: left.memory, ...('breach' in left ? left : {}), ...breach },
      { go: 'to', to: step.id },
      false,
    )
  }
  const flags = (undone.effects ?? []).filter((effect) => effect.do === 'flag')
  const changes = Object.assign({}, ...flags.map((effect) => changesOf(world.edition, effect, state.vars, []))) as Vars
  return moveOf(world, exit, change(world, left, changes), { go: 'to', to: undone.to }, false)
}

type Put = { readonly block: string; readonly cause: Cause }

/** Rules that a procedure speaks for: coming back by its good exit without what was needed breaks them. */
const GATE_RULES: { readonly [cause: string]: readonly number[] } = {
  dead: [1, 3],
  prove: [1, 3],
  live_shut: [16],
  live_open: [4],
  water_clear: [10],
}

/** Coming back from making dead, a further place may still have to be proved, not the other way round. */
function sameGate(wanted: Cause, put: Cause): boolean {
  return wanted === put || (put === 'prove' && wanted === 'dead')
}

function standingOf(edition: Edition, cause: Cause): Standing | undefined {
  if (cause === 'stop' || cause === 'leave') return edition.interrupts[cause]
  return cause === 'red-flag' ? undefined : edition.standing[cause]
}
