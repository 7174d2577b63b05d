// The five minutes between off and the meter are waited also where a lock goes on late, and a cold weld is spoken of where it can hide.
// The words and fields that every step must keep to are safety-checks.test.ts.
import { expect, test } from 'vitest'
import { compileLibrary } from '#graphs/author'
import { readLibrary } from '../../../server/commands/edition.ts'

const compiled = compileLibrary(readLibrary(), 1)
if (!compiled.ok) throw new Error(compiled.problem.message)
const { blocks } = compiled.value

// Five minutes for stored charge to run down: common practice, no source.
test('a lock put on late at a further place waits five minutes before anybody measures', () => {
  const block = blocks['prove-place']
  const next = block?.steps[block.steps['own-lock']?.outcomes['mine']?.to ?? '']
  expect(next?.kind).toBe('wait')
  expect(next?.wait?.minutes).toBe(5)
  expect(next?.outcomes['done']?.to).toBe('prove')
})

// That a weld can let go when it cools: common practice, no source.
test('the second heater run says that a weld can let go when cold', () => {
  expect(blocks['heater-out-comparison']?.steps['run-with']?.says.join(' ')).toMatch(/weld can let go when cold/i)
})
