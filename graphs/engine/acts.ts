// Events in the terms of the safety observers. The audit makes the same acts from compiled steps.
// Nothing is judged here.
import type { JobEvent } from '../contract/index.ts'
import type { Edition, Ending, SignOff, TubState } from '../edition/compiled.ts'
import type { Act } from '../safety/act.ts'
import { foldTub } from '../safety/tub.ts'
import { evidenceStands } from './evidence.ts'
import { own, stepOfKey } from './lookup.ts'
import { endOfKey } from './place.ts'
import type { JobState } from './state.ts'

/** Acts of one event, judged or remembered in order; `state` is the job before the event. */
export function actsOf(edition: Edition, state: JobState, event: JobEvent): readonly Act[] {
  switch (event.type) {
    case 'answer-given':
      return [...waterActs(state, event), stepAct(edition, state, event)].filter((act) => act !== undefined)
    case 'answer-changed':
      return waterActs(state, event)
    case 'powered':
      return [{ act: 'power', to: event.body.to }]
    case 'covered':
      return [{ act: 'covers', to: event.body.to }]
    case 'lock-put':
      return [{ act: 'lock', owner: event.body.owner }]
    case 'lock-taken':
      return [{ act: 'unlock', owner: event.body.owner, by: event.by.person, ordered: event.body.by_order_of !== undefined }]
    case 'proof-made':
      return [{ act: 'proof', ...event.body, signed: signedOf(state, event.body.prover).includes('absence-of-voltage') }]
    case 'proof-lapsed':
      return [{ act: 'lapse' }]
    case 'gfci-tested':
      return [{ act: 'gfci', result: event.body.result }]
    case 'water-cleared':
      return [{ act: 'water-clear' }]
    case 'marked':
      return [{ act: 'mark', mark: event.body.mark }]
    case 'unmarked':
      return [{ act: 'unmark', mark: event.body.mark }]
    case 'part-removed':
      return [{ act: 'part-out', part: event.body.part }]
    case 'part-fitted':
      return [{ act: 'part-in', part: event.body.part, trial: event.body.trial, evidence: fitEvidence(edition, state, event.body.part) }]
    default:
      return peopleActs(state, event)
  }
}

function peopleActs(state: JobState, event: JobEvent): readonly Act[] {
  switch (event.type) {
    case 'person-joined':
      return [{ act: 'joined', person: event.body.person.id, onSite: event.body.on_site }]
    case 'person-left':
      return [{ act: 'left', person: event.body.person }]
    case 'tub-handed':
      return [{ act: 'handed', to: event.body.to }]
    case 'arrived':
      return [{ act: 'arrived', person: event.by.person }]
    case 'hazard-seen':
      return [{ act: 'hazard', hazard: event.body.hazard }]
    case 'hazard-cleared':
      return [{ act: 'cleared', hazard: event.body.hazard, how: event.body.how, by: event.by.role }]
    case 'reset-used':
      return [{ act: 'reset', by: event.body.role }]
    case 'job-ended':
      return [
        {
          act: 'end',
          ending: event.body.ending as Ending,
          tub: event.body.tub as TubState,
          guard: event.body.guard !== undefined,
          onSite: state.tub.onSite.length > 0,
        },
      ]
    default:
      return []
  }
}

function signedOf(state: JobState, person: string): readonly SignOff[] {
  return own(state.people, person)?.signed ?? []
}

function waterActs(state: JobState, event: JobEvent): Act[] {
  const water = foldTub(state.tub, event).water
  return water === undefined || water === state.tub.water ? [] : [{ act: 'water', degC: water.degC }]
}

function stepAct(edition: Edition, state: JobState, event: Extract<JobEvent, { type: 'answer-given' }>): Act | undefined {
  if (event.body.auto !== undefined) return undefined
  return actOfStep(edition, state, event.body.key, event.by.person, event.body.outcome)
}

/** The act that answering a step with an outcome is. */
export function actOfStep(edition: Edition, state: JobState, key: string, person: string, outcome: string): Act | undefined {
  const { block, step: stepId } = endOfKey(key)
  const step = stepOfKey(edition, key)
  if (step === undefined) return undefined
  return {
    act: 'step',
    block,
    step: stepId,
    kind: step.kind,
    needs: step.needs,
    at: step.at,
    hands: step.hands,
    starts: step.starts !== undefined,
    testsGfci: Object.values(step.outcomes).some((one) => one.effects?.some((effect) => effect.do === 'gfci')),
    tools: step.tools,
    person,
    role: own(state.people, person)?.role ?? 'homeowner',
    signed: signedOf(state, person),
    done: outcome !== 'not-done' && outcome !== 'otherwise',
  }
}

/** The evidence of the `fit` step that stands on top now. */
function fitEvidence(edition: Edition, state: JobState, part: string): boolean {
  const frame = state.path.frames.at(-1)
  const last = state.path.trail.at(-1)
  const places = [
    frame === undefined ? undefined : { block: frame.block, step: frame.step },
    last === undefined ? undefined : endOfKey(last),
  ]
  for (const place of places) {
    const fit = place === undefined ? undefined : edition.blocks[place.block]?.steps[place.step]?.fit
    if (fit?.part === part) return fit.consumable || evidenceStands(state, fit.evidence, part)
  }
  return false
}
