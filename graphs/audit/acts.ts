// Compiled steps in the terms of the safety observers: what a person does who answers a step, and what its outcome brings about.
// The engine makes the same acts from events (engine/acts.ts); nothing is judged here.
import type { Effect, HandPlace, Need, Role, Step } from '../edition/compiled.ts'
import type { Act, StepAct } from '../safety/act.ts'
import { SHOP } from '../safety/power.ts'
import { valueOf } from './state.ts'
import type { Vars } from './state.ts'

/** Whoever acts in a role. Two technicians take turns at the tub: `holder` says which of them holds it. */
export function personOf(role: Role, vars: Vars): string {
  return role === 'technician' ? valueOf(vars, 'holder') || 'first' : role
}

export function otherHolder(vars: Vars): string {
  return personOf('technician', vars) === 'first' ? 'second' : 'first'
}

/** Hands that go inside go inside, whatever the step says it needs. */
function needOfHands(step: Step): Need {
  const goesIn = step.hands === 'inside' || step.at.length > 0
  return goesIn && (step.needs === 'talk' || step.needs === 'shut' || step.needs === 'live-shut') ? 'dead' : step.needs
}

/** The act of answering a step. The person has the sign-offs that the step names, and no others. */
export function actOf(block: string, step: Step, role: Role, vars: Vars, done: boolean): StepAct {
  return {
    act: 'step',
    block,
    step: step.id,
    kind: step.kind,
    needs: needOfHands(step),
    at: step.at,
    hands: step.hands,
    starts: step.starts !== undefined,
    testsGfci: Object.values(step.outcomes).some((one) => one.effects?.some((effect) => effect.do === 'gfci')),
    tools: step.tools,
    person: personOf(role, vars),
    role,
    signed: step.signed,
    done,
  }
}

/** What one effect is to the observers, in the order in which the engine writes it. */
export function actsOfEffect(
  effect: Effect,
  by: { readonly role: Role; readonly vars: Vars; readonly signed: boolean; readonly evidence: boolean },
  proved: readonly HandPlace[],
): readonly Act[] {
  const { vars, role } = by
  const person = personOf(role, vars)
  switch (effect.do) {
    case 'energy':
      return effect.to === 'on' && valueOf(vars, 'proof') !== '' ? [{ act: 'lapse' }, power('on')] : [power(effect.to)]
    case 'covers':
      return [{ act: 'covers', to: effect.to }]
    case 'lock':
      return [{ act: 'lock', owner: effect.owner === 'own' ? person : SHOP }]
    case 'unlock': {
      const owner = effect.owner === 'own' ? person : effect.owner === 'shop' ? SHOP : otherHolder(vars)
      const off: Act = { act: 'unlock', owner, by: person, ordered: effect.owner === 'others' }
      return effect.owner === 'own' && valueOf(vars, 'proof') !== '' ? [{ act: 'lapse' }, off] : [off]
    }
    case 'proof':
      return [{ act: 'proof', prover: person, places: proved, witnesses: [], signed: by.signed }]
    case 'hazard':
      return valueOf(vars, `hazard:${effect.hazard}`) === '' ? [{ act: 'hazard', hazard: effect.hazard }] : []
    case 'reset':
      return [{ act: 'reset', by: role }]
    case 'gfci':
      return [{ act: 'gfci', result: effect.result }]
    case 'water-clear':
      return [{ act: 'water-clear' }]
    case 'mark':
    case 'unmark':
      return [{ act: effect.do, mark: effect.mark }]
    case 'part-out':
      return [{ act: 'part-out', part: effect.part }]
    case 'part-in':
      return [{ act: 'part-in', part: effect.part, evidence: by.evidence, trial: false }]
    default:
      return []
  }
}

function power(to: 'on' | 'off'): Act {
  return { act: 'power', to }
}
