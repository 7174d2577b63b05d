// Every block as one flat XState machine, compiled once; a step of the job is one pure transition. Never an actor, never a snapshot kept.
// Which answers are offered is checked before: the machine would ignore an unknown event silently.
import { createMachine, transition } from 'xstate'
import type { AnyStateMachine } from 'xstate'
import type { Block, Edition } from '../edition/compiled.ts'
import { invariant } from '../result.ts'
import { engineOf } from './engine.ts'
import type { Engine } from './engine.ts'
import type { NextTarget } from './next.ts'

/** Our own prefix keeps outside words from ever being read as machine events. */
const PREFIX = 'answer:'

export function machineOf(block: Block): AnyStateMachine {
  const states: { [id: string]: object } = {}
  for (const step of Object.values(block.steps)) {
    const on: { [event: string]: string } = {}
    for (const [name, outcome] of Object.entries(step.outcomes)) {
      on[`${PREFIX}${name}`] = stateOf(outcome.to)
      if (outcome.again !== undefined) on[`${PREFIX}${name}:spent`] = stateOf(outcome.again.then)
    }
    states[step.id] = { on }
  }
  for (const exit of Object.keys(block.exits)) states[stateOf(`exit:${exit}`)] = { type: 'final' }
  return createMachine({ id: block.id.replaceAll('.', '_'), initial: block.start, states } as never) as unknown as AnyStateMachine
}

/** State names may not hold a colon-free clash with steps: exits get their own prefix. */
function stateOf(target: string): string {
  return target.startsWith('exit:') ? `exit__${target.slice(5)}` : target
}

function targetOf(state: string): string {
  return state.startsWith('exit__') ? `exit:${state.slice(6)}` : state
}

/**
 * Where an outcome of a step leads, by the machine.
 * A flat machine without context gives the same answer for ever: each is asked once and kept.
 */
export function createNext(edition: Edition): NextTarget {
  const machines = new Map<string, AnyStateMachine>()
  const known = new Map<string, string>()
  return (blockId, step, outcome, spent) => {
    const key = `${blockId} ${step} ${outcome} ${spent}`
    const before = known.get(key)
    if (before !== undefined) return before
    const block = edition.blocks[blockId]
    invariant(block, `block ${blockId} is in edition ${edition.number}`)
    let machine = machines.get(blockId)
    if (machine === undefined) {
      machine = machineOf(block)
      machines.set(blockId, machine)
    }
    const here = machine.resolveState({ value: step } as never)
    const [next] = transition(machine, here as never, { type: `${PREFIX}${outcome}${spent ? ':spent' : ''}` } as never)
    const target = targetOf(String((next as { value: unknown }).value))
    known.set(key, target)
    return target
  }
}

/**
 * The engine of one edition with every block as a machine: the server's, and every test's.
 *
 * Shape:  an edition in, its engine out; machines are made when first met and kept inside.
 * Errors: throws when the edition needs other semantics.
 */
export function createEngine(edition: Edition): Engine {
  return engineOf(edition, createNext(edition))
}
