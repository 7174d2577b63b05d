// The form of a proof of dead: which pairs it asks for, what was measured, and which places it proves. A pair is a name of the list or it is refused.
// The judgement itself is trade/judge-dead.ts; who may prove is offer.ts.
import type { CommandOf, Form } from '../contract/index.ts'
import type { Edition, HandPlace } from '../edition/compiled.ts'
import { failed } from '../result.ts'
import type { Result } from '../result.ts'
import { EVALUATORS } from '../trade/evaluators.ts'
import type { Facts, Reading, Verdict } from '../trade/verdict.ts'
import { own } from './lookup.ts'
import { ALL_PLACES, placesToProve } from './offer.ts'
import { parseOne } from './reading.ts'
import type { JobState } from './state.ts'

type PairsForm = Extract<Form, { form: 'pairs' }>

/** Judges a filled form. Facts are what is known of the job; the supply counts only when somebody of the trade saw it. */
export function judgeProof(
  edition: Edition,
  state: JobState,
  person: string,
  form: PairsForm,
  given: { readonly sure: boolean; readonly facts: Facts },
): Result<Verdict> {
  const evaluator = EVALUATORS['proof-of-dead']
  if (evaluator === undefined) return failed('GRAPH_REFERENCE_MISSING', 'The proof of dead is missing in this program.')
  const pairs = supplyPairs(edition, state)
  const strange = strangeName(form, pairs)
  if (strange !== undefined)
    return failed('JOB_ANSWER_INCOMPLETE', `"${strange}" is not a pair of this form. Write its volts at the pair they belong to.`, {
      path: strange,
    })
  const readings: { [name: string]: Reading } = {
    'tester-before': tester(form.tester_before),
    'tester-after': tester(form.tester_after),
  }
  const needed = new Set(placesToProve(edition, state, person).flatMap((one) => (one.needed ? [one.place] : [])))
  let missing: { readonly place: string; readonly pair: string } | undefined
  for (const place of ALL_PLACES) {
    // A place that was not measured at all is simply not proved, unless hands go there next.
    if (!needed.has(place) && !pairs.some((pair) => isFilled(form, place, pair))) continue
    for (const pair of pairs) {
      const name = `${place}:${pair}`
      const typed = own(form.volts, name)
      if (typed === undefined || !isFilled(form, place, pair)) {
        missing ??= { place, pair }
        continue
      }
      const reading = parseOne('voltage', typed, given.sure, 'low-impedance-tester')
      if (!reading.ok) return failed(reading.problem.code, reading.problem.message, { ...reading.problem, path: name })
      readings[name] = reading.value
    }
  }
  const verdict = evaluator.evaluate(readings, knownSupply(state) === undefined ? withoutSupply(given.facts) : given.facts)
  // Voltage outranks what is missing: nobody is sent back to measure more.
  if (missing === undefined || (verdict.ok && verdict.value.outcome === 'voltage')) return verdict
  const { place, pair } = missing
  return failed('JOB_ANSWER_INCOMPLETE', `Measure ${pair} at the ${place} and write the volts.`, { path: `${place}:${pair}` })
}

const SUPPLY = 'supply-profile'

function withoutSupply(facts: Facts): Facts {
  const { [SUPPLY]: _told, ...rest } = facts
  return rest
}

function tester(passed: boolean): Reading {
  return { quantity: 'count', typed: passed ? '1' : '0', unit: '1', si: passed ? 1 : 0 }
}

function strangeName(form: PairsForm, pairs: readonly string[]): string | undefined {
  const known = new Set<string>(ALL_PLACES.flatMap((place) => pairs.map((pair) => `${place}:${pair}`)))
  return Object.entries(form.volts).find(([name, { typed }]) => typed.trim() !== '' && !known.has(name))?.[0]
}

function isFilled(form: PairsForm, place: string, pair: string): boolean {
  return (own(form.volts, `${place}:${pair}`)?.typed ?? '').trim() !== ''
}

/** Places that the form of a proof has measured: only those are proved by it. */
export function placesMeasured(form: CommandOf<'answer'>['form']): readonly HandPlace[] {
  if (form?.form !== 'pairs') return []
  return ALL_PLACES.filter((place) =>
    Object.entries(form.volts).some(([name, { typed }]) => name.startsWith(`${place}:`) && typed.trim() !== ''),
  )
}

/** The supply as somebody of the trade read it; what was told from afar makes no list of pairs shorter. */
function knownSupply(state: JobState): string | undefined {
  const fact = state.facts[SUPPLY]
  return typeof fact?.value === 'string' && (fact.role === 'technician' || fact.role === 'electrician') ? fact.value : undefined
}

/** Pairs of the supply profile; unknown means every conductor, two by two. */
export function supplyPairs(edition: Edition, state: JobState): readonly string[] {
  return (own(edition.supplies, knownSupply(state) ?? 'unknown') ?? edition.supplies.unknown)?.pairs ?? []
}
