// The search: every place in every state that can be reached, procedures once for each state they are entered in and then by their exits.
// Places are gone through by the number of answers that lead there, so the first way found is a shortest one.
import type { Block, Step } from '../edition/compiled.ts'
import { invariant } from '../result.ts'
import { afterCall, afterPut, arrived, firstState, handedOver, movesOf, NOTHING_BELOW, withResult } from './moves.ts'
import type { Below, Cause, Move, World } from './moves.ts'
import { isTracked, valueOf } from './state.ts'
import type { State, Vars } from './state.ts'

/** A block entered in one state, walked once whoever comes by. */
export type Visit = {
  readonly block: Block
  readonly below: Below
  readonly nodes: Map<string, Node>
  readonly exits: Node[]
  readonly callers: Caller[]
  /** Where a job begins, or a visit on site: `from` is undefined at the very beginning. */
  root?: { readonly from: Link | undefined }
}
export type Node = {
  readonly visit: Visit
  readonly step: Step
  readonly state: State
  /** Set where the block is left. */
  readonly exit?: string
  readonly link: Link | undefined
  /** Answers from the entry of the block to here. */
  readonly far: number
}
/** How a node was come by: the move, and the exit of the procedure that lay between. `before`: a procedure that was put in place of another. */
export type Link = {
  readonly from: Node
  readonly key: string
  readonly via?: Node
  readonly put?: Put
  readonly before?: Link
  readonly byHand: boolean
  readonly far: number
}
export type Put = { readonly block: string; readonly cause: Cause }
/** `rest`: what the caller knows and the called block neither reads nor changes. */
type Caller = { readonly node: Node; readonly link: Link; readonly put?: Put; readonly rest: Vars }

export type Found = { readonly link: Link; readonly says: string }
export type Searched = {
  readonly world: World
  readonly places: number
  readonly visits: readonly Visit[]
  readonly found: readonly Found[]
}

/** The way out of every block at once. */
export const OUT = '(out)'

/** Undefined when there are more than `most` places. */
export function search(world: World, flows: readonly Block[], most: number): Searched | undefined {
  return new Search(world).run(flows, most)
}

class Search {
  readonly #world: World
  readonly #visits = new Map<string, Visit>()
  readonly #queue: Node[][] = []
  readonly #found = new Map<string, Found>()
  readonly #gates: ReadonlySet<string>
  #lowest = 0
  #places = 0

  constructor(world: World) {
    this.#world = world
    this.#gates = new Set(Object.values(world.edition.standing).map((standing) => standing.block))
  }

  run(flows: readonly Block[], most: number): Searched | undefined {
    for (const flow of flows) {
      const start = firstState(this.#world)
      this.#root(flow, flow.start, start, undefined)
      if (flow.arrive !== undefined) this.#root(flow, flow.arrive, arrived(this.#world, start).state, undefined)
    }
    for (let node = this.#next(); node !== undefined; node = this.#next()) {
      if (node.exit === undefined) this.#walk(node)
      else this.#leave(node, node.exit)
      if (this.#places > most) return undefined
    }
    return { world: this.#world, places: this.#places, visits: [...this.#visits.values()], found: [...this.#found.values()] }
  }

  #next(): Node | undefined {
    while (this.#lowest < this.#queue.length) {
      const node = this.#queue[this.#lowest]?.pop()
      if (node !== undefined) return node
      this.#lowest += 1
    }
    return undefined
  }

  #push(node: Node): void {
    const key = `${node.exit === undefined ? node.step.id : `exit:${node.exit}`}|${node.state.id}`
    const known = node.visit.nodes.get(key)
    // A node is queued again only for a shorter way to it; the longer one is passed over when its turn comes.
    if (known !== undefined && known.far <= node.far) return
    node.visit.nodes.set(key, node)
    if (known === undefined) this.#places += 1
    ;(this.#queue[node.far] ??= []).push(node)
    this.#lowest = Math.min(this.#lowest, node.far)
  }

  #visit(block: Block, step: string, below: Below, state: State): Visit {
    const key = `${block.id}.${step}|${below.text}|${state.id}`
    const known = this.#visits.get(key)
    if (known !== undefined) return known
    const visit: Visit = { block, below, nodes: new Map(), exits: [], callers: [] }
    this.#visits.set(key, visit)
    this.#to(visit, step, state, undefined, 0)
    return visit
  }

  #root(flow: Block, step: string, state: State, from: Link | undefined): void {
    const visit = this.#visit(flow, step, NOTHING_BELOW, state)
    visit.root ??= { from }
  }

  #to(visit: Visit, target: string, state: State, link: Link | undefined, far: number): void {
    const exit = target.startsWith('exit:') ? target.slice(5) : undefined
    const step = exit === undefined ? visit.block.steps[target] : link?.from.step
    invariant(step, `step ${visit.block.id}.${target} exists`)
    if (exit === undefined) this.#push({ visit, step, state: this.#alive(visit.block, target, state), link, far })
    else this.#push({ visit, step, state: withResult(this.#world, visit.block.id, exit, state), exit, link, far })
  }

  #walk(node: Node): void {
    const { visit, step, state } = node
    const moves = movesOf(this.#world, visit.below, visit.block.id, step, state)
    for (const move of moves) this.#follow(node, move, linkOf(node, move))
    const isPeoples = !['decide', 'call', 'finish', 'refer'].includes(step.kind)
    if (!this.#world.gateOn || !isPeoples || valueOf(state.vars, 'onSite') === '') return
    const move = handedOver(this.#world, state)
    this.#follow(node, { ...move, next: { go: 'to', to: step.id } }, linkOf(node, move))
  }

  #follow(node: Node, move: Move, link: Link): void {
    if (move.breach !== undefined) return this.#report(link, move.breach)
    const { visit, step } = node
    const { next, state } = move
    switch (next.go) {
      case 'to':
        return this.#to(visit, next.to, state, link, link.far)
      case 'call':
        return this.#enter({ node, link, rest: {} }, next.block, this.#below(visit.below, next.block, visit.below.wanted), state)
      case 'put':
        return this.#enter({ node, link, put: next, rest: {} }, next.block, this.#below(visit.below, next.block, step.at), state)
      default:
        // The job ends, or goes on with a visit: out of every block that lies below.
        if (visit.block.kind === 'flow') this.#arrive(link, state)
        else this.#push({ visit, step, state, exit: OUT, link, far: link.far })
    }
  }

  /** After an ending, and where only somebody on site goes on: the next visit. */
  #arrive(link: Link, state: State): void {
    const flow = link.from.visit.block
    if (flow.arrive === undefined) return
    const move = arrived(this.#world, state)
    if (move.breach !== undefined) this.#report(link, move.breach)
    else this.#root(flow, flow.arrive, move.state, link)
  }

  /** What nobody asks for any more in this flow is forgotten. */
  #alive(block: Block, step: string, state: State): State {
    if (block.kind !== 'flow') return state
    return this.#only(state, this.#world.footprint.live(block.id, step))
  }

  #only(state: State, names: ReadonlySet<string>): State {
    const kept = Object.entries(state.vars).filter(([name]) => names.has(name))
    return kept.length === Object.keys(state.vars).length ? state : this.#world.states(Object.fromEntries(kept), state.memory)
  }

  #below(below: Below, block: string, wanted: Below['wanted']): Below {
    const { above, proves } = this.#world.footprint
    const known = this.#gates.has(block) && !below.blocks.includes(block) ? [...below.blocks, block].toSorted() : below.blocks
    // Only what can still matter up there: gates that could come to lie there, places that could be proved there.
    const blocks = known.filter((each) => above(block).has(each))
    const kept = isTracked(this.#world.tracked, 'proof') && proves(block) ? wanted : []
    return { blocks, wanted: kept, text: `${blocks.join()}/${kept.join()}` }
  }

  #enter(caller: Caller, name: string, below: Below, state: State): void {
    const block = this.#world.edition.blocks[name]
    invariant(block, `block ${name} exists`)
    const touched = this.#world.footprint.touched(name)
    const visit = this.#visit(block, block.start, below, this.#only(state, touched))
    const rest = Object.fromEntries(Object.entries(state.vars).filter(([each]) => !touched.has(each)))
    const keeping = { ...caller, rest }
    visit.callers.push(keeping)
    for (const exit of visit.exits) this.#resume(keeping, exit)
  }

  #leave(node: Node, exit: string): void {
    const { visit, state } = node
    if (visit.exits.some((one) => one.exit === exit && one.state.id === state.id)) return
    visit.exits.push(node)
    for (const caller of visit.callers) this.#resume(caller, node)
  }

  #resume(caller: Caller, exit: Node): void {
    const { node, put, rest } = caller
    const state = Object.keys(rest).length === 0 ? exit.state : this.#world.states({ ...exit.state.vars, ...rest }, exit.state.memory)
    if (exit.exit === OUT) {
      const link: Link = { from: node, key: OUT, via: exit, before: caller.link, byHand: false, far: caller.link.far + exit.far }
      return this.#follow(node, { key: OUT, state, next: { go: 'end' }, byHand: false }, link)
    }
    const moves =
      put === undefined
        ? afterCall(this.#world, node.step, exit.exit ?? '', state)
        : [afterPut(this.#world, node.visit.below, node.step, put, exit.exit ?? '', state)]
    for (const move of moves) {
      const far = caller.link.far + exit.far
      const link: Link = {
        from: node,
        key: move.key,
        via: exit,
        before: caller.link,
        byHand: false,
        far,
        ...(put === undefined ? {} : { put }),
      }
      this.#follow(node, move, link)
    }
  }

  #report(link: Link, says: string): void {
    const { from, key } = link
    const name = `${from.visit.block.id}.${from.step.id}=${key}: ${says}`
    const known = this.#found.get(name)
    if (known === undefined) this.#found.set(name, { link, says })
  }
}

function linkOf(from: Node, move: Move): Link {
  return { from, key: move.key, byHand: move.byHand, far: from.far + (move.byHand ? 1 : 0) }
}
