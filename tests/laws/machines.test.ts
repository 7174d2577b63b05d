// Every block's machine says the same as its table: for each step, each outcome, with the backward arrow free and spent.
// How places and frames follow from it is jobs.test.ts.
import { expect, test } from 'vitest'
import { transition } from 'xstate'
import type { Block } from '#graphs'
import { createNext, machineOf } from '../../graphs/engine/machines.ts'
import { nextByTables } from '../../graphs/engine/next.ts'
import { libraryEdition } from './library.ts'

const edition = libraryEdition()

/** State names of exits carry a prefix of their own, because a colon is no part of a step's name. */
function targetOf(value: string): string {
  return value.startsWith('exit__') ? `exit:${value.slice('exit__'.length)}` : value
}

function* arrowsOf(block: Block) {
  for (const step of Object.values(block.steps)) {
    for (const [name, outcome] of Object.entries(step.outcomes)) {
      yield { step: step.id, name, spent: false, to: outcome.to }
      if (outcome.again !== undefined) yield { step: step.id, name, spent: true, to: outcome.again.then }
    }
  }
}

test.each(Object.values(edition.blocks).map((block) => [block.id, block] as const))('the machine of %s follows its table', (_id, block) => {
  const machine = machineOf(block)
  const wrong: string[] = []
  for (const { step, name, spent, to } of arrowsOf(block)) {
    const here = machine.resolveState({ value: step } as never)
    const [next] = transition(machine, here, { type: `answer:${name}${spent ? ':spent' : ''}` } as never)
    const found = targetOf(String(next.value))
    if (found !== to) wrong.push(`${step}=${name}${spent ? ' (spent)' : ''}: the machine goes to ${found}, the table to ${to}`)
  }
  expect(wrong).toEqual([])
})

test('a machine stands still at a word that is no answer of its step', () => {
  const block = edition.blocks['water-clear']
  if (block === undefined) throw new Error('no such block')
  const machine = machineOf(block)
  const here = machine.resolveState({ value: block.start } as never)
  for (const type of ['answer:no-such-answer', 'yes', 'xstate.init', 'xstate.done.actor.x']) {
    expect(String(transition(machine, here, { type } as never)[0].value)).toBe(block.start)
  }
})

test('the tables and the machines lead the engine alike', () => {
  const [byMachines, byTables] = [createNext(edition), nextByTables(edition)]
  for (const block of Object.values(edition.blocks)) {
    for (const { step, name, spent } of arrowsOf(block)) {
      expect(`${block.id}.${step}=${name} → ${byMachines(block.id, step, name, spent)}`).toBe(
        `${block.id}.${step}=${name} → ${byTables(block.id, step, name, spent)}`,
      )
    }
  }
})
