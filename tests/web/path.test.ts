// The way a job has come, read from its keys: each level of blocks, and the steps answered in it.
// How it looks on the page is the walk's.
import { expect, test } from 'vitest'
import type { TrailItem } from '#graphs/contract'
import { levelsOf } from '../../web/picture/path.ts'

const item = (key: string, title: string, struck = false) => ({ key, title, struck }) as unknown as TrailItem
const view = (present: string | undefined, ...trail: TrailItem[]) =>
  ({ trail, ...(present === undefined ? {} : { step: { key: present, title: 'Present' } }) }) as unknown as Parameters<typeof levelsOf>[0]

test('each level holds the steps of its own block, and ends with where the job stands', () => {
  const levels = levelsOf(
    view(
      '0|heat.test#1>card.read#2',
      item('0|heat.red#1>flags.power#1', 'Power'),
      item('0|heat.red#1>flags.people#1', 'People'),
      item('0|heat.plug#1', 'Plug or wired'),
      item('0|heat.gone#1', 'Struck', true),
      item('0|heat.test#1>card.read#1', 'Read'),
    ),
  )
  expect(levels).toEqual([
    {
      block: 'heat',
      steps: [
        { step: 'red', title: 'Red' },
        { step: 'plug', title: 'Plug or wired' },
        { step: 'test', title: 'Test' },
      ],
    },
    {
      block: 'card',
      steps: [
        { step: 'read', title: 'Read' },
        { step: 'read', title: 'Present' },
      ],
    },
  ])
})

test('a block put on top is a level of its own, under the step that needs it', () => {
  const levels = levelsOf(view('1|heat.open#1>+1make-dead.lock#1', item('1|heat.open#1>+1make-dead.off#1', 'Switch off')))
  expect(levels.map(({ block }) => block)).toEqual(['heat', 'make-dead'])
  expect(levels[1]?.steps.map(({ step }) => step)).toEqual(['off', 'lock'])
})

test('an ended job stands where it was answered last, and a new one nowhere', () => {
  expect(levelsOf(view(undefined, item('0|heat.plug#1', 'Plug')))).toEqual([{ block: 'heat', steps: [{ step: 'plug', title: 'Plug' }] }])
  expect(levelsOf(view(undefined))).toEqual([])
})
