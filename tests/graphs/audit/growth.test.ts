// The audit's work grows with the library, not with the product of its parts: many flows cost what they cost one by one.
// Seconds are told by `check`; here places are counted.
import { expect, test } from 'vitest'
import type { Edition } from '#graphs'
import { auditEdition } from '#graphs/author'
import { smallEdition } from './small-edition.ts'

/** The small edition with its flow, tests and ways to leave so many times over; the standing procedures are shared. */
function copies(number: number): Edition {
  const edition = smallEdition()
  const shared = new Set([...Object.values(edition.standing), ...Object.values(edition.interrupts)].map((standing) => standing.block))
  const own = Object.values(edition.blocks).filter((block) => !shared.has(block.id))
  for (let copy = 2; copy <= number; copy += 1) {
    for (const block of own) {
      const text = JSON.stringify(block).replaceAll(/"(flow|contacts-dead|loads-dead)("|=)/g, `"$1-${copy}$2`)
      edition.blocks[`${block.id}-${copy}`] = JSON.parse(text) as typeof block
      Object.assign(edition.blocks[`${block.id}-${copy}`] ?? {}, { id: `${block.id}-${copy}`, kind: block.kind })
    }
  }
  return edition as unknown as Edition
}

const stepsOf = (edition: Edition) => Object.values(edition.blocks).reduce((sum, block) => sum + Object.keys(block.steps).length, 0)
const placesOf = (edition: Edition) => auditEdition(edition, () => 0, { rules: [1, 4, 7] }).rules.map((rule) => rule.places)

test('ten times the steps are at most ten times the places, up to ten thousand steps', { timeout: 60_000 }, () => {
  const [few, many] = [copies(33), copies(330)]
  expect(stepsOf(many)).toBeGreaterThan(9_500)
  const before = placesOf(few)
  const after = placesOf(many)
  const times = after.map((places, index) => places / (before[index] ?? 1))
  expect(Math.max(...times)).toBeLessThanOrEqual(10.1)
  expect(Math.min(...times)).toBeGreaterThan(9)
})
