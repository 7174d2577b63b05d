// Judgements with an ohmmeter on a dead tub: leaks to ground, the feed before power-up, relay contacts; and a capacitor's charge.
// Proof of dead lives in judge-dead.ts.
import { ok } from '../result.ts'
import { expandedOf, limitOfError, specFor, standardOf } from './instrument.ts'
import { defineEvaluator, doubtful, missing, ohm, shown, take, takeOptional, volt } from './judging.ts'
import { factOf } from './knowledge.ts'
import { isUnitTyped } from './quantity.ts'
import type { Failed, Result } from '../result.ts'
import type { Judgement } from './judging.ts'
import type { Evaluator, Reading, Readings } from './verdict.ts'

const MEGOHM = 1e6
const TO_GROUND_OUTCOMES = ['clear', 'leaks', 'doubtful', 'retest']

/** Limits for an insulation tester of 500 V: good from, bad below. Source: field limits, choice among the published rules. */
type Insulation = { readonly good: number; readonly bad: number }

/**
 * Element to its tube, both leads off.
 *
 * Shape:  reading to-ground (ohm or "OL") → clear, leaks, doubtful, retest. By a plain ohmmeter: no reading is clear, though weak; a
 *         reading of 1 Mohm or more is doubtful, a lower one leaks. By an insulation tester: 1 Mohm and more is clear, below 0.1 Mohm
 *         leaks, between is retest (dry, warm, test again; it does not pass until then).
 * Source: C1 of the trade sheet; one-megohm rule (V*, S28, electrical-safety section 5). C1 marks an ohmmeter's reading in the Mohm range
 *         as grey (common practice, no source) and no reading as weak too. Decision: 1 Mohm on 240 V leaks 0.24 mA (Ohm's law), far below
 *         the 4 to 6 mA of a GFCI, so work goes on past `doubtful` and it is written down as weak; below 1 Mohm nothing goes on.
 */
export const elementToGround: Evaluator = toGround('element-to-ground', 'element', { good: MEGOHM, bad: 0.1 * MEGOHM })

/** Motor or another load to ground: as the element; an insulation tester wants 5 Mohm, and below 1 Mohm leaks. */
export const loadToGround: Evaluator = toGround('load-to-ground', 'load', { good: 5 * MEGOHM, bad: MEGOHM })

function toGround(name: string, what: string, limits: Insulation): Evaluator {
  return defineEvaluator({ name, version: 2, needs: ['to-ground'], facts: [], outcomes: TO_GROUND_OUTCOMES }, (readings) => {
    const reading = take(readings, 'to-ground', 'resistance')
    if (!reading.ok) return reading
    const byTester = reading.value.instrument === 'insulation-tester'
    return ok(byTester ? judgeInsulation(reading.value, what, limits) : judgeOhmmeter(reading.value, what))
  })
}

function judgeOhmmeter(reading: Reading, what: string): Judgement {
  const base = {
    quantity: 'resistance',
    value: reading.si,
    error: expandedOf(reading),
    basis: 'published',
    bands: [{ low: MEGOHM, label: 'no reading', good: true }],
  } as const
  if (reading.si === Infinity) {
    return {
      ...base,
      outcome: 'clear',
      mark: 'in',
      reason: `The ohmmeter finds no path from the ${what} to ground, as it should. That is weak: only a 500 V insulation test clears it.`,
    }
  }
  if (reading.si >= MEGOHM) {
    const settle = 'Write it down as weak. Only a test with 500 V by a qualified person, electronics disconnected, clears it.'
    return {
      ...base,
      outcome: 'doubtful',
      mark: 'cannot-tell',
      reason: `The ohmmeter shows ${ohm(reading.si)} to ground, above the limit of ${ohm(MEGOHM)}. That is weak: a sound ${what} mostly shows no reading.`,
      settle,
    }
  }
  return {
    ...base,
    outcome: 'leaks',
    mark: 'out',
    direction: 'low',
    reason: `The ${what} leaks to ground: the ohmmeter shows ${ohm(reading.si)}. A sound one shows no reading.`,
  }
}

function judgeInsulation(reading: Reading, what: string, limits: Insulation): Judgement {
  const error = expandedOf(reading)
  const base = {
    quantity: 'resistance',
    value: reading.si,
    error,
    basis: 'published',
    bands: [{ low: limits.good, label: 'insulation sound', good: true }],
  } as const
  const expected = `At 500 V it needs ${ohm(limits.good)} or more.`
  if (reading.si === Infinity || reading.si - error >= limits.good) {
    return {
      ...base,
      outcome: 'clear',
      mark: 'in',
      reason: `The insulation of the ${what} is sound. ${expected} A reading that falls while held fails.`,
    }
  }
  if (reading.si < limits.bad) {
    return {
      ...base,
      outcome: 'leaks',
      mark: 'out',
      direction: 'low',
      reason: `The ${what} leaks: ${ohm(reading.si)} to ground. ${expected}`,
    }
  }
  const settle = 'Dry it, warm it, and test again. It does not pass until then.'
  return {
    ...base,
    outcome: 'retest',
    mark: 'cannot-tell',
    direction: 'low',
    reason: `The insulation of the ${what} is ${ohm(reading.si)}. ${expected}`,
    settle,
  }
}

/** Short below 2 ohm. Source: C2 of the trade sheet; its limits on real tubs are an open question there. */
const SHORT = 2

/**
 * The dead feed before covers close: each hot to ground, and line to line.
 *
 * Shape:  readings hot-ground, line-line (more of each as hot-ground-2, line-neutral …) → clear, short, to-ground, cannot-tell. The worst counts.
 * Units:  ohm. short below 2 ohm, to-ground for any steady reading under 1 Mohm, both with the meter's error on the safe side.
 * Source: C2 of the trade sheet; a transformer shows tens of ohms, a heater about ten. A steady reading of 1 Mohm or more is clear, but
 *         weak: one-megohm rule (V*, S28), the whole tub hangs on these terminals in parallel, and the GFCI test is the first press after
 *         power-up. Decision of this program; that an ohmmeter should show nothing here is common practice, no source.
 */
export const deadFeed: Evaluator = defineEvaluator(
  {
    name: 'dead-feed',
    version: 2,
    needs: ['hot-ground', 'line-line'],
    facts: [],
    outcomes: ['clear', 'short', 'to-ground', 'cannot-tell'],
  },
  (readings) => {
    const grounds = takeAll(readings, 'hot-ground', (name) => name.startsWith('hot-ground'))
    if (!grounds.ok) return grounds
    const lines = takeAll(readings, 'line-line', (name) => name.startsWith('line-'))
    if (!lines.ok) return lines
    return ok(judgeFeed(lowest(grounds.value), lowest(lines.value)))
  },
)

function judgeFeed(ground: Reading, line: Reading): Judgement {
  const lineError = expandedOf(line)
  const expected = `To ground ${ohm(MEGOHM)} or more, and between the lines ${ohm(SHORT)} or more, is clear.`
  const lineBase = {
    quantity: 'resistance',
    value: line.si,
    error: lineError,
    basis: 'common practice',
    bands: [{ low: SHORT, label: 'no short', good: true }],
  } as const
  const groundBase = {
    quantity: 'resistance',
    value: ground.si,
    error: expandedOf(ground),
    basis: 'common practice',
    bands: [{ low: MEGOHM, label: 'no leak', good: true }],
  } as const
  if (line.si + lineError < SHORT) {
    return {
      ...lineBase,
      outcome: 'short',
      mark: 'out',
      direction: 'low',
      reason: `Line to line reads ${ohm(line.si)}: a short. ${expected} No power.`,
    }
  }
  if (ground.si < MEGOHM) {
    return {
      ...groundBase,
      outcome: 'to-ground',
      mark: 'out',
      direction: 'low',
      reason: `A hot conductor reads ${ohm(ground.si)} to ground. ${expected} No power.`,
    }
  }
  if (line.si - lineError < SHORT) {
    const settle = 'Touch the probes, subtract what they read, and measure again. No power until then.'
    return {
      ...lineBase,
      outcome: 'cannot-tell',
      mark: 'cannot-tell',
      reason: `Line to line reads ${ohm(line.si)}, too near to a short. ${expected}`,
      settle,
    }
  }
  if (ground.si !== Infinity) {
    const reason = `The lowest hot reads ${ohm(ground.si)} to ground, above the limit of ${ohm(MEGOHM)}, and the lines read ${ohm(line.si)}. That is weak: the GFCI test follows.`
    return { ...groundBase, outcome: 'clear', mark: 'in', reason }
  }
  return { ...lineBase, outcome: 'clear', mark: 'in', reason: `No path to ground, and ${ohm(line.si)} between the lines. ${expected}` }
}

function takeAll(readings: Readings, needed: string, fits: (name: string) => boolean): Result<readonly Reading[]> {
  const names = Object.keys(readings).filter(fits)
  if (!names.includes(needed)) return missing(needed)
  const taken: Reading[] = []
  for (const name of names) {
    const reading = take(readings, name, 'resistance')
    if (!reading.ok) return reading
    taken.push(reading.value)
  }
  return ok(taken)
}

function lowest(list: readonly Reading[]): Reading {
  return list.reduce((least, reading) => (reading.si < least.si ? reading : least))
}

type Pole = 'closed' | 'open' | 'between'
/** Closed below 1 ohm, open from 100 kohm. Source: C2 of the trade sheet; the upper figure is common practice. */
const CLOSED = 1
const OPEN_FROM = 100_000
/** A heater element left in the path, ohm. */
const ELEMENT = { low: 4.5, high: 70 }

/**
 * Heater relay contacts, dead, both heater leads off, each pole from supply terminal to heater post.
 *
 * Shape:  readings pole-1 and pole-2 (ohm or "OL"; pole-2 may be left out), fact relay-fixed-leg → both-closed, one-closed, both-open,
 *         cannot-tell. With a fixed leg only the switched pole counts; a fixed leg itself always reads closed.
 *         One pole closed without a diagram tells nothing: it may be the fixed leg.
 * Units:  ohm. Errors: CALC_READING_DOUBTFUL when the element is still in the path.
 * Source: C2 of the trade sheet. Open never clears a relay: welds can let go when cool.
 */
export const relayContacts: Evaluator = defineEvaluator(
  {
    name: 'relay-contacts',
    version: 1,
    needs: ['pole-1'],
    facts: ['relay-fixed-leg'],
    outcomes: ['both-closed', 'one-closed', 'both-open', 'cannot-tell'],
  },
  (readings, facts) => {
    const first = take(readings, 'pole-1', 'resistance')
    if (!first.ok) return first
    const second = takeOptional(readings, 'pole-2', 'resistance')
    if (!second.ok) return second
    const doubt = poleDoubt(first.value, 'pole-1') ?? (second.value ? poleDoubt(second.value, 'pole-2') : undefined)
    if (doubt) return doubt
    const fixed = factOf(facts, 'relay-fixed-leg')
    return ok(judgePoles(first.value, second.value, typeof fixed === 'boolean' ? fixed : undefined))
  },
)

function poleDoubt(reading: Reading, name: string): Failed | undefined {
  if (isUnitTyped(reading.typed) || reading.si < ELEMENT.low || reading.si > ELEMENT.high) return undefined
  return doubtful(
    name,
    `${shown(reading)} is what a heater element reads. Take both heater leads off and measure again. If they are off, type it with its unit.`,
  )
}

function poleState(reading: Reading): Pole {
  const error = reading.si === Infinity ? 0 : 2 * standardOf(reading)
  if (reading.si + error < CLOSED) return 'closed'
  return reading.si - error >= OPEN_FROM ? 'open' : 'between'
}

function judgePoles(first: Reading, second: Reading | undefined, fixed: boolean | undefined): Judgement {
  const one = poleState(first)
  const two = second ? poleState(second) : undefined
  const worst = second && second.si < first.si ? second : first
  const base = {
    quantity: 'resistance',
    value: worst.si,
    error: expandedOf(worst),
    basis: 'common practice',
    bands: [
      { low: OPEN_FROM, label: 'open', good: true },
      { high: CLOSED, label: 'closed', good: false },
    ],
  } as const
  const expected = `Heat off, every switched pole is open. Below ${ohm(CLOSED)} it is closed.`
  const closed = { ...base, outcome: 'both-closed', mark: 'out', direction: 'low' } as const
  const open = { ...base, outcome: 'both-open', mark: 'in' } as const
  const unclear = (reason: string, settle: string): Judgement => ({ ...base, outcome: 'cannot-tell', mark: 'cannot-tell', reason, settle })
  const cool = 'That does not clear it: a weld can let go when cool.'
  if (one === 'between' || two === 'between') {
    return unclear(
      `A pole reads ${ohm(poleState(first) === 'between' ? first.si : (second ?? first).si)}, neither closed nor open. ${expected}`,
      'Touch the probes, subtract what they read, and measure both poles again.',
    )
  }
  if (fixed === true) {
    if (one === 'open' && two === 'open')
      return unclear('The fixed leg must read closed, but both poles read open.', 'Check the probes and the diagram, and measure again.')
    if (one === 'open' || two === 'open') return { ...open, reason: `The switched pole is open, as it should be. ${cool}` }
    return { ...closed, reason: `The switched pole reads ${ohm(first.si)} with the heat off: it is closed. ${expected}` }
  }
  if (two === undefined)
    return unclear(
      `One pole reads ${ohm(first.si)}; the other was not measured. ${expected}`,
      'Measure the other pole as well. The diagram says whether it is switched.',
    )
  if (one === 'closed' && two === 'closed') return { ...closed, reason: `Both poles are closed with the heat off. ${expected}` }
  if (one === 'open' && two === 'open') return { ...open, reason: `Both poles are open, as they should be. ${cool}` }
  if (fixed === undefined)
    return unclear(
      'One pole is closed, but without a diagram it may be the fixed leg.',
      'Compare two runs without and with the heater, or look at the house meter.',
    )
  return {
    ...base,
    outcome: 'one-closed',
    mark: 'out',
    direction: 'low',
    reason: `One of two switched poles reads ${ohm(worst.si)}: it is welded. ${expected} It does not heat alone, so look on for the heat.`,
  }
}

/** Volts DC below which a capacitor's leads may be touched. Source: field limit, stricter than the 50 V in one minute of the bleed rule. */
const SAFE_DC = 5

/**
 * Charge of a capacitor before any lead is touched.
 *
 * Shape:  reading capacitor (V DC, either sign) → safe, charged. The meter's error counts against safe.
 * Source: C1 of the trade sheet, below 5 V DC measured.
 */
export const capacitorDischarged: Evaluator = defineEvaluator(
  { name: 'capacitor-discharged', version: 1, needs: ['capacitor'], facts: [], outcomes: ['safe', 'charged'] },
  (readings) => {
    const reading = take(readings, 'capacitor', 'voltage')
    if (!reading.ok) return reading
    const value = Math.abs(reading.value.si)
    const error = limitOfError(specFor('voltage', reading.value.instrument), value)
    const base = {
      quantity: 'voltage',
      value,
      error,
      basis: 'common practice',
      bands: [{ high: SAFE_DC, label: 'discharged', good: true }],
    } as const
    if (value + error < SAFE_DC)
      return ok({
        ...base,
        outcome: 'safe',
        mark: 'in',
        reason: `The capacitor shows ${volt(value)}. Below {volt 5} its leads may come off.`,
      })
    const reason = `The capacitor shows ${volt(value)}, give or take ${volt(error)}. Below {volt 5} is safe; treat it as charged.`
    return ok({
      ...base,
      outcome: 'charged',
      mark: 'out',
      direction: 'high',
      reason,
      settle: 'Hold the resistor across it for {min 0.2} more, and measure again.',
    })
  },
)
