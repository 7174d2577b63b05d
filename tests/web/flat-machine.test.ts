// The phone's stand-in for the state machine library against the library itself, on every step and answer of every edition.
// The walk through whole jobs is compared elsewhere.
import { readdirSync, readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { createMachine as createTrue, transition as transitionTrue } from 'xstate'
import type { Block, Edition } from '#graphs'
import { createMachine, transition } from '../../web/engine/flat-machine.ts'

const FOLDER = new URL('../../graphs/editions/', import.meta.url)
const editions = readdirSync(FOLDER)
  .filter((name) => /^\d+\.json$/.test(name))
  .map((name) => JSON.parse(readFileSync(new URL(name, FOLDER), 'utf8')) as Edition)

type Config = Parameters<typeof createMachine>[0]

function configOf(block: Block): Config {
  const states: { [id: string]: { on?: { [event: string]: string }; type?: 'final' } } = {}
  const stateOf = (target: string): string => target.replace(/^exit:/, 'exit__')
  for (const step of Object.values(block.steps)) {
    const arrows = Object.entries(step.outcomes).flatMap(([name, { to, again }]) => [
      [`answer:${name}`, to],
      ...(again === undefined ? [] : [[`answer:${name}:spent`, again.then]]),
    ])
    states[step.id] = { on: Object.fromEntries(arrows.map(([event = '', to = '']) => [event, stateOf(to)])) }
  }
  for (const exit of Object.keys(block.exits)) states[`exit__${exit}`] = { type: 'final' }
  return { initial: block.start, states }
}

test('there is an edition to compare on', () => {
  expect(editions.length).toBeGreaterThan(0)
})

test('both go to the same state for every step, every answer, every spent arrow, and an answer that is none', () => {
  let compared = 0
  for (const edition of editions) {
    for (const block of Object.values(edition.blocks)) {
      const config = configOf(block)
      const [mine, theirs] = [createMachine(config), createTrue({ ...config, id: 'block' } as never)]
      for (const [value, { on }] of Object.entries(config.states)) {
        for (const type of [...Object.keys(on ?? {}), 'answer:no-such-answer']) {
          const [next] = transition(mine, mine.resolveState({ value }), { type })
          const [wanted] = transitionTrue(
            theirs as never,
            (theirs as unknown as { resolveState: (state: object) => never }).resolveState({ value }),
            { type } as never,
          )
          expect(next.value, `${block.id}.${value} ${type}`).toBe((wanted as { value: unknown }).value)
          compared += 1
        }
      }
    }
  }
  expect(compared).toBeGreaterThan(1000)
})
