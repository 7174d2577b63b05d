// What is drawn from a view: the order of the log's lines, the place of a reading on its band, how far a series is.
// Pixels are looked at in the browser.
import { describe, expect, test } from 'vitest'
import type { PowerState, TrailItem } from '#graphs/contract'
import { gatherTyped, linesOf } from '../../web/log/lines.ts'
import { numberOf, progressOf, runningRate } from '../../web/form/series.ts'
import { powerNow, timeLeft, unbroken } from '../../web/job/words.ts'
import { scaleOf } from '../../web/verdict/scale.ts'

function item(at: number, power: PowerState): TrailItem {
  return {
    key: `0|f.s${at}#1`,
    at,
    power,
    by: { name: 'Ash', role: 'technician' },
    title: `at ${at}`,
    answer: 'x',
    typed: [],
    why: '',
    can_change: true,
    struck: false,
  }
}

function told(lines: ReturnType<typeof linesOf>): string[] {
  return lines.map((line) => (line.kind === 'state' ? line.change.power : line.item.title))
}

describe('the log', () => {
  test('a change of state stands after the answer that brought it about, and before the next', () => {
    const view = {
      trail: [item(10, 'closed'), item(20, 'live-shut'), item(30, 'proving')],
      rail: [
        { at: 5, power: 'closed' as const },
        { at: 10, power: 'live-shut' as const },
        { at: 20, power: 'proving' as const },
      ],
    }
    expect(told(linesOf(view))).toEqual(['closed', 'at 10', 'live-shut', 'at 20', 'proving', 'at 30'])
  })
  test('a change after the last answer stands last, and a state that did not change is not told twice', () => {
    const view = {
      trail: [item(10, 'closed')],
      rail: [
        { at: 5, power: 'closed' as const },
        { at: 7, power: 'closed' as const },
        { at: 40, power: 'locked' as const },
      ],
    }
    expect(told(linesOf(view))).toEqual(['closed', 'at 10', 'locked'])
  })
  test('a tub that is shut is called off only while somebody stands at it, and as found only at first', () => {
    const rail = [
      { at: 5, power: 'closed' as const },
      { at: 10, power: 'live-shut' as const },
      { at: 20, power: 'closed' as const },
    ]
    const words = (view: Parameters<typeof linesOf>[0]): string[] =>
      linesOf(view).flatMap((line) => (line.kind === 'state' ? [line.change.words] : []))
    expect(words({ trail: [], rail, holder: 'Ash' })).toEqual(['Covers on, power as found', 'Power on, covers on', 'Covers on, power off'])
    expect(words({ trail: [], rail }).at(-1)).toBe('Covers on, power off or nobody there')
    expect(powerNow({ power: 'closed', rail, holder: 'Ash' })).toBe('Covers on, power off')
    expect(powerNow({ power: 'closed', rail })).toBe('Covers on, nobody there')
    expect(powerNow({ power: 'closed', rail: rail.slice(0, 1) })).toBe('As found, covers on')
  })
  test('pairs of one place with one figure are read in one line', () => {
    const typed = ['L1-L2', 'L1-N', 'L2-N'].map((pair) => ({ label: `Board, ${pair}`, value: '0.0 V' }))
    expect(gatherTyped([...typed, { label: 'Board, N-G', value: '12 V' }, { label: 'Tester proved after', value: 'yes' }])).toEqual([
      { label: 'Board, L1-L2 · L1-N · L2-N', value: '0.0 V' },
      { label: 'Board, N-G', value: '12 V' },
      { label: 'Tester proved after', value: 'yes' },
    ])
  })
})

describe('the band', () => {
  test('bands, reading and error lie in their order from left to right', () => {
    const scale = scaleOf({
      value: 5.2,
      error: 1,
      bands: [
        { high: 0.5, label: 'pump only', good: true },
        { low: 3.2, label: 'heater on', good: false },
      ],
    })
    expect(scale?.pieces[0]).toMatchObject({ from: 0 })
    expect(scale?.pieces[1]).toMatchObject({ to: 1 })
    expect(scale?.pieces[0]?.to).toBeLessThan(scale?.pieces[1]?.from ?? 0)
    expect(scale?.errorFrom).toBeLessThan(scale?.at ?? 0)
    expect(scale?.at).toBeLessThan(scale?.errorTo ?? 0)
    expect(scale?.at).toBeGreaterThan(scale?.pieces[1]?.from ?? 1)
  })
  test('an open circuit stands at the right end', () => {
    expect(scaleOf({ value: null, error: null, bands: [{ low: 9, high: 11, label: 'in range', good: true }] })).toMatchObject({
      at: 1,
      isBeyond: true,
    })
  })
  test('resistances of a hundred thousand to one are still told apart', () => {
    const scale = scaleOf({
      value: 0.2,
      error: 0.1,
      bands: [
        { high: 1, label: 'closed', good: false },
        { low: 1e5, label: 'open', good: true },
      ],
    })
    expect(scale?.pieces[0]?.to).toBeGreaterThan(0.1)
  })
  test('nothing to draw is no band', () => {
    expect(scaleOf({ value: null, error: null, bands: [] })).toBeUndefined()
  })
})

test('a number is never parted from its unit, and words that begin like a unit are left alone', () => {
  expect(unbroken('Switch off at 110 °F, then wait 5 min.')).toBe('Switch off at 110\u00a0°F, then wait 5\u00a0min.')
  expect(unbroken('3 V or more on 2 Vents, 4 hours')).toBe('3\u00a0V or more on 2 Vents, 4 hours')
})

describe('a series', () => {
  const minute = 60_000
  const plan = { least: 4, span_minutes: 30, every_minutes: 10 }
  const read = (...points: [number, string][]) => points.map(([at, typed]) => ({ typed, unit: 'degF', at: at * minute }))
  test('says what is left and when the next reading is due', () => {
    expect(progressOf(plan, [])).toMatchObject({ have: 0, minutes: 0, isEnough: false, next: undefined })
    expect(progressOf(plan, read([0, '102'], [10, '103']))).toMatchObject({ have: 2, minutes: 10, isEnough: false, next: 20 * minute })
    expect(progressOf(plan, read([0, '102'], [10, '103'], [20, '104'], [30, '105']))).toMatchObject({ isEnough: true, next: undefined })
  })
  test('four readings in too short a time are not enough', () => {
    expect(progressOf(plan, read([0, '1'], [1, '1'], [2, '1'], [3, '1'])).isEnough).toBe(false)
  })
  test('a reading at the stop ends the series early, in either unit, and one reading alone does not', () => {
    const stopped = { ...plan, enough_at: 43.3 }
    expect(progressOf(stopped, read([0, '108.5'], [10, '110'])).isStopped).toBe(true)
    expect(progressOf(stopped, read([0, '108.5'], [10, '110']))).toMatchObject({ isEnough: true, next: undefined })
    expect(progressOf(stopped, read([0, '108.5'], [10, '109.5']))).toMatchObject({ isStopped: false, isEnough: false, next: 20 * minute })
    expect(progressOf(stopped, read([0, '110'])).isEnough).toBe(false)
    const inCelsius = read([0, '42.1'], [10, '43.4']).map((one) => ({ ...one, unit: 'degC' }))
    expect(progressOf(stopped, inCelsius).isEnough).toBe(true)
    expect(progressOf(stopped, read([0, '42 C'], [10, '43.4 C'])).isEnough).toBe(true)
    expect(progressOf(plan, read([0, '108.5'], [10, '110'])).isEnough).toBe(false)
  })
  test('the running rate is the change over the time, an hour', () => {
    expect(runningRate(read([0, '106.8'], [30, '109.4']))?.perHour).toBeCloseTo(5.2, 9)
    expect(runningRate(read([0, '39,5'], [60, '39,0']))?.perHour).toBeCloseTo(-0.5, 9)
    expect(runningRate(read([0, '106.8']))).toBeUndefined()
    expect(
      runningRate([
        { typed: '100', unit: 'degF', at: 0 },
        { typed: '38', unit: 'degC', at: minute },
      ]),
    ).toBeUndefined()
  })
  test('a number is read with comma or point, and nothing else is taken for one', () => {
    expect([numberOf('5,3'), numberOf(' 12 V'), numberOf('-3.0'), numberOf('OL'), numberOf('')]).toEqual([
      5.3,
      12,
      -3,
      undefined,
      undefined,
    ])
  })
  test('time left counts down to nothing and not below', () => {
    expect([timeLeft(725_000), timeLeft(59_001), timeLeft(-5), timeLeft(3_725_000)]).toEqual(['12:05', '1:00', '0:00', '1:02:05'])
  })
})
