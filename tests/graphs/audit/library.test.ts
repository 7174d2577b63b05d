// The audit over the library as it stands: the rules it proves are proved, and stay so; the others are listed with the reason.
// What the audit can find is planted.test.ts.
import { expect, test } from 'vitest'
import { auditEdition, breachInWords, TO_BE_PROVED } from '#graphs/author'
import { libraryEdition } from '../../laws/library.ts'

test('no answers of any job lead to a breach of the proved rules, and nothing of them is left open', { timeout: 120_000 }, () => {
  const { rules, breaches } = auditEdition(libraryEdition(), () => 0, { rules: TO_BE_PROVED })
  expect(rules.map((one) => one.rule)).toEqual(TO_BE_PROVED)
  expect(breaches.flatMap(breachInWords)).toEqual([])
  expect(rules.flatMap((one) => one.open)).toEqual([])
})

test('a gate taken out of the real library forbids a release, with the way to it', { timeout: 120_000 }, () => {
  const edition = structuredClone(libraryEdition())
  const [look] = Object.values(edition.blocks['dead-look']?.steps ?? {}).filter((step) => step.needs === 'dead')
  if (look === undefined) throw new Error('dead-look does not need a dead tub')
  Object.assign(look, { needs: 'talk' })
  const { breaches } = auditEdition(edition, () => 0, { rules: [3] })
  const [found] = breaches.filter((one) => one.block === 'dead-look')
  expect(found?.step).toBe(look.id)
  expect(found?.way.length).toBeGreaterThan(3)
})
