// What a new edition says of itself: changes in trade words, jobs that stay behind, and versions of flows.
// Carrying a job over is tests/graphs/engine.
import { describe, expect, test } from 'vitest'
import type { Block, Edition, Step } from '#graphs'
import { diffEditions, flowVersions, versionOf } from '#graphs/author'
import { libraryEdition } from '../../laws/library.ts'

type Open<T> = { -readonly [field in keyof T]: T[field] }

function mended(mend: (step: (name: string) => Open<Step>, blocks: { [id: string]: Open<Block> }) => void): Edition {
  const edition = structuredClone(libraryEdition())
  const blocks = edition.blocks as { [id: string]: Open<Block> }
  const stepOf = (name: string): Open<Step> => {
    const [block = '', step = ''] = name.split('.')
    const found = blocks[block]?.steps[step]
    if (found === undefined) throw new Error(`${name} is not in the library`)
    return found
  }
  mend(stepOf, blocks)
  return { ...edition, number: 2 }
}

const before = { ...libraryEdition(), versions: { overheating: 4 } }

describe('a diff', () => {
  test('of the same library says nothing, whatever the order of its keys', () => {
    const sorted = (value: unknown): unknown => {
      if (typeof value !== 'object' || value === null) return value
      if (Array.isArray(value)) return value.map(sorted)
      return Object.fromEntries(
        Object.entries(value)
          .toSorted(([a], [b]) => (a < b ? -1 : 1))
          .map(([key, field]) => [key, sorted(field)]),
      )
    }
    expect(diffEditions(before, sorted(before) as Edition)).toEqual({ lines: [], stays: [] })
  })

  test.each<[string, (step: (name: string) => Open<Step>) => void, RegExp]>([
    ['wording', (step) => void (step('make-dead.lock').why = 'Other words.'), /\(lock\): wording only \(why\)/],
    ['a gate', (step) => void (step('make-dead.prove').signed = []), /\(prove\): GATE signed: absence-of-voltage became nobody/],
    ['a number', (step) => void (step('make-dead.lock').minutes = 77), /minutes: \d+ became 77/],
    [
      'an arrow',
      (step) => {
        const lock = step('make-dead.lock')
        lock.outcomes = { ...lock.outcomes, locked: { label: 'Locked', ...lock.outcomes['locked'], to: 'prove' } }
      },
      /leads to "[^"]+", not to "[^"]+"/,
    ],
    [
      'an effect',
      (step) => {
        const lock = step('make-dead.lock')
        lock.outcomes = { ...lock.outcomes, locked: { label: 'Locked', to: '', ...lock.outcomes['locked'], effects: [] } }
      },
      /does to the tub or the record changed/,
    ],
  ])('says %s', (_what, mend, words) => {
    const { lines, stays } = diffEditions(before, mended(mend))
    expect(lines).toHaveLength(2)
    expect(lines[0]).toBe('make-dead:')
    expect(lines[1]).toMatch(words)
    expect(stays).toEqual([])
  })

  test('names steps that are new or gone and answers that are gone, and says which jobs stay behind', () => {
    const after = mended((stepOf, blocks) => {
      const block = blocks['make-dead']
      if (block === undefined) return
      const { lock, ...steps } = block.steps
      block.steps = { ...steps, chain: { ...(lock as Step), id: 'chain', title: 'A chain' } }
      const shock = stepOf('red-flags.shock')
      const { none: _gone, ...outcomes } = shock.outcomes
      shock.outcomes = outcomes
      delete blocks['bleed-air']
    })
    const { lines, stays } = diffEditions(before, after)
    expect(lines.join('\n')).toMatch(/step gone: "[^"]+" \(lock\)/)
    expect(lines.join('\n')).toMatch(/step added: "A chain" \(chain\), after nothing/)
    expect(lines).toContain('bleed-air: gone')
    expect(stays).toContain('make-dead.lock')
    expect(stays).toContain('bleed-air.test')
    expect(stays.find((one) => one.startsWith('red-flags.shock, answer "'))).toBeDefined()
  })

  test('says that every job stays when the engine reads the edition differently', () => {
    const { stays } = diffEditions(before, { ...before, semantics: 2 as 1 })
    expect(stays).toHaveLength(1)
  })

  test('names rows of tables', () => {
    const faults = { ...before.faults, 'heat-creep': { ...before.faults['heat-creep'], minutes: 999 } } as Edition['faults']
    expect(diffEditions(before, { ...before, faults }).lines).toEqual(['faults: heat-creep changed'])
  })
})

describe('the version of a flow', () => {
  test('stays when nothing of it moved, though the edition is another', () => {
    expect(flowVersions({ ...before, number: 2, faults: {} }, before)).toEqual({ overheating: 4 })
  })

  test.each(['overheating.symbol', 'make-dead.lock', 'element-check.across'])('moves when %s moved, which the flow comes by', (name) => {
    const after = mended((step) => void (step(name).why = 'Other words.'))
    expect(flowVersions(after, before)).toEqual({ overheating: 5 })
  })

  test('is 1 in the first edition and for a new flow', () => {
    expect(flowVersions(before, undefined)).toEqual({ overheating: 1 })
    const { versions: _none, ...first } = before
    expect(versionOf(first, 'overheating')).toBe(1)
    const { overheating: _flow, ...others } = before.blocks
    expect(flowVersions(before, { ...before, blocks: others })).toEqual({ overheating: 1 })
  })
})
