// A library that would lead somebody into harm by its words or fields is refused, with the step: one planted fault for each rule.
// Faults of shape and reference are compile.test.ts.
import { expect, test } from 'vitest'
import { compileLibrary } from '#graphs/author'
import type { LibraryProblem } from '#graphs/author'
import { readLibrary } from '../../../server/commands/edition.ts'

/** What is wrong when one text of one file is replaced by another. */
function problemsWith(path: string, from: string | RegExp, to: string): readonly LibraryProblem[] {
  const files = readLibrary()
  const file = files.find((one) => one.path === path)
  if (file === undefined || file.text.replace(from, to) === file.text) throw new Error(`${path} does not say "${String(from)}"`)
  const result = compileLibrary(
    files.map((one) => (one === file ? { ...one, text: one.text.replace(from, to) } : one)),
    1,
  )
  return result.ok ? [] : (result.problem.details?.['problems'] as readonly LibraryProblem[])
}

const LONG =
  'One two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty more.'

test.each([
  ['a sentence of more than 20 words', 'procedures/make-dead.yaml', 'Leave the disconnect box shut.', LONG, 'sentence of 21 words'],
  [
    'a tool for a homeowner',
    'procedures/water-clear.yaml',
    'kind: ask',
    'kind: ask\n    tools: [multimeter]',
    'asks homeowner or dispatcher for a tool',
  ],
  ['hands inside for a homeowner', 'procedures/water-clear.yaml', 'kind: ask', 'kind: ask\n    hands: inside', 'puts hands inside'],
  [
    'a wiring word for a homeowner',
    'procedures/red-flags.yaml',
    'Look down through the water from outside.',
    'Look at the terminals.',
    'says "terminals"',
  ],
  [
    'a verb that opens without dead',
    'procedures/make-dead.yaml',
    'Leave the disconnect box shut.',
    'Loosen the block.',
    'opens something without',
  ],
  ['hands inside without a panel', 'tests/flow-switch.yaml', /^hazard:.*\n/m, '', 'puts hands inside and has no panel'],
  [
    'hands inside of a flow without a panel of its own',
    'flows/overheating.yaml',
    / {4}hazard: .*A cup that tips.*\n/,
    '',
    'puts hands inside and has no panel',
  ],
  ['a panel that speaks of things only', 'tests/flow-switch.yaml', 'word: warning', 'word: notice', 'puts hands inside and has no panel'],
  [
    'a start without a panel',
    'procedures/prove-the-repair.yaml',
    / {4}hazard: .*Jets and suctions run at full.*\n/,
    '',
    'starts something and has no panel',
  ],
  ['a live step that is no reading', 'tests/heater-current-demand-off.yaml', 'kind: read', 'kind: do', 'live and open, and no `read`'],
  [
    'taking a cover off without a danger panel',
    'procedures/prove-place.yaml',
    'hazard: { word: danger, text: This place',
    'hazard: { word: caution, text: This place',
    'no danger panel',
  ],
  [
    'pressing without saying that it starts',
    'procedures/make-dead.yaml',
    'Leave the disconnect box shut.',
    'Press jets.',
    'starts something without',
  ],
  [
    'power on without saying so',
    'procedures/leave-off.yaml',
    'effects: [energy off]',
    'effects: [energy on]',
    'switches the power on without',
  ],
  ['work on the feed', 'procedures/make-dead.yaml', 'Leave the disconnect box shut.', 'Tighten the breaker.', 'is work on the feed'],
  [
    'a safety device defeated',
    'procedures/make-dead.yaml',
    'Leave the disconnect box shut.',
    'Bypass the flow switch.',
    'defeats a safety device',
  ],
  [
    'red questions in another order',
    'procedures/red-flags.yaml',
    'none: { label: Never, to: burning, odds: 0.93 }\n      not-sure: { label: Not sure, to: burning',
    'none: { label: Never, to: burning, odds: 0.93 }\n      not-sure: { label: Not sure, to: suction',
    'does not go on with "burning"',
  ],
  [
    'not knowing that counts as safe',
    'procedures/red-flags.yaml',
    'not-done: { to: burning, effects: [flag red-unknown] }',
    'not-done: { to: burning }',
    'does not count as unsafe',
  ],
])('%s is refused', (_name, path, from, to, message) => {
  const problems = problemsWith(path, from, to)
  expect(problems.map((problem) => problem.message).join('\n')).toContain(message)
})
