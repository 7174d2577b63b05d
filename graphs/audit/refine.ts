// A way that the search finds is walked once more with everything told apart. Where it breaks, the search learns what it must tell apart and begins anew.
// So each rule is searched with as little state as it needs, and what is reported can be walked.
import type { Block, Edition } from '../edition/compiled.ts'
import { footprintOf, gateNames } from './footprint.ts'
import { afterCall, afterPut, arrived, firstState, handedOver, movesOf, withResult } from './moves.ts'
import type { Move, World } from './moves.ts'
import type { AuditSearch } from './rules.ts'
import { search } from './search.ts'
import type { Searched } from './search.ts'
import { createStates, isTracked, namesIn, truthOf, waterValues } from './state.ts'
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
  /** Found, but the shortest way could not be walked: nothing was proved, and that way is shown. */
  readonly open: readonly AuditBreach[]
}

const ROUNDS_MOST = 40
/** All rounds together look at so many times the places that one of them may. */
const TIMES_MOST = 2
/** States kept while one way is walked again: readings and roles give several. */
const STATES_MOST = 400

type Budget = { readonly gateOn: boolean; readonly placesMost: number }
/** Which impossible move of a way is learnt from: the one nearest to the breach, or the one nearest to the beginning. */
type Learns = 'last' | 'first'

/** Searches one part of one rule; where learning from one end of the ways leaves it open, from the other end. */
export function auditRule(edition: Edition, search: AuditSearch, budget: Budget): RuleReport {
  const report = auditPart(edition, search, budget, 'last')
  if (report.open.length === 0) return report
  const again = auditPart(edition, search, budget, 'first')
  return { ...(again.open.length === 0 || report.open.length > again.open.length ? again : report), rounds: report.rounds + again.rounds }
}

function auditPart(
  edition: Edition,
  { observer, keeps, seeds, only }: AuditSearch,
  { gateOn, placesMost }: Budget,
  learns: Learns,
): RuleReport {
  const flows = Object.values(edition.blocks).filter((block) => block.kind === 'flow')
  const water = waterValues(edition)
  const footprint = footprintOf(edition, gateOn)
  const tracked = new Set(seeds)
  const { rule, name } = observer
  let last: Pick<RuleReport, 'places' | 'breaches' | 'open'> = { places: 0, breaches: [], open: [] }
  let spent = 0
  for (let round = 1; ; round += 1) {
    const world: World = { edition, observer, keeps, tracked, gateOn, water, footprint, states: createStates() }
    const searched = search(world, flows, placesMost)
    if (searched === undefined) {
      const open = [
        ...last.open,
        { rule, name, block: '', step: '', says: `There are more than ${placesMost} places: not looked at to the end.`, way: [] },
      ]
      return { rule, name, rounds: round, tracked: [...tracked], ...last, open }
    }
    const { breaches, open, missing } = judged(searched, flows, learns, only)
    last = { places: searched.places, breaches, open }
    spent += searched.places
    if (missing.length === 0 || round === ROUNDS_MOST || spent > TIMES_MOST * placesMost)
      return { rule, name, rounds: round, tracked: [...tracked], ...last }
    for (const each of missing) tracked.add(each)
  }
}

/** Breaches whose way can be walked; those whose way cannot, and what must be told apart so that they are not found again. */
function judged(searched: Searched, flows: readonly Block[], learns: Learns, only?: string) {
  const { world, found } = searched
  const wayTo = waysOf(searched)
  const breaches: AuditBreach[] = []
  const open: AuditBreach[] = []
  const missing = new Set<string>()
  for (const { link, says } of found) {
    const { block } = link.from.visit
    const { step } = link.from
    if (only !== undefined && `${block.id}.${step.id}` !== only) continue
    const { passages } = wayTo(link)
    const states = createStates()
    const broken = walkAgain({ ...world, tracked: 'all', states }, { ...world, states }, passages, flows, learns)
    const { rule, name } = world.observer
    const one: AuditBreach = { rule, name, block: block.id, step: step.id, says, way: wayInWords(world.edition, passages) }
    if (broken === undefined) {
      breaches.push(one)
      continue
    }
    open.push(one)
    // One way at a time: what it teaches often settles the others, and each value told apart costs.
    if (missing.size === 0) for (const name of broken) if (!isTracked(world.tracked, name) && isTracked('all', name)) missing.add(name)
  }
  return { breaches, open, missing: [...missing] }
}

/**
 * Walks a way with everything told apart; nothing when all of it can be walked, else the names that an impossible move of it rests on.
 * `loosely` takes a move in spite of what is known.
 */
function walkAgain(
  world: World,
  loosely: World,
  passages: readonly Passage[],
  flows: readonly Block[],
  learns: Learns,
): readonly string[] | undefined {
  let states = beginnings(world, passages[0], flows)
  let broken: readonly string[] | undefined
  for (const [index, passage] of passages.entries()) {
    const wanted = (one: World) => states.flatMap((state) => movesAt(one, passage, state)).filter((move) => move.key === passage.key)
    let moves = wanted(world)
    if (moves.length === 0) {
      const names = blamed(world, passage, states).filter((name) => !isTracked(loosely.tracked, name) && isTracked('all', name))
      if (broken === undefined || broken.length === 0 || (learns === 'last' && names.length > 0)) broken = names
      moves = wanted(loosely)
    }
    if (index === passages.length - 1)
      return broken ?? (moves.some((move) => move.breach !== undefined) ? undefined : observed(world, passage))
    const going = moves.filter((move) => move.breach === undefined)
    const byId = new Map(going.map((move) => afterMove(world, passage, move)).map((state) => [state.id, state]))
    states = [...byId.values()].slice(0, STATES_MOST)
  }
  return broken
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
    : [afterPut(world, passage.below, step, passage.put, passage.exit, state)]
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
      const isInTheWay = !isWanted && wrong.length === one.when.length
      for (const condition of isWanted ? wrong.slice(0, 1) : isInTheWay ? wrong : []) for (const each of namesIn(condition)) names.add(each)
      // Several cases may lead to one outcome: each of them fails.
      if (isInTheWay) break
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
