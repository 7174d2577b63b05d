// What a typed line is taken for: numbers by their units, answers by their words, and nothing where there is doubt.
// That guarded steps take nothing typed is tested in the browser and in the guard below.
import { describe, expect, test } from 'vitest'
import type { StepView } from '#graphs/contract'
import { isGuarded } from '../../web/step/guard.ts'
import { matchTyped } from '../../web/typed/match.ts'

const ohms = { name: 'temp-sensor', quantity: 'resistance', label: 'Water sensor', units: ['kohm', 'ohm'], optional: false }
const bath = { name: 'bath', quantity: 'temperature', label: 'Thermometer', units: ['degF', 'degC'], optional: false }
const volts = { name: 'line', quantity: 'voltage', label: 'Line', units: ['V'], optional: false }
const series = { ...bath, name: 'water', label: 'Water', series: { least: 4, span_minutes: 30, every_minutes: 10 } }

function step(
  part: Partial<Pick<StepView, 'outcomes' | 'readings' | 'can_not_do'>>,
): Pick<StepView, 'outcomes' | 'readings' | 'can_not_do'> {
  return { outcomes: [], readings: [], can_not_do: true, ...part }
}

const HEAT = [
  { outcome: 'above', label: 'Above 104 °F, by either' },
  { outcome: 'thermometer-below', label: '104 °F or less, by a thermometer' },
  { outcome: 'display-below', label: '104 °F or less, display only' },
  { outcome: 'not-sure', label: 'Not known' },
]

describe('numbers', () => {
  test('a bare number goes into the only field, with the likely unit', () => {
    expect(matchTyped('240', step({ readings: [volts] }))).toEqual({
      kind: 'fill',
      readings: [{ name: 'line', typed: '240', unit: 'V' }],
      says: 'Line 240 V',
    })
  })
  test('the unit that was typed outranks the likely one', () => {
    expect(matchTyped('10.4 ohm', step({ readings: [ohms] }))).toMatchObject({ kind: 'fill', readings: [{ typed: '10.4', unit: 'ohm' }] })
    expect(matchTyped('39 c', step({ readings: [bath] }))).toMatchObject({ kind: 'fill', readings: [{ typed: '39', unit: 'degC' }] })
  })
  test('two numbers find their fields by their units', () => {
    const both = step({ readings: [ohms, bath] })
    const filled = [
      { name: 'temp-sensor', typed: '6.1', unit: 'kohm' },
      { name: 'bath', typed: '98', unit: 'degF' },
    ]
    expect(matchTyped('6.1k at 98', both)).toMatchObject({ kind: 'fill', readings: filled })
    expect(matchTyped('98F and 6.1k', both)).toMatchObject({ kind: 'fill', readings: filled.toReversed() })
  })
  test('one bare number for two fields is not guessed', () => {
    expect(matchTyped('98', step({ readings: [ohms, bath] })).kind).toBe('nothing')
  })
  test('more numbers than fields are not guessed', () => {
    expect(matchTyped('98 or 99', step({ readings: [bath] })).kind).toBe('nothing')
  })
  test('a comma stays a comma: what was typed is what is recorded', () => {
    expect(matchTyped('5,3k', step({ readings: [ohms] }))).toMatchObject({ readings: [{ typed: '5,3', unit: 'kohm' }] })
  })
  test('a meter that shows open is a reading of resistance, and of nothing else', () => {
    expect(matchTyped('OL', step({ readings: [ohms] }))).toMatchObject({ kind: 'fill', readings: [{ typed: 'OL' }] })
    expect(matchTyped('OL', step({ readings: [volts] })).kind).not.toBe('fill')
  })
  test('a number at a series adds one reading', () => {
    expect(matchTyped('101.5', step({ readings: [series] }))).toMatchObject({
      kind: 'fill',
      readings: [{ name: 'water', typed: '101.5', unit: 'degF' }],
    })
  })
  test('a unit that fits no field fills nothing', () => {
    expect(matchTyped('240 V', step({ readings: [bath] })).kind).toBe('nothing')
  })
})

describe('words', () => {
  test('not sure finds the answer that says so', () => {
    for (const text of ['not sure', 'Unsure', "don't know", 'no idea', '???']) {
      expect(matchTyped(text, step({ outcomes: HEAT })), text).toMatchObject({ kind: 'outcome', outcome: 'not-sure' })
    }
  })
  test('not sure where no answer says so opens the reasons', () => {
    expect(matchTyped('not sure', step({ outcomes: [{ outcome: 'on', label: 'On' }] })).kind).toBe('cannot')
    expect(matchTyped('not sure', step({ outcomes: [{ outcome: 'on', label: 'On' }], can_not_do: false })).kind).toBe('nothing')
  })
  test('on and off are answers of their own', () => {
    const symbol = step({
      outcomes: [
        { outcome: 'off', label: 'Off' },
        { outcome: 'on', label: 'On' },
      ],
    })
    expect(matchTyped('on', symbol)).toMatchObject({ kind: 'outcome', outcome: 'on', sure: true })
    expect(matchTyped('it is on', symbol)).toMatchObject({ kind: 'outcome', outcome: 'on' })
    expect(matchTyped('its off', symbol)).toMatchObject({ kind: 'outcome', outcome: 'off' })
  })
  test('one slip of the finger is forgiven in a longer word', () => {
    expect(matchTyped('by thermometr', step({ outcomes: HEAT }))).toMatchObject({ kind: 'outcome', outcome: 'thermometer-below' })
  })
  test('two answers that fit alike are both offered, none is picked', () => {
    const found = matchTyped('104 or less', step({ outcomes: HEAT }))
    expect(found.kind).toBe('which')
    expect(found.kind === 'which' && found.outcomes.map((one) => one.outcome)).toEqual(
      expect.arrayContaining(['thermometer-below', 'display-below']),
    )
  })
  test('words that fit nothing give nothing', () => {
    expect(matchTyped('banana', step({ outcomes: HEAT })).kind).toBe('nothing')
    expect(matchTyped('   ', step({ outcomes: HEAT })).kind).toBe('nothing')
  })
})

describe('guarded steps', () => {
  const plain = {
    place: '0|f.s#1',
    key: '0|f.s#1',
    block: 'overheating',
    step: 's',
    kind: 'ask',
    title: 'T',
    says: [],
    why: '',
    minutes: 1,
    tools: [],
    outcomes: [],
    readings: [],
    can_not_do: true,
  } as unknown as StepView
  test('a hazard, something that starts, the making dead, a red question, a proof and a fitting take no typed answer', () => {
    expect(isGuarded(plain, 'find')).toBe(false)
    expect(isGuarded({ ...plain, hazard: { word: 'caution', text: 'x' } }, 'find')).toBe(true)
    expect(isGuarded({ ...plain, starts: 'pump' }, 'find')).toBe(true)
    expect(isGuarded(plain, 'make-dead')).toBe(true)
    for (const block of ['red-flags', 'make-dead', 'prove-place', 'live-gate', 'water-clear', 'close-and-power-up'])
      expect(isGuarded({ ...plain, block }, 'find'), block).toBe(true)
    expect(isGuarded({ ...plain, form: { form: 'pairs', places: [] } }, 'find')).toBe(true)
    expect(isGuarded({ ...plain, kind: 'fit' }, 'mend')).toBe(true)
  })
})
