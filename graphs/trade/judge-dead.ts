// The judgement that a tub is dead: every pair of conductors at every place, by a tester that was proved before and after.
// Locks, people and places of work live in safety/.
import { failed, ok } from '../result.ts'
import { expandedOf, specFor } from './instrument.ts'
import { defineEvaluator, missing, take, volt } from './judging.ts'
import { factOf, profileFact } from './knowledge.ts'
import { DEAD_LIMIT, pairsOf } from './supply.ts'
import type { Result } from '../result.ts'
import type { Judgement } from './judging.ts'
import type { Evaluator, Facts, Reading, Readings } from './verdict.ts'

type Measured = { readonly place: string; readonly pair: string; readonly conductors: readonly string[]; readonly reading: Reading }

/**
 * Proof of dead.
 *
 * Shape:  readings `<place>:<pair>` ("board:L1-L2"), tester-before and tester-after (1 passed, 0 failed) → zero, voltage, not-proved.
 *         Needed at every place: all pairs of the profile and of every other conductor named anywhere; while the profile is not
 *         known, every conductor two by two, three at the least. Voltage outranks everything: it is said even if more is missing.
 * Units:  V AC. voltage from 3 V, or when 3 V lies inside the error of the reading.
 * Errors: CALC_READING_MISSING with the missing pairs in details; CALC_READING_DOUBTFUL for a name that is no pair.
 * Source: live-dead-live practice of electrical-safety section 1; 3 V on a loading tester, common practice. A pen tester proves nothing.
 */
export const proofOfDead: Evaluator = defineEvaluator(
  {
    name: 'proof-of-dead',
    version: 1,
    needs: ['tester-before', 'tester-after'],
    facts: ['supply-profile'],
    outcomes: ['zero', 'voltage', 'not-proved'],
  },
  (readings, facts) => {
    const measured = takePairs(readings)
    if (!measured.ok) return measured
    const worst = measured.value.reduce<Measured | undefined>((most, one) => (most && top(most) >= top(one) ? most : one), undefined)
    if (worst && top(worst) >= DEAD_LIMIT) return ok(voltageAt(worst))
    const tester = testerOf(readings, measured.value, facts)
    if (!tester.ok) return tester
    if (tester.value !== 'good') return ok(notProved(tester.value, worst))
    const lacking = missingPairs(measured.value, facts)
    if (lacking.length > 0) {
      const some = lacking.slice(0, 3).join(', ')
      const more = lacking.length > 3 ? ` and ${lacking.length - 3} more` : ''
      return failed('CALC_READING_MISSING', `Measure every pair. Missing: ${some}${more}.`, {
        path: lacking[0] ?? 'pair',
        details: { missing: lacking },
      })
    }
    if (!worst) return missing('pair')
    const places = [...new Set(measured.value.map((one) => one.place))]
    const reason = `Every pair at ${places.join(', ')} is below {volt 3}, and the tester passed before and after. That proves these places only.`
    return ok({ ...base(worst), outcome: 'zero', mark: 'in', reason })
  },
)

function takePairs(readings: Readings): Result<readonly Measured[]> {
  const measured: Measured[] = []
  for (const name of Object.keys(readings)) {
    const colon = name.indexOf(':')
    if (colon < 0) continue
    const conductors = name
      .slice(colon + 1)
      .split(/[-\u2013]/)
      .map((part) => part.trim())
    if (conductors.length !== 2 || conductors.some((part) => part === '') || conductors[0] === conductors[1] || colon === 0) {
      return failed('CALC_READING_DOUBTFUL', `"${name}" is no pair of two conductors. Write it like board:L1-L2.`, {
        path: name,
        details: { reading: name },
      })
    }
    const reading = take(readings, name, 'voltage')
    if (!reading.ok) return reading
    measured.push({ place: name.slice(0, colon), pair: conductors.join('-'), conductors, reading: reading.value })
  }
  return ok(measured)
}

/** The most that a reading can mean, V. */
function top({ reading }: Measured): number {
  return Math.abs(reading.si) + expandedOf(reading)
}

function missingPairs(measured: readonly Measured[], facts: Facts): readonly string[] {
  const profile = profileFact(facts)
  const conductors = [...(profile?.conductors ?? []), ...measured.flatMap((one) => one.conductors)]
  const places = [...new Set(measured.map((one) => one.place))]
  if (places.length === 0 || new Set(conductors).size < 3) return ['every conductor, two by two']
  const key = (place: string, pair: string): string => `${place}:${pair.split('-').toSorted().join('-')}`
  const have = new Set(measured.map((one) => key(one.place, one.pair)))
  return places.flatMap((place) =>
    pairsOf(conductors)
      .filter((pair) => !have.has(key(place, pair)))
      .map((pair) => `${place}:${pair}`),
  )
}

type Tester = 'good' | 'failed-before' | 'failed-after' | 'wrong-kind'

function testerOf(readings: Readings, measured: readonly Measured[], facts: Facts): Result<Tester> {
  if (measured.some((one) => !provesDead(one.reading.instrument, facts))) return ok('wrong-kind')
  for (const [name, outcome] of [
    ['tester-before', 'failed-before'],
    ['tester-after', 'failed-after'],
  ] as const) {
    const check = take(readings, name, 'count')
    if (!check.ok) return check
    if (check.value.si !== 1) return ok(outcome)
  }
  return ok('good')
}

/** Anything that measures volts, and on 230 V the two-pole tester only: a plain multimeter is not accepted there. */
function provesDead(instrument: string | undefined, facts: Facts): boolean {
  if (instrument === undefined || instrument === 'low-impedance-tester') return true
  if (instrument === 'multimeter') return factOf(facts, 'supply-profile') !== 'single-230'
  return false
}

function voltageAt(worst: Measured): Judgement {
  const value = Math.abs(worst.reading.si)
  const inside = value < DEAD_LIMIT ? ', and its error reaches {volt 3}' : ''
  const reason = `${worst.pair} at ${worst.place} shows ${volt(value)}${inside}. Dead is below {volt 3}. Stop: keep hands out and treat it as live.`
  return { ...base(worst), outcome: 'voltage', mark: 'out', direction: 'high', reason }
}

function notProved(tester: Tester, worst: Measured | undefined): Judgement {
  const why: { readonly [kind in Tester]: string } = {
    good: '',
    'failed-before': 'The tester failed on the known source before the test.',
    'failed-after': 'The tester failed on the known source after the test.',
    'wrong-kind': 'This instrument cannot prove that a tub is dead.',
  }
  const reason = `${why[tester]} Every pair below {volt 3} counts only with a proved tester. Treat the tub as live.`
  const settle = 'Close up, and come back with a sound two-lead voltage tester and its known source.'
  return { ...base(worst), outcome: 'not-proved', mark: 'cannot-tell', reason, settle }
}

function base(worst: Measured | undefined): Pick<Judgement, 'quantity' | 'value' | 'error' | 'bands' | 'basis'> {
  const value = worst ? Math.abs(worst.reading.si) : 0
  const error = worst ? expandedOf(worst.reading) : specFor('voltage').fixed
  return { quantity: 'voltage', value, error, basis: 'common practice', bands: [{ low: 0, high: DEAD_LIMIT, label: 'dead', good: true }] }
}
