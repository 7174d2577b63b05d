// The people of a job: a desk on the phone and a technician at the tub, who answer every step from what the model shows them.
// They follow the program and do not know which fault was put in.
import type { Person, StepView } from '#graphs/contract'
import { pass } from '../model/index.ts'
import { nameOf } from './driver.ts'
import type { Given, Player, Refusal } from './driver.ts'
import { FITTED, INSIDE_ANSWERS } from './inside-answers.ts'
import { PHONE_ANSWERS } from './phone-answers.ts'
import type { Answers } from './phone-answers.ts'
import { PLAIN_ANSWERS, plainForm } from './plain-answers.ts'
import { PROOF_ANSWERS } from './proof-answers.ts'
import { tick } from './scene.ts'
import type { Scene } from './scene.ts'
import { SITE_ANSWERS } from './site-answers.ts'

const DESK: Person = { id: 'desk-robin', name: 'Robin', role: 'dispatcher', signed: [] }
const TECH: Person = { id: 'tech-sasha', name: 'Sasha', role: 'technician', signed: ['absence-of-voltage'] }

const ANSWERS: Answers = { ...PHONE_ANSWERS, ...SITE_ANSWERS, ...INSIDE_ANSWERS, ...PROOF_ANSWERS }
const SIXTY_S = 60

export type Work = Player & {
  /** Steps that no table knew. */
  readonly unmapped: ReadonlySet<string>
}

export function createPeople(scene: Scene, complaint: string): Work {
  const unmapped = new Set<string>()
  let phone = scene.traits.phoneFirst
  const person = (): Person => (phone ? DESK : TECH)
  return {
    unmapped,
    person,
    opening: () => ({ complaint, words: 'The water is far too hot.', person: person() }),
    begin: () => {
      if (phone) return []
      scene.onSite = true
      return [{ type: 'arrive' }]
    },
    answer: (step) => {
      tick(scene)
      const startS = scene.tub.clockS
      const given = answerOf(scene, step, unmapped)
      spend(scene, step, startS)
      tick(scene)
      return given
    },
    accepted: (step, given) => {
      if (given.outcome === 'fitted') FITTED[nameOf(step)]?.(scene, step)
    },
    again: (step, problem, given) => otherAnswer(step, problem, given),
    stuck: (view) => {
      if (!phone) throw new Error(`nobody here can go on: ${JSON.stringify(view.waiting)}`)
      // The visit: hours later the technician stands at the tub.
      phone = false
      scene.onSite = true
      pass(scene.tub, scene.traits.travelHours * 60)
      tick(scene)
      return [
        { person: TECH, command: { type: 'join', person: TECH, on_site: false } },
        { person: TECH, command: { type: 'arrive' } },
      ]
    },
  }
}

function answerOf(scene: Scene, step: StepView, unmapped: Set<string>): Given {
  const name = nameOf(step)
  const known = ANSWERS[name]?.(scene, step)
  if (known !== undefined) return typeof known === 'string' ? { outcome: known } : known
  const form = plainForm(step)
  if (form !== undefined) return form
  const plain = PLAIN_ANSWERS[name]
  if (plain !== undefined) return { outcome: plain }
  unmapped.add(name)
  if (step.kind === 'wait') return { outcome: 'done' }
  throw new Error(`${name} is in no table: ${step.outcomes.map((one) => one.outcome).join(', ')}`)
}

/** Work takes the time that the step says; a wait lasts until it is over. */
function spend(scene: Scene, step: StepView, startS: number): void {
  if (step.until !== undefined) {
    const leftS = (step.until - scene.clock.now) / 1000
    if (leftS > 0) pass(scene.tub, leftS / SIXTY_S + 0.1)
    return
  }
  const spentS = scene.tub.clockS - startS
  const leftS = step.minutes * SIXTY_S - spentS
  // Nothing that starts is left standing: the answer comes as soon as it was seen.
  if (leftS > 0 && step.starts === undefined) pass(scene.tub, leftS / SIXTY_S)
}

/** A doubtful number was looked at again and is meant; a step that cannot be done so is left undone. */
function otherAnswer(step: StepView, problem: Refusal, given: Given): Given | undefined {
  if (problem.code === 'CALC_READING_DOUBTFUL' && given.sure === undefined && given.readings !== undefined) return { ...given, sure: true }
  if (!step.can_not_do || given.not_done !== undefined) return undefined
  return { not_done: 'not-known' }
}
