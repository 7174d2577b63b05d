// The practice job: an invented tub answers every step, and the newcomer ends with a proved repair.
// What practice looks like on the page is tests/walks.
import { expect, test } from 'vitest'
import { Play, TECHNICIAN } from './play.ts'
import { libraryEngine } from '../../laws/library.ts'
import type { JobView } from '#graphs/contract'

/** Takes every answer of the practice tub until the job ends. */
function practised(arrives: boolean): { view: JobView; answers: number } {
  const play = new Play(TECHNICIAN, libraryEngine(), 'hotter-than-set', true)
  if (arrives) play.send({ type: 'arrive' })
  for (let answers = 0; answers < 150; answers += 1) {
    const view = play.view()
    if (view.ended !== undefined) return { view, answers }
    if (view.step === undefined) {
      play.send({ type: 'arrive' })
      continue
    }
    const { practice, place } = view.step
    if (practice === undefined) throw new Error(`the practice tub has no answer at ${view.step.key}`)
    const { says: _says, ...answer } = practice
    const reply = play.send({ type: 'answer', place, ...answer })
    if (!reply.ok) throw new Error(`${view.step.key}: ${reply.code} ${reply.message}`)
  }
  throw new Error('the practice job does not end')
}

test.each([
  ['from arriving on site', true],
  ['from the first words', false],
])('ends repaired and proved %s', (_name, arrives) => {
  const { view, answers } = practised(arrives)
  expect(view.ended?.ending).toBe('Repaired and proved')
  expect(view.ended?.tub).toBe('The tub is safe to use.')
  expect(view.hazards).toEqual([])
  expect(answers).toBeLessThan(140)
})

test('only a practice job is told what to answer', () => {
  expect(new Play().step().practice).toBeUndefined()
})
