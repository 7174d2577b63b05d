// A way that the search finds is walked once more with everything told apart. Where it breaks, the search learns what it must tell apart and begins anew.
// So each rule is searched with as little state as it needs, and what is reported can be walked.
import type { Block, Edition } from '../edition/compiled.ts'
import { footprintOf, gateNames } from './footprint.ts'
import { afterCall, afterPut, arrived, firstState, handedOver, movesOf, withResult } from './moves.ts'
import type { Move, World } from './moves.ts'
import type { AuditSearch } from './rules.ts'
import { search } from './search.ts'
import type { Searched } from './search.ts'
import { createStates, namesIn, truthOf, waterValues } from './state.ts'
import type { State } from './state.ts'
import { wayInWords, waysOf } from './way.ts'
import type { Passage } from './way.ts'

export type AuditBreach = {
  readonly rule: number
  readonly name: string
  /** Block and step where it comes about. */
  readonly block: string
  readonly step: string
  readonly says: string
  /** The shortest way there, one line for each answer. */
  readonly way: readonly string[]
}
export type RuleReport = {
  readonly rule: number
  readonly name: string
  readonly places: number
  readonly rounds: number
  /** Values that had to be told apart. */
  readonly tracked: readonly string[]
  readonly breaches: readonly AuditBreach[]
}

const ROUNDS_MOST = 60
/** States kept while one way is walked again: readings and roles give several. */
const STATES_MOST = 400

export function auditRule(edition: Edition, rule: AuditSearch, gateOn: boolean): RuleReport {
  const flows = Object.values(edition.blocks).filter((block) => block.kind === 'flow')
  const water = waterValues(edition)
  const footprint = footprintOf(edition, gateOn)
  const tracked = new Set(rule.seeds)
  for (let round = 1; ; round += 1) {
    const world: World = { edition, observer: rule.observer, keeps: rule.keeps, tracked, gateOn, water, footprint, states: createStates() }
    const searched = search(world, flows); (globalThis as any).dbg?.(round, searched, tracked)
    const { breaches, missing } = judged(searched, flows, rule.only)
    const fresh = missing.filter((name) => !tracked.has(name))
    if (fresh.length > 0 && round < ROUNDS_MOST) {
      for (const name of fresh) tracked.add(name)
      continue
    }
    const { observer } = rule
    return { rule: observer.rule, name: observer.name, places: searched.places, rounds: round, tracked: [...tracked], breaches }
  }
}

/** Breaches whose way can be walked, and what must be told apart so that the others are not found again. */
function judged(searched: Searched, flows: readonly Block[], only?: string): { breaches: AuditBreach[]; missing: string[] } {
  const { world, found } = searched
  const wayTo = waysOf(searched)
  const breaches: AuditBreach[] = []
  const missing = new Set<string>()
  for (const { link, says } of found) {
    if (only !== undefined && `${link.from.visit.block.id}.${link.from.step.id}` !== only) continue
    const { passages } = wayTo(link)
    const broken = walkAgain({ ...world, tracked: 'all', states: createStates() }, passages, flows)
    const fresh = broken.filter((name) => world.tracked !== 'all' && !world.tracked.has(name))
    if (fresh.length > 0) for (const name of fresh) missing.add(name)
    else {
      const { rule, name } = world.observer
      breaches.push({ rule, name, block: link.from.visit.block.id, step: link.from.step.id, says, way: wayInWords(world.edition, passages) })
    }
  }
  return { breaches, missing: [...missing] }
}

/** Walks a way with everything told apart; gives the names that its first impossible move rests on, or none when all of it can be walked. */
function walkAgain(world: World, passages: readonly Passage[], flows: readonly Block[]): readonly string[] {
  let states = beginnings(world, passages[0], flows)
  for (const [index, passage] of passages.entries()) {
    const moves = states.flatMap((state) => movesAt(world, passage, state)).filter((move) => move.key === passage.key)
    if (moves.length === 0) return blamed(world, passage, states)
    if (index === passages.length - 1) return moves.some((move) => move.breach !== undefined) ? [] : observed(world, passage)
    const byText = new Map(moves.flatMap((move) => (move.breach === undefined ? [afterMove(world, passage, move)] : [])).map((state) => [state.id, state]))
    states = [...byText.values()].slice(0, STATES_MOST)
  }
  return []
}

/** The job's first word, or a visit of a job that was opened on site. */
function beginnings(world: World, first: Passage | undefined, flows: readonly Block[]): readonly State[] {
  const start = firstState(world)
  const isVisit = flows.some((flow) => flow.id === first?.block && flow.arrive === first.step && flow.start !== first.step)
  return isVisit ? [arrived(world, start).state] : [start]
}

function movesAt(world: World, passage: Passage, state: State): readonly Move[] {
  const step = world.edition.blocks[passage.block]?.steps[passage.step]
  if (step === undefined) return []
  if (passage.exit === undefined) {
    const moves = movesOf(world, passage.below, passage.block, step, state)
    return passage.key === 'hand over' ? [handedOver(world, state)] : moves
  }
  return passage.put === undefined
    ? afterCall(world, step, passage.exit, state)
    : [afterPut(world, step, passage.put, passage.exit, state)]
}

function afterMove(world: World, passage: Passage, move: Move): State {
  const { next, state } = move
  if (next.go === 'arrive' || next.go === 'end') return arrived(world, state).state
  return next.go === 'to' && next.to.startsWith('exit:') ? withResult(world, passage.block, next.to.slice(5), state) : state
}

/** What a move that cannot come about rests on. */
function blamed(world: World, { block, step: id, key }: Passage, states: readonly State[]): readonly string[] {
  const step = world.edition.blocks[block]?.steps[id]
  if (step === undefined) return []
  if (key.startsWith('still ')) return [`result:${step.call?.block.split('~')[0]}`]
  if (step.kind !== 'decide') return gateNames(step)
  const name = key.replace(', used up', '')
  const names = new Set<string>()
  for (const state of states) {
    for (const one of step.cases ?? []) {
      const isWanted = one.outcome === name
      const wrong = one.when.filter((condition) => truthOf(condition, state.vars, 'all') === !isWanted)
      // The wanted case fails by any condition that is false; an earlier one stands in the way by all that are true.
      for (const condition of isWanted ? wrong.slice(0, 1) : wrong) for (const each of namesIn(condition)) names.add(each)
      if (isWanted || (one.when.length > 0 && wrong.length === one.when.length)) break
      if (!isWanted) for (const condition of wrong) for (const each of namesIn(condition)) names.delete(each)
    }
  }
  return [...names]
}

/** What the observer may have seen otherwise at the last move. */
function observed(world: World, { block, step }: Passage): readonly string[] {
  const { fit, outcomes } = world.edition.blocks[block]?.steps[step] ?? {}
  const tests = [...(fit?.evidence.one_of ?? []), ...(fit?.evidence.all_of ?? [])].map((name) => `result:${name.split('=')[0]}`)
  const cleared = Object.values(outcomes ?? {})
    .flatMap((outcome) => outcome.effects ?? [])
    .flatMap((effect) => (effect.do === 'clear-hazard' ? [`hazard:${effect.hazard}`] : []))
  return [...tests, ...cleared]
}
