// Judgements on the heater as a load: its element, its current, and its share on the house meter.
// Rates of rise live in judge-rise.ts, insulation in judge-ground.ts.
import { ok } from '../result.ts'
import { limitOfError, quadrature, readingStep, specFor, standard, standardOf } from './instrument.ts'
import { amp, defineEvaluator, doubtful, ohm, sentences, shown, take, takeOptional, volt, watt } from './judging.ts'
import { heaterOf, HEATER_FACTS, wideFact } from './knowledge.ts'
import { isUnitTyped, UNITS } from './quantity.ts'
import type { Failed } from '../result.ts'
import type { Judgement } from './judging.ts'
import type { Heater } from './knowledge.ts'
import type { Evaluator, Facts, Reading } from './verdict.ts'

/** Good within 10 % of nominal, off beyond 20 %, between: grey. Source: C1 of the trade sheet. */
const GOOD = 0.1
const OFF = 0.2
/** Typical elements, ohm; an element that fits no label at all lies outside of 4.5 to 70. Source: retailers' pages, 9 to 14. */
const TYPICAL = { low: 9, high: 14.5 }
const ANY = { low: 4.5, high: 70 }
/** Above this an element has no path, ohm. */
const NO_PATH = 1000

/**
 * Resistance of the heater element, both leads off.
 *
 * Shape:  reading element (ohm or "OL") → in-range, open, off-value, cannot-tell.
 * Units:  ohm. Nominal V² / P of the label; good ± 10 %, off beyond ± 20 %, each with the meter's error as guard band.
 * Errors: CALC_READING_DOUBTFUL for the reading of touching probes, or kΩ that fit Ω.
 * Source: C1 of the trade sheet; without a label 9 to 14.5 ohm, retailers' pages.
 */
export const elementResistanceCheck: Evaluator = defineEvaluator(
  {
    name: 'element-resistance',
    version: 1,
    needs: ['element'],
    facts: HEATER_FACTS,
    outcomes: ['in-range', 'open', 'off-value', 'cannot-tell'],
  },
  (readings, facts) => {
    const reading = take(readings, 'element', 'resistance')
    if (!reading.ok) return reading
    return elementDoubt(reading.value) ?? ok(judgeElement(reading.value, heaterOf(facts)))
  },
)

function elementDoubt(reading: Reading): Failed | undefined {
  if (isUnitTyped(reading.typed) || reading.si === Infinity) return undefined
  if (reading.si < 1)
    return doubtful(
      'element',
      `${shown(reading)} is what touching probes read. Subtract the leads and measure again. If it is truly so, type it with its unit.`,
    )
  const inOhms = reading.si / (UNITS[reading.unit]?.factor ?? 1)
  if (reading.unit !== 'ohm' && inOhms >= ANY.low && inOhms <= ANY.high) {
    return doubtful(
      'element',
      `An element reads about 10 Ω. If the meter shows Ω, choose Ω. If it is truly ${shown(reading)}, type it with its unit.`,
    )
  }
  return undefined
}

function judgeElement(reading: Reading, heater: Heater): Judgement {
  const value = reading.si
  const error = 2 * standardOf(reading)
  const nominal = heater.ratedVoltage ** 2 / heater.rated.value
  const range = heater.rated.known ? { low: nominal * (1 - GOOD), high: nominal * (1 + GOOD) } : TYPICAL
  const off = heater.rated.known ? { low: nominal * (1 - OFF), high: nominal * (1 + OFF) } : ANY
  const expected = heater.rated.known
    ? `The label, ${watt(heater.rated.value)} at ${volt(heater.ratedVoltage)}, gives ${ohm(nominal)}, give or take 10 %.`
    : `The label is not known; elements mostly read ${ohm(TYPICAL.low)} to ${ohm(TYPICAL.high)}.`
  const base = {
    quantity: 'resistance',
    value,
    error,
    basis: heater.rated.known ? 'nameplate' : 'assumed',
    bands: [{ ...range, label: 'element sound', good: true }],
  } as const
  if (value > NO_PATH)
    return {
      ...base,
      outcome: 'open',
      mark: 'out',
      direction: 'high',
      reason: `The element is open: the meter shows ${ohm(value)}. ${expected}`,
    }
  const measured = `The element reads ${ohm(value)}.`
  if (value - error > off.high)
    return { ...base, outcome: 'off-value', mark: 'out', direction: 'high', reason: `${measured} That is too high. ${expected}` }
  if (value + error < off.low)
    return { ...base, outcome: 'off-value', mark: 'out', direction: 'low', reason: `${measured} That is too low. ${expected}` }
  if (value - error >= range.low && value + error <= range.high)
    return { ...base, outcome: 'in-range', mark: 'in', reason: `${measured} ${expected}` }
  const settle = heater.rated.known
    ? 'Touch the probes, subtract what they read, clean the posts, and measure again.'
    : 'Read heater power and voltage on the label.'
  return { ...base, outcome: 'cannot-tell', mark: 'cannot-tell', reason: `${measured} ${expected}`, settle }
}

/**
 * Current of the heater with the demand on, by clamp. Energized work: a qualified person only.
 *
 * Shape:  reading current → full, part, zero, cannot-tell.
 * Units:  A. Full is P V / V² of the label at the voltage of this tub, ± 10 %, with the clamp's error as guard band;
 *         without a label, what any usual heater could draw, and the reason says so.
 * Source: C1 of the trade sheet; I = P / V.
 */
export const elementCurrentCheck: Evaluator = defineEvaluator(
  { name: 'element-current', version: 1, needs: ['current'], facts: HEATER_FACTS, outcomes: ['full', 'part', 'zero', 'cannot-tell'] },
  (readings, facts) => {
    const reading = take(readings, 'current', 'current')
    if (!reading.ok) return reading
    if (reading.value.si < 0) return doubtful('current', 'A clamp shows no current below zero on AC. Zero it and measure again.')
    return ok(judgeCurrent({ ...reading.value, instrument: reading.value.instrument ?? 'clamp' }, heaterOf(facts)))
  },
)

function judgeCurrent(reading: Reading, heater: Heater): Judgement {
  const value = reading.si
  const error = 2 * standardOf(reading)
  const { power, voltage } = heater
  const nominal = power.value / voltage.value
  const spread = GOOD + (2 * voltage.u) / voltage.value
  const low = (heater.rated.known ? nominal : power.low / voltage.value) * (1 - spread)
  const high = (heater.rated.known ? nominal : power.high / voltage.value) * (1 + spread)
  const expected = heater.rated.known
    ? `The label and ${volt(voltage.value)} give ${amp(nominal)}; ${amp(low)} to ${amp(high)} is full.`
    : `The label is not known, so ${amp(low)} to ${amp(high)} could be full.`
  const base = {
    quantity: 'current',
    value,
    error,
    basis: heater.rated.known ? 'nameplate' : 'assumed',
    bands: [{ low, high, label: 'full', good: true }],
  } as const
  const measured = `The clamp shows ${amp(value)}, give or take ${amp(error)}.`
  if (value <= error && error < low / 2) {
    return {
      ...base,
      outcome: 'zero',
      mark: 'out',
      direction: 'low',
      reason: sentences(measured, 'No current flows.', `${expected} No current is no proof of dead.`),
    }
  }
  if (value - error > high) {
    const settle = 'Read the heater label again. Clamp one conductor only.'
    return {
      ...base,
      outcome: 'cannot-tell',
      mark: 'cannot-tell',
      direction: 'high',
      reason: sentences(measured, 'That is more than the heater can draw.', expected),
      settle,
    }
  }
  if (value > error && value + error < low)
    return { ...base, outcome: 'part', mark: 'out', direction: 'low', reason: sentences(measured, 'Only a part flows.', expected) }
  if (value - error >= low && value + error <= high) return { ...base, outcome: 'full', mark: 'in', reason: sentences(measured, expected) }
  const settle = heater.rated.known
    ? 'Measure the voltage across the element at the same time.'
    : 'Read heater power and voltage on the label.'
  return { ...base, outcome: 'cannot-tell', mark: 'cannot-tell', reason: sentences(measured, expected), settle }
}

/**
 * Current of the heater with the demand off, by clamp. Energized work: a qualified person only.
 *
 * Shape:  reading current → present, none, cannot-tell. Present is any current that the clamp's error does not explain, whatever the label.
 *         None needs the clamp to see the smallest heater that the label allows. No current is no proof of dead: one pole may be closed.
 * Units:  A.
 * Source: heat-sensors-water 3.5 test 1; clamp 2 % + 5 digits.
 */
export const heaterCurrentOff: Evaluator = defineEvaluator(
  { name: 'heater-current-off', version: 1, needs: ['current'], facts: HEATER_FACTS, outcomes: ['present', 'none', 'cannot-tell'] },
  (readings, facts) => {
    const reading = take(readings, 'current', 'current')
    if (!reading.ok) return reading
    if (reading.value.si < 0) return doubtful('current', 'A clamp shows no current below zero on AC. Zero it and measure again.')
    const clamped = { ...reading.value, instrument: reading.value.instrument ?? 'clamp' }
    const heater = heaterOf(facts)
    const error = 2 * standardOf(clamped)
    const least = heater.power.low / heater.voltage.value
    const base = {
      quantity: 'current',
      value: clamped.si,
      error,
      basis: heater.rated.known ? 'nameplate' : 'assumed',
      bands: [{ high: error, label: 'no current', good: true }],
    } as const
    const measured = `The clamp shows ${amp(clamped.si)}, give or take ${amp(error)}. A heater that is on draws ${amp(least)} or more.`
    if (clamped.si > error) {
      return ok({
        ...base,
        outcome: 'present',
        mark: 'out',
        direction: 'high',
        reason: `${measured} Current flows, and nobody asked for heat.`,
      })
    }
    if (clamped.si + error < least / 2) {
      return ok({
        ...base,
        outcome: 'none',
        mark: 'in',
        reason: `${measured} No current flows. That is no proof of dead: one pole may be closed.`,
      })
    }
    return ok({
      ...base,
      outcome: 'cannot-tell',
      mark: 'cannot-tell',
      reason: measured,
      settle: 'Use a finer clamp, or read the heater power on the label.',
    })
  },
)

type MeterStep = {
  readonly drop: number
  readonly error: number
  readonly power: number
  readonly pump: number
  readonly low: number
  readonly wide: boolean
}

/**
 * The house meter with the heat demand off, and then with the tub off at its panel (or with the demand on).
 *
 * Shape:  readings before (demand off) and after → heater-power, none, cannot-tell. A fall by the heater's power means it was heating
 *         without demand; a rise by it, or a fall by no more than a pump, means it was not. No change at all tells nothing,
 *         because a heater that is always on does not change either; the count `tub-off` (1) says that the tub was switched off.
 * Units:  W. Other loads count with 50 W.
 * Errors: CALC_READING_MISSING.
 * Source: C2 of the trade sheet; limits on real tubs are an open question there.
 */
export const houseMeter: Evaluator = defineEvaluator(
  {
    name: 'house-meter',
    version: 1,
    needs: ['before', 'after'],
    facts: [...HEATER_FACTS, 'pump-power'],
    outcomes: ['heater-power', 'none', 'cannot-tell'],
  },
  (readings, facts) => {
    const before = take(readings, 'before', 'power')
    if (!before.ok) return before
    const after = take(readings, 'after', 'power')
    if (!after.ok) return after
    const off = takeOptional(readings, 'tub-off', 'count')
    if (!off.ok) return off
    return ok(judgeMeter(stepOf(before.value, after.value, facts), { heater: heaterOf(facts), tubOff: (off.value?.si ?? 0) > 0 }))
  },
)

function stepOf(before: Reading, after: Reading, facts: Facts): MeterStep {
  const digit = readingStep([before, after], (unit) => UNITS[unit]?.factor ?? 1)
  const u = (reading: Reading): number => {
    const spec = specFor('power', reading.instrument ?? 'house-meter')
    return standard(limitOfError({ ...spec, counts: 1, count: () => digit }, reading.si))
  }
  const heater = heaterOf(facts)
  const pump = wideFact(facts, 'pump-power')
  return {
    drop: before.si - after.si,
    error: 2 * quadrature(u(before), u(after)),
    power: heater.power.value,
    pump: pump.high,
    low: heater.power.low,
    wide: !pump.known,
  }
}

function judgeMeter(step: MeterStep, known: { readonly heater: Heater; readonly tubOff: boolean }): Judgement {
  const { drop, error, pump, low } = step
  const half = low / 2
  // Jet and circulation pump together draw up to 3 kW: where their power is not known, only a large heater stands out.
  const heaterFrom = Math.max(0.7 * low, step.wide && low < 2000 ? 3000 : pump + 0.25 * low)
  const base = {
    quantity: 'power',
    value: drop,
    error,
    basis: known.heater.rated.known ? 'nameplate' : 'assumed',
    bands: [
      { low: error, high: heaterFrom, label: 'pump only', good: true },
      { low: heaterFrom, label: 'heater on', good: false },
    ],
  } as const
  const heaterWords = known.heater.rated.known
    ? `The heater would draw ${watt(step.power)}`
    : `The label is not known; a heater of ${watt(known.heater.power.low)} to ${watt(known.heater.power.high)} is taken`
  const measured = drop >= 0 ? `The meter falls by ${watt(drop)}.` : `The meter rises by ${watt(-drop)}.`
  if (drop - error >= heaterFrom && drop - error <= 1.3 * known.heater.power.high + 2500) {
    return {
      ...base,
      outcome: 'heater-power',
      mark: 'out',
      direction: 'high',
      reason: `${measured} ${heaterWords}, a pump at most ${watt(heaterFrom)}. So the heater was on with the demand off.`,
    }
  }
  if (-drop - error >= heaterFrom) {
    return { ...base, outcome: 'none', mark: 'in', reason: `${measured} ${heaterWords}. It came on with the demand, so it was off before.` }
  }
  const seenOff = drop - error > 0 || known.tubOff
  if (seenOff && drop + error < half) {
    return {
      ...base,
      outcome: 'none',
      mark: 'in',
      reason: `${measured} ${heaterWords}. That much did not go away, so the heater was off with the demand off.`,
    }
  }
  const settle = 'Keep other big loads quiet. Read with the pump running and the demand off, then with the tub off at its panel.'
  return {
    ...base,
    outcome: 'cannot-tell',
    mark: 'cannot-tell',
    reason: `${measured} ${heaterWords}. The meter with its error of ${watt(error)} does not decide.`,
    settle,
  }
}
