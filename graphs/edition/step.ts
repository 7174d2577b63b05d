// One step as an author wrote it becomes one compiled step: defaults filled in, effects typed, outcomes complete.
// References to other blocks are checked in checks.ts.
import type { Case, Condition, Effect, Exit, Outcome, Part, ReadingSpec, Role, Step } from './compiled.ts'
import { effectFromWords } from './effects.ts'
import type { RawOutcome, RawStep } from './library-schema.ts'

export type StepDefaults = { readonly part: Part; readonly who: readonly Role[]; readonly isTest: boolean }
/** Says what is wrong in this step. */
export type Complain = (message: string, mend?: string) => void

/** Kinds that a person answers: each of them can also be left undone. */
const ANSWERED = new Set(['ask', 'read', 'do', 'record', 'wait', 'fit'])
const WITHOUT_HANDS = new Set(['decide', 'call', 'finish', 'refer'])

export function compileStep(id: string, raw: RawStep, defaults: StepDefaults, complain: Complain): Step {
  const needs = raw.needs ?? 'talk'
  const hands = raw.hands ?? (needs === 'dead' || needs === 'live-open' || needs === 'proving' ? 'inside' : 'none')
  const cases = raw.cases === undefined ? undefined : compileCases(raw.cases)
  const fit = raw.fit
  const outcomes = compileOutcomes(raw, defaults, complain)
  const step: Step = {
    id,
    kind: raw.kind,
    part: raw.part ?? defaults.part,
    who: rolesThatMay(raw.who ?? defaults.who),
    signed: raw.signed ?? [],
    needs,
    at: raw.at ?? [],
    hands,
    title: raw.title ?? titleFromId(id),
    says: raw.says ?? [],
    why: raw.why ?? '',
    minutes: raw.minutes ?? (WITHOUT_HANDS.has(raw.kind) ? 0 : 1),
    tools: raw.tools ?? [],
    outcomes,
    order: Object.keys(outcomes),
    ...(raw.starts === undefined ? {} : { starts: raw.starts }),
    ...(raw.ask_aloud === undefined ? {} : { ask_aloud: raw.ask_aloud }),
    ...(raw.hazard === undefined ? {} : { hazard: raw.hazard }),
    ...(raw.otherwise === undefined ? {} : { otherwise: raw.otherwise }),
    ...(raw.readings === undefined ? {} : { readings: raw.readings.map((reading) => compileReading(reading)) }),
    ...(raw.evaluator === undefined ? {} : { evaluator: raw.evaluator }),
    ...(raw.form === undefined ? {} : { form: raw.form }),
    ...(raw.wait === undefined ? {} : { wait: raw.wait }),
    ...(cases === undefined ? {} : { cases }),
    ...(raw.finish === undefined ? {} : { finish: withoutUndefined(raw.finish) }),
    ...(raw.refer === undefined ? {} : { refer: withoutUndefined(raw.refer) }),
    ...(fit === undefined
      ? {}
      : {
          fit: {
            part: fit.part,
            evidence: fit.evidence ?? { one_of: [], all_of: [], rivals: [] },
            trial: fit.trial ?? false,
            consumable: fit.consumable ?? false,
          },
        }),
  }
  requireFields(step, raw, complain)
  return step
}

/** A technician may do every dispatcher or homeowner step; a dispatcher takes a homeowner's answers on the phone. */
function rolesThatMay(who: readonly Role[]): readonly Role[] {
  const roles = new Set(who)
  if (roles.has('homeowner')) roles.add('dispatcher')
  if (roles.has('dispatcher')) roles.add('technician')
  return [...roles]
}

function titleFromId(id: string): string {
  return id.charAt(0).toUpperCase() + id.slice(1).replaceAll('-', ' ')
}

function compileReading({ series, ...reading }: NonNullable<RawStep['readings']>[number]): ReadingSpec {
  return { ...withoutUndefined(reading), ...(series === undefined ? {} : { series: withoutUndefined(series) }) }
}

function withoutUndefined<T extends object>(value: T): { [K in keyof T]: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(value).filter(([, part]) => part !== undefined)) as never
}

function compileEffects(words: readonly string[] | undefined, complain: Complain): readonly Effect[] {
  const effects: Effect[] = []
  for (const phrase of words ?? []) {
    const effect = effectFromWords(phrase)
    if (typeof effect === 'string') complain(`effect "${phrase}": ${effect}`)
    else effects.push(effect)
  }
  return effects
}

function compileOutcome(name: string, raw: RawOutcome, isTest: boolean, complain: Complain): Outcome {
  const to = raw.to ?? (isTest ? `exit:${name}` : undefined)
  if (to === undefined) complain(`outcome "${name}" leads nowhere`, 'add `to:`')
  const effects = compileEffects(raw.effects, complain)
  return {
    label: raw.label ?? titleFromId(name),
    to: to ?? 'exit:missing',
    ...(effects.length === 0 ? {} : { effects }),
    ...(raw.again === undefined ? {} : { again: raw.again }),
    ...(raw.odds === undefined ? {} : { odds: raw.odds }),
  }
}

function compileOutcomes(raw: RawStep, defaults: StepDefaults, complain: Complain): { [name: string]: Outcome } {
  const outcomes: { [name: string]: Outcome } = {}
  for (const [name, outcome] of Object.entries(raw.outcomes ?? {})) {
    outcomes[name] = compileOutcome(name, outcome, defaults.isTest, complain)
  }
  for (const [name, arrow] of Object.entries(raw.exits ?? {})) {
    outcomes[name] = compileOutcome(name, typeof arrow === 'string' ? { to: arrow } : arrow, false, complain)
  }
  for (const one of raw.cases ?? []) {
    const name = one.outcome ?? one.to.replace('exit:', '')
    if (outcomes[name] !== undefined && outcomes[name].to !== one.to) complain(`two cases are named "${name}"`, 'name one by `outcome:`')
    outcomes[name] = compileOutcome(name, { to: one.to, effects: one.effects, again: one.again }, false, complain)
  }
  const undone = raw['not-done'] ?? (defaults.isTest ? {} : undefined)
  if (ANSWERED.has(raw.kind) && undone !== undefined) {
    outcomes['not-done'] = compileOutcome('not-done', { label: 'Not done', ...undone }, defaults.isTest, complain)
  }
  if (raw.otherwise !== undefined) outcomes.otherwise = { label: 'Go the other way', to: raw.otherwise }
  return outcomes
}

function compileCases(raw: NonNullable<RawStep['cases']>): readonly Case[] {
  return raw.map((one) => ({ outcome: one.outcome ?? one.to.replace('exit:', ''), when: (one.when ?? []) as readonly Condition[] }))
}

function requireFields(step: Step, raw: RawStep, complain: Complain): void {
  if (ANSWERED.has(step.kind)) {
    if (step.outcomes['not-done'] === undefined) complain('has no `not-done:`', 'say where it leads when it cannot be done')
    if (step.title === '') complain('has no title')
    if (step.says.length === 0) complain('says nothing', 'add `says:`')
    if (step.why === '') complain('has no `why:`', 'one sentence for a junior')
  }
  if (step.kind === 'read' && (step.readings === undefined || step.evaluator === undefined))
    complain('a read names `readings:` and an `evaluator:`')
  if (step.kind === 'record' && step.form === undefined) complain('a record has a `form:`')
  if (step.kind === 'decide' && step.cases === undefined) complain('a decide has `cases:`')
  if (step.kind === 'decide' && step.cases?.at(-1)?.when.length !== 0) complain('the last case must hold always', 'leave out its `when:`')
  if (step.kind === 'call' && raw.call === undefined) complain('a call names its block')
  if (step.kind === 'wait' && step.wait === undefined) complain('a wait says how long')
  if (step.kind === 'fit' && step.fit === undefined) complain('a fit names its part')
  if (step.kind === 'finish' && step.finish === undefined) complain('a finish names its ending')
  if (step.kind === 'refer' && step.refer === undefined) complain('a refer says to what')
  if ((step.needs === 'dead' || step.needs === 'live-open') && !WITHOUT_HANDS.has(step.kind) && step.at.length === 0) {
    complain(`needs ${step.needs} but names no place`, 'add `at: [board]`')
  }
}

export function compileExits(
  raw: { readonly [name: string]: Exit | { ensures?: Exit['ensures']; label?: string | undefined } | null } | undefined,
): {
  [name: string]: Exit
} {
  const exits: { [name: string]: Exit } = {}
  for (const [name, exit] of Object.entries(raw ?? {})) exits[name] = exit === null ? {} : (withoutUndefined(exit) as Exit)
  return exits
}
