// The library's own fields against hazard labels that a second pair of eyes wrote from the trade's facts and each step's text alone.
// A step without a row fails; where the two differ, the difference is settled here in words, or the library is mended.
import { readFileSync } from 'node:fs'
import { parse } from 'yaml'
import { expect, test } from 'vitest'
import type { Step } from '#graphs'
import { libraryEdition } from './laws/library.ts'

type Label = {
  readonly hands: 'nothing' | 'outside' | 'water' | 'inside'
  readonly starts: 'nothing' | 'power' | 'moves'
  readonly who: 'anyone' | 'phone' | 'technician' | 'qualified'
}

const labels = parse(readFileSync(new URL('hazards.yaml', import.meta.url), 'utf8')) as { [block: string]: { [step: string]: Label } }

const LOOKS_AT_PAPER =
  'a list, a label or a part in the hand is read; the text says hands out, and whoever does reach in is behind the proof all the same'
const PRESSED_DEAD = 'pressed with the power off and locked: nothing may start, and that is the test'
const RUNS_ALREADY = 'the tub runs already; the step reads or listens, and what started it asked for clear water'
const SETTING_ONLY =
  'a changed setting starts nothing at once that would not have started by itself; nobody is in the water since the red questions'
const RESCUE = 'a person in danger is helped from the edge; the step before it says that nobody touches water that can be live'
const SPOKEN_TO_BOTH = 'the words of the booking are spoken to a homeowner as well as by a dispatcher'

/** Differences that were looked at, each with the reason why the library stands as it is. */
const SETTLED: { readonly [step: string]: string } = {
  'board-replacement.match-list': LOOKS_AT_PAPER,
  'board-replacement.bench': LOOKS_AT_PAPER,
  'bridge-found.show': LOOKS_AT_PAPER,
  'part-on-order.what-is-missing': LOOKS_AT_PAPER,
  'sensor-replacement.right-sensor': LOOKS_AT_PAPER,
  'cool-down-trial.set-up': 'a test strip is dipped from the edge with the tub at rest, as on any day',
  'filter-out.test':
    'the filter comes out by its handle with the power off; the label took the worse reading, and the step is said to start the pump',
  'overheating.clean-filter':
    'the power is off at plug or disconnect before the filter lid comes up, and the hand holds the filter above the water',
  'return-flow.test': 'a thermometer on a string: the string is a kind of its own in the library, and is no hand in the water',
  'suction-cover-new.fit-cover': 'the library asks for more: the tub is proved dead before a hand goes into the water',
  'sensor-replacement.well': 'the library asks for more: the box is still open and proved dead',
  'leave-off.covers-back':
    'a cover is hung from outside; the text forbids a finger past the edge of the box, and allows leaving it open with a guard',
  'live-gate.open-live': 'the gate of the qualified person itself: it leads to live-open and is signed for',
  'entrapment.free': RESCUE,
  'heat-illness.help-out': RESCUE,
  'red-flags.out-now': RESCUE,
  'shock-stop.power-first': 'the power goes off first; a dry pole reaches a person only where that cannot be',
  'make-dead.see-lock': PRESSED_DEAD,
  'make-dead.try-buttons': PRESSED_DEAD,
  'prove-place.own-lock': PRESSED_DEAD,
  'breaker-unknown.note': 'what was switched is written down; it is put back in the step before',
  'overheating.power-as-found': 'the power came back in close and power up, which is put on top of it; here it is looked at',
  'frost-heater-isolated.pump-runs': RUNS_ALREADY,
  'heater-out-comparison.run-without': RUNS_ALREADY,
  'heater-out-comparison.run-with': RUNS_ALREADY,
  'prove-the-repair.hold': RUNS_ALREADY,
  'overheating.settings-right': SETTING_ONLY,
  'overheating.schedule-right': SETTING_ONLY,
  'prove-the-repair.settings': SETTING_ONLY,
  'overheating.day-after': SPOKEN_TO_BOTH,
  'overheating.second-call': SPOKEN_TO_BOTH,
  'overheating.book-now': SPOKEN_TO_BOTH,
  'overheating.book-next-slot': SPOKEN_TO_BOTH,
  'overheating.book-next-day': SPOKEN_TO_BOTH,
}

const WHO = ['anyone', 'phone', 'technician', 'qualified'] as const

function labelOf(step: Step): Label {
  const isInside = ['proving', 'dead', 'live-open'].includes(step.needs) || step.hands === 'inside'
  return {
    hands: isInside ? 'inside' : step.hands === 'water' ? 'water' : step.hands === 'none' ? 'nothing' : 'outside',
    starts: step.starts === undefined ? 'nothing' : step.starts === 'power' ? 'power' : 'moves',
    who:
      step.signed.length > 0
        ? 'qualified'
        : step.who.includes('homeowner')
          ? 'anyone'
          : step.who.includes('dispatcher')
            ? 'phone'
            : 'technician',
  }
}

/** What differs in earnest: whether hands are out, in the water or inside; whether anything starts; people who are let in and should not be. */
function differences(step: Step, label: Label): string[] {
  const own = labelOf(step)
  const reach = (hands: Label['hands']) => (hands === 'nothing' ? 'outside' : hands)
  return [
    ...(reach(own.hands) === reach(label.hands) ? [] : [`hands ${own.hands}, labelled ${label.hands}`]),
    ...((own.starts === 'nothing') === (label.starts === 'nothing') ? [] : [`starts ${own.starts}, labelled ${label.starts}`]),
    ...(WHO.indexOf(own.who) < WHO.indexOf(label.who) ? [`for ${own.who}, labelled ${label.who}`] : []),
  ]
}

/** Steps that a person does; copies of a block for one sensor are the block's. */
function* doneByPeople(): Generator<readonly [string, Step]> {
  for (const block of Object.values(libraryEdition().blocks)) {
    if (block.id.includes('~')) continue
    for (const step of Object.values(block.steps))
      if (!['decide', 'call', 'finish', 'refer'].includes(step.kind)) yield [`${block.id}.${step.id}`, step]
  }
}

test('every step has a row', () => {
  const missing = Object.values(libraryEdition().blocks).flatMap((block) =>
    Object.keys(block.steps).flatMap((step) => (labels[block.id]?.[step] === undefined ? [`${block.id}.${step}`] : [])),
  )
  expect(missing).toEqual([])
})

test('the library and the labels agree, but where the difference is settled in words', () => {
  const open = [...doneByPeople()].flatMap(([name, step]) => {
    const [block = '', id = ''] = name.split('.')
    const label = labels[block]?.[id]
    const found = label === undefined ? [] : differences(step, label)
    return found.length === 0 || SETTLED[name] !== undefined ? [] : [`${name}: ${found.join('; ')}`]
  })
  expect(open).toEqual([])
})

test('whatever is settled still differs', () => {
  const differing = new Set(
    [...doneByPeople()].flatMap(([name, step]) => {
      const [block = '', id = ''] = name.split('.')
      const label = labels[block]?.[id]
      return label !== undefined && differences(step, label).length > 0 ? [name] : []
    }),
  )
  expect(Object.keys(SETTLED).filter((name) => !differing.has(name))).toEqual([])
})

test('nobody without the sign-off is let to a step that was labelled as live', () => {
  const live = [...doneByPeople()].filter(([, step]) => step.needs === 'live-open')
  expect(live.length).toBeGreaterThan(0)
  for (const [name, step] of live) expect([name, step.signed]).toEqual([name, ['energized-work']])
})
