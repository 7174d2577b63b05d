// What must hold of every edition: arrows lead somewhere, names exist, loops are bounded, every path ends. Searched over the compiled tables.
// Safety over paths is the audit's; wording of single steps is step.ts.
import { EVALUATORS } from '../trade/evaluators.ts'
import { FACTS } from '../trade/facts.ts'
import type { Block, Edition, Standing, Step } from './compiled.ts'
import { PARTS, partLengths } from './lengths.ts'
import type { LengthTable } from './lengths.ts'
import { checkSafety } from './safety-checks.ts'
import { nearest } from './nearest.ts'
import type { LibraryProblem } from './source.ts'

type Where = (block: string) => { file: string; lineOf: (step: string) => number }
type Report = (block: string, step: string, message: string, mend?: string) => void

/** Longest way through one part of the job that may be released. */
export const PART_LIMIT = 25

export function checkEdition(edition: Edition, where: Where, problems: LibraryProblem[]): void {
  const report: Report = (block, step, message, mend) => {
    const place = where(block)
    problems.push({
      file: place.file,
      line: place.lineOf(step),
      step: `${block}.${step}`,
      message,
      ...(mend === undefined ? {} : { mend }),
    })
  }
  for (const block of Object.values(edition.blocks)) {
    checkArrows(block, report)
    checkReachable(block, report)
    for (const step of Object.values(block.steps)) checkStep(edition, block, step, report)
  }
  checkStanding(edition, report)
  checkTables(edition, report)
  checkSafety(edition, report)
  if (problems.length > 0) return
  for (const cycle of callCycles(edition)) report(cycle, '', 'calls itself in the end', 'calls have no circle')
  const lengths = partLengths(edition)
  for (const { block, step } of lengths.loops) report(block, step, 'is part of a loop without `again:`', 'bound the backward arrow')
  checkParts(edition, lengths, report)
}

/** Every part of the job is short enough, from wherever a job or a procedure that is put on top begins. */
function checkParts(edition: Edition, lengths: LengthTable, report: Report): void {
  for (const { block, step } of beginnings(edition)) {
    for (const part of PARTS) {
      const longest = Math.max(0, ...Object.values(lengths.from(block, step, part)))
      if (longest > PART_LIMIT)
        report(block, step, `has ${longest} steps of "${part}" on its longest way; ${PART_LIMIT} is the most`, 'merge steps, or end sooner')
    }
  }
}

function beginnings(edition: Edition): { block: string; step: string }[] {
  const flows = Object.values(edition.blocks).filter((block) => block.kind === 'flow')
  const onTop = [...Object.values(edition.standing), ...Object.values(edition.interrupts)].map((standing) => standing.block)
  const put = [...new Set([...onTop, ...edition.red_flags.map((flag) => flag.put)])].flatMap((id) => edition.blocks[id] ?? [])
  return [
    ...[...flows, ...put].map((block) => ({ block: block.id, step: block.start })),
    ...flows.flatMap((flow) => (flow.arrive === undefined ? [] : [{ block: flow.id, step: flow.arrive }])),
  ]
}

function targetsOf(step: Step): { name: string; to: string }[] {
  return Object.entries(step.outcomes).flatMap(([name, outcome]) => [
    { name, to: outcome.to },
    ...(outcome.again === undefined ? [] : [{ name: `${name} (again used up)`, to: outcome.again.then }]),
  ])
}

function checkArrows(block: Block, report: Report): void {
  if (block.steps[block.start] === undefined) report(block.id, block.start, `starts at "${block.start}", which is not a step`)
  if (block.arrive !== undefined && block.steps[block.arrive] === undefined)
    report(block.id, block.arrive, `"arrive: ${block.arrive}" is not a step`)
  for (const step of Object.values(block.steps)) {
    for (const { name, to } of targetsOf(step)) {
      const exit = to.startsWith('exit:') ? to.slice(5) : undefined
      if (exit === undefined ? block.steps[to] !== undefined : block.exits[exit] !== undefined) continue
      const known = exit === undefined ? Object.keys(block.steps) : Object.keys(block.exits)
      const near = nearest(exit ?? to, known)
      report(
        block.id,
        step.id,
        `outcome "${name}" leads to "${to}", which does not exist`,
        near === undefined ? undefined : `did you mean "${near}"?`,
      )
    }
    if (step.kind !== 'finish' && step.kind !== 'refer' && step.kind !== 'call' && Object.keys(step.outcomes).length === 0)
      report(block.id, step.id, 'has no outcome')
  }
}

function checkReachable(block: Block, report: Report): void {
  const seen = new Set<string>()
  const open = [block.start, ...(block.arrive === undefined ? [] : [block.arrive])]
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    const step = block.steps[id]
    if (seen.has(id) || step === undefined) continue
    seen.add(id)
    for (const { to } of targetsOf(step)) if (!to.startsWith('exit:')) open.push(to)
  }
  for (const id of Object.keys(block.steps)) if (!seen.has(id)) report(block.id, id, 'is never reached')
}

function checkStep(edition: Edition, block: Block, step: Step, report: Report): void {
  if (step.call !== undefined) checkCall(edition, block, step, report)
  if (step.kind === 'read' && step.evaluator !== undefined) {
    const evaluator = EVALUATORS[step.evaluator]
    if (evaluator === undefined) {
      const near = nearest(step.evaluator, Object.keys(EVALUATORS))
      report(block.id, step.id, `no evaluator "${step.evaluator}"`, near === undefined ? undefined : `did you mean "${near}"?`)
    } else {
      for (const outcome of evaluator.outcomes) {
        if (step.outcomes[outcome] === undefined)
          report(block.id, step.id, `evaluator ${evaluator.name} can answer "${outcome}", which is not an outcome here`)
      }
      const named = new Set((step.readings ?? []).map((reading) => reading.name))
      for (const need of evaluator.needs)
        if (!named.has(need)) report(block.id, step.id, `evaluator ${evaluator.name} needs a reading "${need}"`)
    }
  }
  if (step.form?.form === 'facts') {
    for (const slug of step.form.facts) if (!FACTS.some((fact) => fact.slug === slug)) report(block.id, step.id, `no fact "${slug}"`)
  }
  for (const one of step.cases ?? []) for (const condition of one.when) checkCondition(edition, block, step, condition as never, report)
  if (step.fit !== undefined) checkFit(edition, block, step, report)
}

function checkCall(edition: Edition, block: Block, step: Step, report: Report): void {
  const called = edition.blocks[step.call?.block ?? '']
  if (called === undefined) {
    const near = nearest(step.call?.block ?? '', Object.keys(edition.blocks))
    report(
      block.id,
      step.id,
      `calls "${step.call?.block}", which does not exist`,
      near === undefined ? undefined : `did you mean "${near}"?`,
    )
    return
  }
  for (const exit of Object.keys(called.exits)) {
    if (step.outcomes[exit] === undefined) report(block.id, step.id, `does not say where exit "${exit}" of ${called.id} leads`)
  }
  for (const exit of Object.keys(step.outcomes)) {
    if (called.exits[exit] === undefined) report(block.id, step.id, `names exit "${exit}", which ${called.id} does not have`)
  }
}

function checkCondition(
  edition: Edition,
  block: Block,
  step: Step,
  condition: { result?: string; is?: string[]; not?: string[] },
  report: Report,
): void {
  if (condition.result === undefined) return
  const card = edition.blocks[condition.result]
  if (card?.kind !== 'test') return report(block.id, step.id, `asks for a result of "${condition.result}", which is not a test card`)
  for (const outcome of [...(condition.is ?? []), ...(condition.not ?? [])]) {
    if (card.exits[outcome] === undefined) report(block.id, step.id, `test card ${card.id} has no outcome "${outcome}"`)
  }
}

function checkFit(edition: Edition, block: Block, step: Step, report: Report): void {
  const fit = step.fit
  if (fit === undefined) return
  if (edition.parts[fit.part] === undefined && !fit.part.includes('{{')) report(block.id, step.id, `no part "${fit.part}"`)
  const { one_of, all_of, rivals } = fit.evidence
  const named = [...one_of, ...all_of, ...rivals.flatMap((rival) => rival.by)]
  for (const name of named) {
    const [test = '', outcome = ''] = name.split('=')
    if (edition.blocks[test]?.exits[outcome] === undefined) report(block.id, step.id, `evidence "${name}" is not test-card=outcome`)
  }
  for (const rival of rivals) if (edition.faults[rival.fault] === undefined) report(block.id, step.id, `no fault "${rival.fault}"`)
  if (!fit.consumable && one_of.length + all_of.length === 0) report(block.id, step.id, 'fits a part without evidence')
}

function checkStanding(edition: Edition, report: Report): void {
  const check = (name: string, standing: Standing) => {
    const block = edition.blocks[standing.block]
    if (block === undefined) return report('interrupts', name, `no block "${standing.block}"`)
    for (const exit of Object.keys(block.exits)) {
      const after = standing.exits[exit]
      if (after === undefined) report('interrupts', name, `does not say what exit "${exit}" of ${block.id} does`)
      else if (typeof after === 'object' && edition.blocks[after.put] === undefined) report('interrupts', name, `no block "${after.put}"`)
    }
  }
  for (const [name, standing] of Object.entries(edition.standing)) check(name, standing)
  for (const [name, standing] of Object.entries(edition.interrupts)) check(name, standing)
  for (const flag of edition.red_flags)
    if (edition.blocks[flag.put] === undefined) report('interrupts', flag.slug, `no block "${flag.put}"`)
}

function checkTables(edition: Edition, report: Report): void {
  for (const fault of Object.values(edition.faults)) {
    for (const part of fault.parts) if (edition.parts[part] === undefined) report('faults', fault.slug, `no part "${part}"`)
  }
  for (const symptom of edition.symptoms)
    if (edition.blocks[symptom.flow]?.kind !== 'flow') report('symptoms', symptom.complaint, `no flow "${symptom.flow}"`)
  for (const [name, answer] of Object.entries(edition.practice.answers)) {
    const [block = '', step = ''] = name.split('.')
    const found = edition.blocks[block]?.steps[step]
    if (found === undefined) report('practice', name, 'is no step of the library')
    else if (answer.pick !== undefined && found.outcomes[answer.pick] === undefined)
      report('practice', name, `has no outcome "${answer.pick}"`)
  }
  for (const family of Object.values(edition.families)) {
    for (const [complaint, priors] of Object.entries(family.priors)) {
      const sum = Object.values(priors).reduce((total, p) => total + p, 0)
      if (Math.abs(sum - 1) > 1e-6) report('likelihoods', family.slug, `priors of ${complaint} add up to ${sum}`)
      for (const fault of Object.keys(priors))
        if (edition.faults[fault] === undefined) report('likelihoods', family.slug, `no fault "${fault}"`)
    }
  }
}

function callCycles(edition: Edition): string[] {
  const state = new Map<string, 'open' | 'done'>()
  const cycles: string[] = []
  const visit = (id: string): void => {
    if (state.get(id) === 'done') return
    if (state.get(id) === 'open') {
      cycles.push(id)
      return
    }
    state.set(id, 'open')
    for (const step of Object.values(edition.blocks[id]?.steps ?? {})) if (step.call !== undefined) visit(step.call.block)
    state.set(id, 'done')
  }
  for (const id of Object.keys(edition.blocks)) visit(id)
  return cycles
}
