// Laws that every judgement keeps, whatever is typed and whatever is known; and the list of facts.
// Cases of one judgement stand in the judge-*.test.ts files.
import { createRequire } from 'node:module'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { EVALUATORS, FACTS } from '../../../graphs/trade/index.ts'
import { brokenPlaceholders, fillText } from '../../../graphs/trade/placeholder.ts'
import { RANGES, toSi, UNITS, unitsOf } from '../../../graphs/trade/quantity.ts'
import { pairsOfProfile, PROFILES } from '../../../graphs/trade/supply.ts'
import { degF, facts, lineF, ohms, outcome, tick, verdict, volts } from './readings.ts'
import type { Facts, Quantity, Reading, Readings, Verdict } from '../../../graphs/trade/verdict.ts'

const SEED = 20_250_611
const canonicalize = createRequire(import.meta.url)('canonicalize') as ((value: unknown) => string) & {
  default?: (value: unknown) => string
}
const canonical = canonicalize.default ?? canonicalize

/** Names and quantities of the readings each evaluator takes, with the optional ones. */
const TAKES: { readonly [name: string]: { readonly [reading: string]: Quantity } } = {
  'display-vs-thermometer': { water: 'temperature', display: 'temperature', setpoint: 'temperature' },
  'water-limit': { water: 'temperature' },
  'rise-demand-off': { water: 'temperature' },
  'rise-demand-on': { water: 'temperature' },
  'rise-heat-off': { water: 'temperature' },
  hold: { water: 'temperature', setpoint: 'temperature' },
  'sensor-resistance': { bath: 'temperature', 'temp-sensor': 'resistance', 'limit-sensor': 'resistance' },
  'house-meter': { before: 'power', after: 'power' },
  'element-resistance': { element: 'resistance' },
  'element-current': { current: 'current' },
  'heater-current-off': { current: 'current' },
  'element-to-ground': { 'to-ground': 'resistance' },
  'load-to-ground': { 'to-ground': 'resistance' },
  'relay-contacts': { 'pole-1': 'resistance', 'pole-2': 'resistance' },
  'proof-of-dead': {
    'tester-before': 'count',
    'tester-after': 'count',
    'board:L1-L2': 'voltage',
    'board:L1-G': 'voltage',
    'board:L2-G': 'voltage',
  },
  'heat-creep': { air: 'temperature' },
  'capacitor-discharged': { capacitor: 'voltage' },
  'dead-feed': { 'hot-ground': 'resistance', 'line-line': 'resistance' },
  'two-run-difference': { without: 'temperature', with: 'temperature' },
  'swap-difference': {
    'water-before': 'temperature',
    'display-before': 'temperature',
    'water-swapped': 'temperature',
    'display-swapped': 'temperature',
  },
}
const SERIES: { readonly [name: string]: readonly string[] } = {
  'rise-demand-off': ['water'],
  'rise-demand-on': ['water'],
  'rise-heat-off': ['water'],
  hold: ['water'],
  'two-run-difference': ['without', 'with'],
}

const likely: { readonly [quantity in Quantity]?: fc.Arbitrary<number> } = {
  temperature: fc.double({ min: 5, max: 50, noNaN: true }),
  resistance: fc.oneof(fc.double({ min: 0, max: 20, noNaN: true }), fc.double({ min: 0, max: 50_000, noNaN: true }), fc.constant(Infinity)),
  voltage: fc.double({ min: -10, max: 260, noNaN: true }),
  power: fc.double({ min: 0, max: 9000, noNaN: true }),
  current: fc.double({ min: 0, max: 30, noNaN: true }),
  count: fc.constantFrom(0, 1),
}

/** Where a reading of that name mostly lies, so that sound tubs come up as well. */
const usual: { readonly [reading: string]: fc.Arbitrary<number> } = {
  current: fc.oneof(fc.double({ min: 0, max: 1, noNaN: true }), fc.double({ min: 0, max: 30, noNaN: true })),
  element: fc.double({ min: 9, max: 12, noNaN: true }),
  'to-ground': fc.oneof(
    fc.constant(Infinity),
    fc.double({ min: 0, max: 1e6, noNaN: true }),
    fc.double({ min: 1e6, max: 2e7, noNaN: true }),
  ),
  bath: fc.double({ min: 39, max: 41, noNaN: true }),
  'temp-sensor': fc.double({ min: 5000, max: 6000, noNaN: true }),
  'limit-sensor': fc.double({ min: 5000, max: 6000, noNaN: true }),
  'board:L1-L2': fc.double({ min: -2, max: 2, noNaN: true }),
  'board:L1-G': fc.double({ min: -2, max: 2, noNaN: true }),
  'board:L2-G': fc.double({ min: -2, max: 2, noNaN: true }),
}

function readingOf(quantity: Quantity, at?: number, name = ''): fc.Arbitrary<Reading> {
  const unit = unitsOf(quantity).find((row) => row.factor === 1)?.id ?? '1'
  const { low, high } = RANGES[quantity]
  const value = fc.oneof(
    { weight: usual[name] ? 12 : 0, arbitrary: usual[name] ?? fc.constant(0) },
    { weight: 8, arbitrary: likely[quantity] ?? fc.double({ min: low, max: high, noNaN: true }) },
    { weight: 1, arbitrary: fc.double() },
  )
  return fc
    .tuple(
      value,
      fc.constantFrom(
        undefined,
        'thermometer-digital',
        'thermometer-dial',
        'display',
        'multimeter',
        'insulation-tester',
        'pen-tester',
        'nobody',
      ),
    )
    .map(([si, instrument]) => ({
      quantity,
      typed: si === Infinity && quantity === 'resistance' ? 'OL' : String(si),
      unit,
      si,
      ...(instrument === undefined ? {} : { instrument }),
      ...(at === undefined ? {} : { at }),
    }))
}

function readingsOf(name: string): fc.Arbitrary<Readings> {
  const shape = Object.entries(TAKES[name] ?? {}).map(([reading, quantity]) => {
    const many = SERIES[name]?.includes(reading) === true
    const start = fc.double({ min: 15, max: 42, noNaN: true })
    const straight = fc
      .tuple(start, fc.double({ min: -2, max: 6, noNaN: true }), fc.integer({ min: 2, max: 8 }), fc.integer({ min: 5, max: 60 }))
      .map(([from, perHour, count, minutes]) =>
        Array.from({ length: count }, (_, index) => {
          const si = from + (perHour * index * minutes) / 60
          return { quantity: 'temperature', typed: si.toFixed(2), unit: 'degC', si, at: index * minutes * 60_000 } as const
        }),
      )
    const wild = fc.array(readingOf(quantity, 0), { maxLength: 4 })
    return [
      reading,
      many ? fc.oneof({ weight: 4, arbitrary: straight }, { weight: 1, arbitrary: wild }) : readingOf(quantity, undefined, reading),
    ] as const
  })
  return fc.record(Object.fromEntries(shape), { requiredKeys: [] }) as fc.Arbitrary<Readings>
}

const someFacts: fc.Arbitrary<Facts> = fc
  .record(
    {
      'supply-profile': fc.constantFrom(...Object.keys(PROFILES), 'unknown', 7),
      volume: fc.oneof(fc.double({ min: 200, max: 3000, noNaN: true }), fc.double()),
      'heater-power': fc.oneof(fc.constantFrom(300, 1000, 1500, 4000, 5500, 11_000), fc.double()),
      'heater-rated-voltage': fc.constantFrom(120, 208, 230, 240, 0, NaN),
      'supply-voltage': fc.oneof(fc.double({ min: 100, max: 260, noNaN: true }), fc.constant(-1)),
      'pump-power': fc.oneof(fc.double({ min: 50, max: 2500, noNaN: true }), fc.constant('many')),
      'sensor-curve': fc.constantFrom('S', 'E', 'X', '30k', 'table', 'unknown', 'constructor'),
      'sensor-table': fc.constantFrom('0:32000, 25:10000, 40:5300', 'x', ''),
      'sensor-limit': fc.constantFrom(0.5, 1, 2, -1),
      'relay-fixed-leg': fc.constantFrom(true, false, 'yes'),
      'air-mean': fc.oneof(fc.double({ min: -10, max: 40, noNaN: true }), fc.double()),
      'night-lows': fc.double({ min: -10, max: 30, noNaN: true }),
      'filter-hours': fc.oneof(fc.double({ min: 0, max: 24, noNaN: true }), fc.double()),
      'full-sun': fc.boolean(),
      'water-target': fc.double({ min: 20, max: 42, noNaN: true }),
    },
    { requiredKeys: [] },
  )
  .map((values) => facts(values as Readonly<Record<string, number>>))

function expectWhole(found: Verdict, name: string): void {
  const known = EVALUATORS[name]
  expect(known?.outcomes).toContain(found.outcome)
  expect(found.evaluator).toBe(`${name}@${known?.version}`)
  expect(Number.isFinite(found.value)).toBe(true)
  expect(found.error >= 0 && Number.isFinite(found.error)).toBe(true)
  expect(brokenPlaceholders(found.reason)).toEqual([])
  expect(brokenPlaceholders(found.settle ?? '')).toEqual([])
  expect(found.bands.length).toBeGreaterThan(0)
  if (found.mark === 'cannot-tell') expect(found.settle ?? '').not.toBe('')
  for (const text of [found.reason, found.settle ?? '']) {
    expect(text).not.toMatch(/NaN|Infinity|undefined|\bplease\b|\bsorry\b|\binvalid\b|\bI\b/i)
    for (const units of ['us', 'si'] as const) {
      for (const sentence of fillText(text, units).split(/(?<=[.:;!?])\s/))
        expect(sentence.split(/\s+/).length, sentence).toBeLessThanOrEqual(26)
    }
  }
  expect(() => canonical(found)).not.toThrow()
}

describe('every evaluator', () => {
  test('stands in the table under its own name, with outcomes and facts that exist', () => {
    expect(Object.keys(EVALUATORS).toSorted()).toEqual(Object.keys(TAKES).toSorted())
    const slugs = FACTS.map((row) => row.slug)
    for (const [name, one] of Object.entries(EVALUATORS)) {
      expect(one.name).toBe(name)
      expect(new Set(one.outcomes).size).toBe(one.outcomes.length)
      for (const slug of one.facts) expect(slugs).toContain(slug)
    }
  })

  test.each(Object.keys(TAKES))('%s never throws, and every verdict is whole, whatever is typed and known', (name) => {
    fc.assert(
      fc.property(readingsOf(name), someFacts, (readings, known) => {
        const found = EVALUATORS[name]?.evaluate(readings, known)
        expect(found).toBeDefined()
        if (!found) return
        if (found.ok) expectWhole(found.value, name)
        else {
          expect(found.problem.code).toMatch(/^CALC_/)
          expect(found.problem.message).toMatch(/[.?!]$/)
          expect(found.problem.message).not.toMatch(/NaN|undefined|\bplease\b|\binvalid\b/i)
        }
      }),
      { seed: SEED, numRuns: 400 },
    )
  })

  test.each(Object.entries(EVALUATORS))('%s gives each of its outcomes for some readings', (name, one) => {
    const seen = new Set<string>()
    const runs = fc.sample(fc.tuple(readingsOf(name), someFacts), { seed: SEED, numRuns: 12_000 })
    for (const [readings, known] of runs) {
      const found = one.evaluate(readings, known)
      if (found.ok) seen.add(found.value.outcome)
    }
    expect([...seen].toSorted()).toEqual([...one.outcomes].toSorted())
  })

  test.each(Object.keys(TAKES).filter((name) => name !== 'heat-creep'))('%s says what is missing when nothing was read', (name) => {
    expect(outcome(name, {})).toBe('CALC_READING_MISSING')
  })

  test('names the facts it looks at', () => {
    const found = verdict('rise-demand-on', { water: lineF(90, 5, 60) })
    expect(found.uses).toEqual(EVALUATORS['rise-demand-on']?.facts)
  })
})

describe('safety laws', () => {
  test('no reading above 104 °F is ever called safe, by any thermometer', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1041, max: 1350 }),
        fc.constantFrom(undefined, 'thermometer-digital', 'thermometer-dial', 'display', 'nobody'),
        (tenths, instrument) => {
          expect(['above-limit', 'far-above']).toContain(outcome('water-limit', { water: degF((tenths / 10).toFixed(1), instrument) }))
        },
      ),
      { seed: SEED, numRuns: 500 },
    )
  })

  test('one pair at 3 V or more is voltage, whatever else was measured, left out or said', () => {
    const profiles = [...Object.keys(PROFILES), 'unknown']
    const names = [...new Set(profiles.flatMap(pairsOfProfile))].map((pair) => `board:${pair}`)
    fc.assert(
      fc.property(
        fc.constantFrom(...profiles),
        fc.dictionary(fc.constantFrom(...names), fc.double({ min: -2, max: 2, noNaN: true })),
        fc.constantFrom(...names),
        fc.oneof(fc.double({ min: 3, max: 999, noNaN: true }), fc.double({ min: -999, max: -3, noNaN: true })),
        fc.record(
          { 'tester-before': fc.constantFrom(tick(0), tick(1)), 'tester-after': fc.constantFrom(tick(0), tick(1)) },
          { requiredKeys: [] },
        ),
        (profile, others, hot, value, tester) => {
          const rest = Object.fromEntries(Object.entries(others).map(([name, si]) => [name, { ...volts('0'), si }]))
          const readings = { ...rest, [hot]: { ...volts('0'), si: value }, ...tester } as Readings
          expect(outcome('proof-of-dead', readings, facts({ 'supply-profile': profile }))).toBe('voltage')
        },
      ),
      { seed: SEED, numRuns: 500 },
    )
  })

  test('zero needs every pair of the profile and both proofs', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...Object.keys(PROFILES)),
        fc.integer({ min: 0, max: 255 }),
        fc.constantFrom(0, 1),
        fc.constantFrom(0, 1),
        (profile, mask, before, after) => {
          const pairs = pairsOfProfile(profile)
          const kept = pairs.filter((_, index) => (mask >> index) & 1)
          const readings = {
            ...Object.fromEntries(kept.map((pair) => [`board:${pair}`, volts('0')])),
            'tester-before': tick(before as 0 | 1),
            'tester-after': tick(after as 0 | 1),
          } as Readings
          const all = kept.length === pairs.length && before === 1 && after === 1
          expect(outcome('proof-of-dead', readings, facts({ 'supply-profile': profile })) === 'zero').toBe(all)
        },
      ),
      { seed: SEED, numRuns: 400 },
    )
  })

  test('more heater power never turns a fast rise from "zero" into "near-table"', () => {
    const order = ['near-table', 'below-half', 'zero']
    fc.assert(
      fc.property(fc.double({ min: -1, max: 8, noNaN: true }), fc.constantFrom(4000, 5500), (perHour, power) => {
        const at = (watts: number): number => {
          const found = outcome(
            'rise-demand-on',
            { water: lineF(90, perHour, 60) },
            facts({ volume: toSi(350, 'gal'), 'heater-power': watts, 'supply-profile': 'split-240-4wire' }),
          )
          return order.indexOf(found)
        }
        const [small, large] = [at(power), at(power * 1.5)]
        if (small >= 0 && large >= 0) expect(large).toBeGreaterThanOrEqual(small)
      }),
      { seed: SEED, numRuns: 300 },
    )
  })

  test('an open reading never clears anything that needs a path, and a path never clears insulation', () => {
    expect(outcome('element-resistance', { element: ohms('OL') })).toBe('open')
    fc.assert(
      fc.property(fc.double({ min: 0, max: 999_999, noNaN: true }), (si) => {
        expect(outcome('element-to-ground', { 'to-ground': { ...ohms('1'), si } })).toBe('leaks')
        expect(outcome('dead-feed', { 'hot-ground': { ...ohms('1'), si }, 'line-line': ohms('10.5') })).toBe('to-ground')
      }),
      { seed: SEED, numRuns: 200 },
    )
  })
})

describe('FACTS', () => {
  test('has every slug once, each with a quantity, choices, or free text and a question', () => {
    const slugs = FACTS.map((row) => row.slug)
    expect(new Set(slugs).size).toBe(slugs.length)
    for (const slug of 'supply-profile volume heater-power heater-rated-voltage supply-voltage pump-power sensor-curve sensor-table sensor-limit relay-fixed-leg air-mean night-lows filter-hours full-sun water-target region tub-age units'.split(
      ' ',
    )) {
      expect(slugs).toContain(slug)
    }
    for (const row of FACTS) {
      expect(row.question).toMatch(/[?.]$/)
      expect(row.quantity !== undefined && row.choices !== undefined).toBe(false)
      for (const unit of row.units ?? []) expect(UNITS[unit]?.quantity).toBe(row.quantity)
      for (const text of [
        row.label,
        row.question,
        row.help ?? '',
        row.wide?.words ?? '',
        ...(row.choices ?? []).map((choice) => choice.label),
      ]) {
        expect(brokenPlaceholders(text)).toEqual([])
      }
    }
  })
})
