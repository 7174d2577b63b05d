// The samples that random jobs type: each gives the outcome it stands for, with nothing known of the tub or with a usual label.
// Whether the outcomes are right is tests/checks and tests/graphs/trade.
import { describe, expect, test } from 'vitest'
import { EVALUATORS } from '../../graphs/trade/evaluators.ts'
import { FACTS } from '../../graphs/trade/facts.ts'
import type { Facts, FactValue, Quantity, Reading, Readings } from '../../graphs/trade/verdict.ts'
import { parseReading } from '../../graphs/trade/quantity.ts'
import type { Step } from '#graphs'
import { libraryEdition } from './library.ts'
import { SAMPLES, typedSample } from './sample-readings.ts'

const facts = (values: { readonly [slug: string]: FactValue }): Facts =>
  Object.fromEntries(Object.entries(values).map(([slug, value]) => [slug, { slug, value, source: 'label' }]))

const KNOWN: { readonly [name: string]: Facts } = {
  'nothing known': {},
  'a usual label': facts({
    volume: 1325,
    'heater-power': 5500,
    'heater-rated-voltage': 240,
    'supply-profile': 'split-240-4wire',
    'relay-fixed-leg': false,
  }),
  'a small tub on a cord': facts({ volume: 900, 'heater-power': 1000, 'supply-profile': 'cord-120', 'relay-fixed-leg': true }),
  'a heater at the edge of large': facts({ volume: 1600, 'heater-power': 4000, 'supply-profile': 'split-240-4wire' }),
}

/** Outcomes that no reading can give in that state of knowledge, with the reason. */
const CANNOT_BE: { readonly [outcome: string]: { readonly [known: string]: string } } = {
  'rise-demand-off=fast': { 'a small tub on a cord': 'a small heater is never fast: pump heat looks the same' },
  'rise-demand-on=below-half': { 'nothing known': 'half of the smallest heater lies below a tenth of the largest' },
  'relay-contacts=one-closed': {
    'nothing known': 'without the diagram one closed pole may be the fixed leg',
    'a small tub on a cord': 'with a fixed leg there is one switched pole only',
    'a heater at the edge of large': 'without the diagram one closed pole may be the fixed leg',
  },
  'two-run-difference=cannot-tell': {
    'a usual label': 'a large heater is far above the error of two runs',
    'a small tub on a cord': 'with volume and power known two runs of two hours decide',
    'a heater at the edge of large': 'a large heater is far above the error of two runs',
  },
  'heater-current-off=cannot-tell': {
    'nothing known': 'a clamp tells the current of any heater from none',
    'a usual label': 'a clamp tells the current of any heater from none',
    'a small tub on a cord': 'a clamp tells the current of any heater from none',
    'a heater at the edge of large': 'a clamp tells the current of any heater from none',
  },
}

function readSteps(): Map<string, Step> {
  const steps = new Map<string, Step>()
  for (const block of Object.values(libraryEdition().blocks)) {
    for (const step of Object.values(block.steps)) if (step.kind === 'read' && step.evaluator !== undefined) steps.set(step.evaluator, step)
  }
  return steps
}

function parsed(step: Step, typed: ReturnType<typeof typedSample>): Readings {
  const readings: { [name: string]: Reading | Reading[] } = {}
  for (const spec of step.readings ?? []) {
    const given = typed[spec.name]
    if (given === undefined) continue
    const all = (Array.isArray(given) ? given : [given]).map(({ typed: text, unit, at, instrument = spec.instrument }) => {
      const inUnit = unit === '1' || text === 'OL' ? text : `${text} ${unit}`
      const reading = parseReading({
        quantity: spec.quantity as Quantity,
        typed: inUnit,
        unit,
        ...(instrument === undefined ? {} : { instrument }),
        ...(at === undefined ? {} : { at }),
      })
      if (!reading.ok) throw new Error(reading.problem.message)
      return reading.value
    })
    const [single] = all
    if (single !== undefined) readings[spec.name] = Array.isArray(given) ? all : single
  }
  return readings
}

function outcomeOf(step: Step, sample: Parameters<typeof typedSample>[1], known: Facts): string {
  const readings = parsed(
    step,
    typedSample(step.readings?.map((spec) => ({ ...spec, optional: spec.optional ?? false })) as never, sample, 1.76e12),
  )
  const stated = Object.entries(readings).flatMap(([slug, reading]) =>
    !Array.isArray(reading) && FACTS.some((fact) => fact.slug === slug)
      ? [[slug, { slug, value: (reading as Reading).si, source: 'told' }]]
      : [],
  )
  const verdict = EVALUATORS[step.evaluator ?? '']?.evaluate(readings, { ...known, ...(Object.fromEntries(stated) as Facts) })
  if (verdict === undefined) return 'no evaluator'
  return verdict.ok ? verdict.value.outcome : verdict.problem.code
}

const steps = readSteps()

describe.each([...steps.keys()])('samples of %s', (name) => {
  const step = steps.get(name)
  const outcomes = EVALUATORS[name]?.outcomes ?? []
  test.each(outcomes.flatMap((outcome) => Object.keys(KNOWN).map((known) => [outcome, known] as const)))(
    'give %s with %s',
    (outcome, known) => {
      if (step === undefined) throw new Error('no such step')
      const given = (SAMPLES[name]?.[outcome] ?? []).map((sample) => outcomeOf(step, sample, KNOWN[known] ?? {}))
      const reason = CANNOT_BE[`${name}=${outcome}`]?.[known]
      if (reason === undefined) expect(given).toContain(outcome)
      else expect(given).not.toContain(outcome)
    },
  )

  test('each give their outcome with some knowledge of the tub', () => {
    if (step === undefined) throw new Error('no such step')
    for (const [outcome, samples] of Object.entries(SAMPLES[name] ?? {})) {
      for (const sample of samples) {
        const given = Object.values(KNOWN).map((known) => outcomeOf(step, sample, known))
        expect(given, JSON.stringify(sample)).toContain(outcome)
      }
    }
  })
})

test('no run with the heat asked for carries the water past the bathing limit', () => {
  for (const samples of Object.values(SAMPLES['rise-demand-on'] ?? {})) {
    for (const sample of samples) {
      const water = sample.water as readonly (readonly [number, number])[]
      expect(Math.max(...water.map(([, degC]) => degC))).toBeLessThan(40)
    }
  }
})
