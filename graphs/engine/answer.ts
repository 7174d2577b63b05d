// What an answer means: the outcome it has, the verdict computed from readings, the facts a form states. Every number is judged here, never by the screen.
// Nothing is written; decide.ts turns the meaning into events.
import type { CommandOf, Form, StoredVerdict, TypedReading } from '../contract/index.ts'
import type { Edition, HandPlace, Step } from '../edition/compiled.ts'
import { failed, ok } from '../result.ts'
import type { Result } from '../result.ts'
import { EVALUATORS } from '../trade/evaluators.ts'
import { FACTS } from '../trade/facts.ts'
import { isOpenText, isUnitTyped, parseReading } from '../trade/quantity.ts'
import type { Fact, Facts, Quantity, Reading, Readings, Verdict } from '../trade/verdict.ts'
import { evidenceStands } from './evidence.ts'
import { placesToProve } from './offer.ts'
import { endOfKey } from './place.ts'
import type { JobState } from './state.ts'

export type Answer = Pick<CommandOf<'answer'>, 'outcome' | 'readings' | 'form' | 'sure' | 'not_done' | 'words'>
export type StatedFact = {
  readonly slug: string
  readonly value: string | number | boolean | null
  readonly typed?: string
  readonly uncertainty?: number
}
export type Meaning = {
  readonly outcome: string
  readonly reason?: string
  readonly readings?: NonNullable<Answer['readings']>
  readonly form?: Form
  readonly verdict?: StoredVerdict
  readonly facts: readonly StatedFact[]
}

/** What the answer means at this step, for this person, now. */
export function meaningOf(
  edition: Edition,
  state: JobState,
  step: Step,
  person: string,
  answer: Answer,
  now: number,
  key: string,
): Result<Meaning> {
  if (answer.not_done !== undefined) return notDone(edition, step, answer.not_done)
  if (step.kind === 'wait') return waited(state, step, answer, now, key)
  const picked = answer.outcome
  if (picked !== undefined && picked !== 'not-done' && step.outcomes[picked] !== undefined && !isComputed(step, picked)) {
    return pickedOutcome(state, step, picked, answer)
  }
  if (step.kind === 'read') return measured(state, step, answer)
  if (step.kind === 'record') return recorded(edition, state, step, person, answer)
  return failed('JOB_ANSWER_NOT_OFFERED', `Pick one of: ${offeredLabels(step)}.`, { details: { offered: Object.keys(step.outcomes) } })
}

function notDone(edition: Edition, step: Step, reason: string): Result<Meaning> {
  if (step.outcomes['not-done'] === undefined)
    return failed('JOB_ANSWER_NOT_OFFERED', 'This step cannot be left out. Stop the job instead if it has to wait.')
  if (!edition.not_done.some((one) => one.slug === reason)) {
    return failed('JOB_ANSWER_NOT_OFFERED', 'Pick a reason from the list.', {
      path: 'not_done',
      details: { offered: edition.not_done.map((one) => one.slug) },
    })
  }
  return ok({ outcome: 'not-done', reason, facts: [] })
}

function waited(state: JobState, step: Step, answer: Answer, now: number, key: string): Result<Meaning> {
  if (answer.outcome !== 'done') return failed('JOB_ANSWER_NOT_OFFERED', 'Say done when the time is over.')
  const until = state.waits[key]
  if (until !== undefined && now < until && !state.practice) {
    const left = Math.ceil((until - now) / 60_000)
    return failed('JOB_TOO_EARLY', `Wait ${left} more ${left === 1 ? 'minute' : 'minutes'}.`, { details: { until } })
  }
  return ok({ outcome: 'done', facts: [] })
}

/** Outcomes that only readings or a form decide; sending one by hand is refused. */
export function isComputed(step: Step, outcome: string): boolean {
  if (step.kind === 'read') return EVALUATORS[step.evaluator ?? '']?.outcomes.includes(outcome) ?? false
  if (step.kind !== 'record') return false
  if (step.form?.form === 'pairs') return ['zero', 'voltage', 'not-proved'].includes(outcome)
  if (step.form?.form === 'switches' && step.form.which === 'new') return ['match', 'mismatch'].includes(outcome)
  return outcome === 'done'
}

function offeredLabels(step: Step): string {
  return Object.entries(step.outcomes)
    .filter(([name]) => name !== 'not-done' && !isComputed(step, name))
    .map(([, outcome]) => `"${outcome.label}"`)
    .join(', ')
}

function pickedOutcome(state: JobState, step: Step, picked: string, answer: Answer): Result<Meaning> {
  if (
    step.kind === 'fit' &&
    picked === 'fitted' &&
    step.fit !== undefined &&
    !step.fit.consumable &&
    !evidenceStands(state, step.fit.evidence)
  ) {
    return failed('JOB_EVIDENCE_MISSING', 'This part has no evidence yet. Go back and measure before it is fitted.', {
      details: { evidence: step.fit.evidence },
    })
  }
  return ok({ outcome: picked, facts: [], ...(answer.form === undefined ? {} : { form: answer.form }) })
}

/** Readings of one name, parsed with the units of the step. */
function parseAll(step: Step, answer: Answer): Result<Readings> {
  const readings: { [name: string]: Reading | Reading[] } = {}
  for (const spec of step.readings ?? []) {
    const given = answer.readings?.[spec.name]
    const list = given === undefined ? [] : Array.isArray(given) ? given : [given]
    const filled = list.filter((one) => one.typed.trim() !== '')
    if (filled.length === 0) {
      if (spec.optional === true) continue
      return failed('JOB_ANSWER_INCOMPLETE', `Write the reading: ${spec.label}.`, { path: spec.name })
    }
    if (spec.series !== undefined && filled.length < spec.series.least) {
      return failed('JOB_ANSWER_INCOMPLETE', `Take at least ${spec.series.least} readings of: ${spec.label}.`, {
        path: spec.name,
        details: { have: filled.length },
      })
    }
    const parsed: Reading[] = []
    for (const typed of filled) {
      const reading = parseOne(spec.quantity as Quantity, typed, answer.sure === true, spec.instrument)
      if (!reading.ok) return failed(reading.problem.code, reading.problem.message, { ...reading.problem, path: spec.name })
      parsed.push(reading.value)
    }
    const single = parsed[0]
    if (single !== undefined) readings[spec.name] = spec.series === undefined ? single : parsed
  }
  return ok(readings)
}

/** A unit inside the text is how a person insists; "it is meant" writes it there. */
function parseOne(quantity: Quantity, typed: TypedReading, sure: boolean, instrument: string | undefined): Result<Reading> {
  const text =
    sure && typed.unit !== '1' && !isUnitTyped(typed.typed) && !isOpenText(typed.typed) ? `${typed.typed} ${typed.unit}` : typed.typed
  const used = typed.instrument ?? instrument
  return parseReading({
    quantity,
    typed: text,
    unit: typed.unit,
    ...(used === undefined ? {} : { instrument: used }),
    ...(typed.at === undefined ? {} : { at: typed.at }),
  })
}

/** What is known, with readings that carry the name of a fact on top. */
export function factsFor(state: JobState, readings: Readings): Facts {
  const facts: { [slug: string]: Fact } = {}
  for (const [slug, value] of Object.entries(state.path.constants)) facts[slug] = { slug, value, source: 'told' }
  for (const fact of Object.values(state.facts)) facts[fact.slug] = fact
  for (const [name, reading] of Object.entries(readings)) {
    if (!FACTS.some((fact) => fact.slug === name) || Array.isArray(reading)) continue
    facts[name] = { slug: name, value: (reading as Reading).si, source: 'told' }
  }
  return facts
}

function measured(state: JobState, step: Step, answer: Answer): Result<Meaning> {
  const readings = parseAll(step, answer)
  if (!readings.ok) return readings
  const verdict = judged(state, step, readings.value)
  if (!verdict.ok) return verdict
  return ok({
    outcome: verdict.value.outcome,
    verdict: stored(verdict.value),
    facts: statedByReadings(readings.value),
    ...(answer.readings === undefined ? {} : { readings: answer.readings }),
  })
}

/** Judges stored or fresh readings of a step by what is known now. */
export function judged(state: JobState, step: Step, readings: Readings): Result<Verdict> {
  const evaluator = EVALUATORS[step.evaluator ?? '']
  if (evaluator === undefined)
    return failed('GRAPH_REFERENCE_MISSING', `This edition names a computation that this program does not have: ${step.evaluator}.`)
  const verdict = evaluator.evaluate(readings, factsFor(state, readings))
  if (!verdict.ok) return verdict
  if (step.outcomes[verdict.value.outcome] === undefined) {
    return failed('JOB_ANSWER_NOT_OFFERED', 'The computation gave an outcome that this step does not know. Say it cannot be done here.', {
      details: { outcome: verdict.value.outcome },
    })
  }
  return verdict
}

/** Judges an answer that already stands anew, for a fact that was learnt later or today's formulas. */
export function judgedAgain(state: JobState, step: Step, readings: NonNullable<Answer['readings']>): Result<Verdict> {
  const parsed = parseAll(step, { readings, sure: true })
  return parsed.ok ? judged(state, step, parsed.value) : parsed
}

export function stored(verdict: Verdict): StoredVerdict {
  const number = (value: number) => (Number.isFinite(value) ? value : null)
  return {
    outcome: verdict.outcome,
    mark: verdict.mark,
    quantity: verdict.quantity,
    value: number(verdict.value),
    error: number(verdict.error),
    bands: verdict.bands.map((band) => ({ ...band })),
    reason: verdict.reason,
    basis: verdict.basis,
    evaluator: verdict.evaluator,
    uses: [...verdict.uses],
    ...(verdict.direction === undefined ? {} : { direction: verdict.direction }),
    ...(verdict.settle === undefined ? {} : { settle: verdict.settle }),
  }
}

function statedByReadings(readings: Readings): StatedFact[] {
  return Object.entries(readings).flatMap(([name, reading]) => {
    if (!FACTS.some((fact) => fact.slug === name) || Array.isArray(reading)) return []
    const { si, typed } = reading as Reading
    return [{ slug: name, value: si, typed }]
  })
}

function recorded(edition: Edition, state: JobState, step: Step, person: string, answer: Answer): Result<Meaning> {
  const { form } = answer
  if (form === undefined || form.form !== step.form?.form)
    return failed('JOB_ANSWER_INCOMPLETE', 'Fill in the form of this step.', { path: 'form' })
  if (form.form === 'pairs') return provedDead(edition, state, step, person, answer, form)
  const missing = missingIn(step, form)
  if (missing !== undefined) return failed('JOB_ANSWER_INCOMPLETE', missing, { path: 'form' })
  const facts = form.form === 'facts' ? statedByForm(form) : ok([])
  if (!facts.ok) return facts
  return ok({ outcome: outcomeOfForm(edition, state, step, form), form, facts: facts.value })
}

function missingIn(step: Step, form: Form): string | undefined {
  if (form.form === 'conductors' && form.conductors.length === 0) return 'Write at least one conductor, from where to where.'
  if (form.form === 'loads' && form.loads.length === 0) return 'Write at least one load with its outlet and voltage.'
  if (form.form === 'switches' && form.positions === '' && form.jumpers.trim() === '')
    return 'Set the switches as they stand, or write what the jumpers are.'
  if (form.form === 'checklist' && step.form?.form === 'checklist') {
    const open = step.form.items.filter((item) => !form.ticked.includes(item))
    return open.length === 0 ? undefined : `Still open: ${open.join(', ')}. Do it, or say it cannot be done here.`
  }
  if (form.form === 'text' && Object.values(form.fields).every((text) => text.trim() === '')) return 'Write a few words.'
  return undefined
}

function statedByForm(form: Extract<Form, { form: 'facts' }>): Result<StatedFact[]> {
  const stated: StatedFact[] = []
  for (const [slug, value] of Object.entries(form.facts)) {
    const fact = statedFact(slug, value)
    if (!fact.ok) return fact
    stated.push(fact.value)
  }
  return ok(stated)
}

/** One fact as typed or chosen; null = not known. */
export function statedFact(slug: string, value: TypedReading | string | number | boolean | null): Result<StatedFact> {
  const definition = FACTS.find((fact) => fact.slug === slug)
  if (definition === undefined) return failed('JOB_ANSWER_INCOMPLETE', `Nothing is known of a fact called "${slug}".`, { path: slug })
  if (value === null) return ok({ slug, value: null })
  if (typeof value === 'object') {
    const reading = parseReading({ quantity: definition.quantity ?? 'count', typed: value.typed, unit: value.unit })
    if (!reading.ok)
      return failed(reading.problem.code, `${definition.label}: ${reading.problem.message}`, { ...reading.problem, path: slug })
    const { range } = definition
    if (range !== undefined && (reading.value.si < range.low || reading.value.si > range.high)) {
      return failed('CALC_INPUT_OUT_OF_RANGE', `${definition.label}: that is not a size a hot tub has. Look again, or say not known.`, {
        path: slug,
        details: { range },
      })
    }
    return ok({ slug, value: reading.value.si, typed: `${value.typed} ${value.unit}`.trim() })
  }
  if (definition.choices !== undefined && !definition.choices.some((choice) => choice.value === value)) {
    return failed('JOB_ANSWER_INCOMPLETE', `${definition.label}: pick one of the list, or say not known.`, {
      path: slug,
      details: { offered: definition.choices.map((choice) => choice.value) },
    })
  }
  return ok({ slug, value, typed: String(value) })
}

function outcomeOfForm(edition: Edition, state: JobState, step: Step, form: Form): string {
  if (form.form === 'switches' && step.form?.form === 'switches' && step.form.which === 'new') {
    const old = recordedSwitches(edition, state)
    const same = old !== undefined && old.positions === form.positions && old.jumpers.trim() === form.jumpers.trim()
    return same ? 'match' : 'mismatch'
  }
  return step.outcomes.done === undefined ? (Object.keys(step.outcomes).find((name) => name !== 'not-done') ?? 'done') : 'done'
}

/** The old board's switches as recorded on the path. */
export function recordedSwitches(edition: Edition, state: JobState): { positions: string; jumpers: string } | undefined {
  for (const key of state.path.trail.toReversed()) {
    const form = state.path.entries[key]?.form
    const { block, step } = endOfKey(key)
    const asked = edition.blocks[block]?.steps[step]?.form
    if (form?.form === 'switches' && asked?.form === 'switches' && asked.which === 'old')
      return { positions: form.positions, jumpers: form.jumpers }
  }
  return undefined
}

function provedDead(
  edition: Edition,
  state: JobState,
  step: Step,
  person: string,
  answer: Answer,
  form: Extract<Form, { form: 'pairs' }>,
): Result<Meaning> {
  const evaluator = EVALUATORS['proof-of-dead']
  if (evaluator === undefined) return failed('GRAPH_REFERENCE_MISSING', 'The proof of dead is missing in this program.')
  const pairs = supplyPairs(edition, state)
  const readings: { [name: string]: Reading } = {}
  const tester = (si: number): Reading => ({ quantity: 'count', typed: String(si), unit: '1', si })
  readings['tester-before'] = tester(form.tester_before ? 1 : 0)
  readings['tester-after'] = tester(form.tester_after ? 1 : 0)
  for (const { place, needed } of placesToProve(edition, state, person)) {
    // A place that was not measured at all is simply not proved, unless hands go there next.
    if (!needed && !pairs.some((pair) => isFilled(form, place, pair))) continue
    for (const pair of pairs) {
      const typed = form.volts[`${place}:${pair}`]
      if (typed === undefined || !isFilled(form, place, pair)) {
        return failed('JOB_ANSWER_INCOMPLETE', `Measure ${pair} at the ${place} and write the volts.`, { path: `${place}:${pair}` })
      }
      const reading = parseOne('voltage', typed, answer.sure === true, 'low-impedance-tester')
      if (!reading.ok) return failed(reading.problem.code, reading.problem.message, { ...reading.problem, path: `${place}:${pair}` })
      readings[`${place}:${pair}`] = reading.value
    }
  }
  const verdict = evaluator.evaluate(readings, factsFor(state, {}))
  if (!verdict.ok) return verdict
  if (step.outcomes[verdict.value.outcome] === undefined)
    return failed('JOB_ANSWER_NOT_OFFERED', 'This step does not know that outcome. Say it cannot be done here.')
  return ok({ outcome: verdict.value.outcome, verdict: stored(verdict.value), form, facts: [] })
}

function isFilled(form: Extract<Form, { form: 'pairs' }>, place: string, pair: string): boolean {
  return (form.volts[`${place}:${pair}`]?.typed ?? '').trim() !== ''
}

/** Places that the form of a proof has measured: only those are proved by it. */
export function placesMeasured(form: Form | undefined): readonly HandPlace[] {
  if (form?.form !== 'pairs') return []
  const places = Object.entries(form.volts).flatMap(([name, reading]) =>
    reading.typed.trim() === '' ? [] : [name.split(':')[0] as HandPlace],
  )
  return [...new Set(places)]
}

/** Pairs of the supply profile; unknown means every conductor, two by two. */
export function supplyPairs(edition: Edition, state: JobState): readonly string[] {
  const profile = state.facts['supply-profile']?.value
  const supply = edition.supplies[typeof profile === 'string' ? profile : 'unknown'] ?? edition.supplies.unknown
  return supply?.pairs ?? []
}
