// After every command the job comes to rest: decide steps answer themselves, standing results are taken over, needed procedures are put on top, endings end.
// One turn at a time until a person has to do something.
import type { Need } from '../edition/compiled.ts'
import { handGateShut, placesNotProved, waterIsClear, isLocked } from '../safety/power.ts'
import { push, refuse } from './draft.ts'
import type { Draft } from './draft.ts'
import { writeAnswer } from './effects.ts'
import { caseThatHolds, standingResult } from './lasting.ts'
import { here, personOf, refusal } from './offer.ts'
import type { Here, Person } from './offer.ts'
import { isPutTooOften, isStoppedTooOften } from './stopping.ts'
import { CAUSES, testName } from './walk.ts'

/** More turns than any edition can need; a longer chain is a fault of the program. */
const TURNS = 400

export function settle(draft: Draft): void {
  for (let turn = 0; turn < TURNS; turn += 1) {
    if (draft.refused !== undefined || draft.state.ended !== undefined) return
    const at = here(draft.edition, draft.state)
    if (at === undefined || !oneTurn(draft, at)) return
  }
  throw new Error(`the job does not come to rest at ${here(draft.edition, draft.state)?.key ?? 'nowhere'}`)
}

/** True when something was written and the job may go on by itself. */
function oneTurn(draft: Draft, at: Here): boolean {
  const before = draft.events.length
  const { step, key } = at
  if (step.kind === 'finish' || step.kind === 'refer') end(draft, at)
  else if (step.kind === 'decide') {
    const outcome = caseThatHolds(draft.state, step.cases ?? [])
    writeAnswer(draft, { key, step: step.id, outcome, auto: 'decided' }, step.outcomes[outcome], [])
  } else if (!takeStandingResult(draft, at)) prepare(draft, at)
  return draft.events.length > before
}

function end(draft: Draft, at: Here): void {
  const { finish, refer } = at.step
  const closing = finish ?? refer
  if (closing === undefined) return
  const guard = 'guard' in closing ? closing.guard : undefined
  const reason = finish?.reason ?? refer?.to
  push(draft, 'job-ended', {
    ending: closing.ending,
    tub: closing.tub,
    step: at.key,
    ...(reason === undefined ? {} : { reason }),
    ...(guard === undefined ? {} : { guard }),
  })
  if (draft.refused?.code !== 'JOB_SAFETY') return
  // An ending that a rule forbids is never reached: the job is stopped in order instead. No way leads here again from the second stop.
  const stop = draft.edition.interrupts.stop.block
  if (at.frames.some((frame) => frame.block === stop) || isStoppedTooOften(draft.state.path, at.key)) return
  delete draft.refused
  push(draft, 'procedure-put', { key: at.key, block: stop, cause: 'stop' })
}

/** A call of a test card whose result still lasts is answered by it. */
function takeStandingResult(draft: Draft, at: Here): boolean {
  const caller = at.frames.at(-2)
  const block = draft.edition.blocks[at.frame.block]
  if (caller === undefined || block?.kind !== 'test' || at.frame.put !== undefined) return false
  if (at.frame.step !== block.start || at.frame.visit !== 1) return false
  const call = draft.edition.blocks[caller.block]?.steps[caller.step]?.call
  if (call === undefined || call.fresh) return false
  const result = standingResult(draft.edition, draft.state, testName(block.id), draft.now)
  if (result === undefined) return false
  if (draft.state.path.puts[at.key] !== undefined) return false
  const arrow = draft.edition.blocks[caller.block]?.steps[caller.step]?.outcomes[result.outcome]
  writeAnswer(draft, { key: caller.key, step: caller.step, outcome: result.outcome, auto: 'still-stands' }, arrow, [])
  return true
}

/** Whoever does the step next: the one who speaks, the one who holds the tub, anybody at it, anybody who has joined. */
function nextPerson(draft: Draft, at: Here): Person | undefined {
  const { tub, people } = draft.state
  const names = [draft.envelope.person, ...(tub.holder === undefined ? [] : [tub.holder.person]), ...tub.onSite, ...Object.keys(people)]
  for (const name of names) {
    const person = personOf(draft.state, name)
    if (person !== undefined && refusal(draft.state, person, at) === undefined) return person
  }
  return undefined
}

/** Puts what the step needs on top of it, for the person who does it, whoever moved the job. */
function prepare(draft: Draft, at: Here): void {
  const person = nextPerson(draft, at)
  if (person === undefined) return
  if (at.step.hands === 'water' && person.onSite && handGateShut(draft.state.tub) && at.step.outcomes['not-done'] !== undefined) {
    const body = { key: at.key, step: at.step.id, outcome: 'not-done', reason: 'hand-gate-shut', auto: 'gate-shut' } as const
    writeAnswer(draft, body, at.step.outcomes['not-done'], [])
    return
  }
  const need = needNow(draft, at, person)
  if (need !== undefined) put(draft, at, need)
  else if (at.step.kind === 'wait' && draft.state.waits[at.key] === undefined) {
    push(draft, 'wait-begun', { key: at.key, until: draft.now + (at.step.wait?.minutes ?? 0) * 60_000 })
  }
}

type Cause = keyof typeof CAUSES

function needNow(draft: Draft, at: Here, person: Person): Cause | undefined {
  const { tub } = draft.state
  const { step } = at
  const unmet = step.needs === 'live-open' ? unmetGate(draft, at) : unmetNeed(draft, step.needs, step.at, person)
  if (unmet !== undefined) return unmet
  return step.starts !== undefined && !waterIsClear(tub, draft.now) ? 'water-clear' : undefined
}

function unmetNeed(draft: Draft, needs: Need, places: Here['step']['at'], person: Person): Cause | undefined {
  const { tub } = draft.state
  switch (needs) {
    case 'dead': {
      if (placesNotProved(tub, person.id, places).length === 0) return undefined
      const proved =
        isLocked(tub) && tub.proofs.some((proof) => proof.prover === person.id) && tub.locks.some((lock) => lock.owner === person.id)
      return proved ? 'prove' : 'dead'
    }
    case 'live-shut':
      return tub.energy === 'on' && tub.covers === 'on' && !isLocked(tub) ? undefined : 'live-shut'
    case 'shut':
      return tub.covers === 'on' || !person.onSite ? undefined : 'live-shut'
    default:
      return undefined
  }
}

/** The gate of this very step was passed, and the tub is as the gate left it: energized, cover off. */
function unmetGate(draft: Draft, at: Here): Cause | undefined {
  const { path, tub } = draft.state
  const passed = (path.puts[at.key] ?? []).slice(0, path.putsDone[at.key] ?? 0).some((one) => one.cause === 'live-open')
  return passed && tub.energy === 'on' && tub.covers === 'off' ? undefined : 'live-open'
}

function put(draft: Draft, at: Here, cause: Cause): void {
  const { edition } = draft
  const { path } = draft.state
  const standing = edition.standing[CAUSES[cause]]
  // Inside the very procedure that brings the need about nothing is put again: its own steps lead there.
  if (at.frames.some((frame) => frame.block === standing.block)) return
  if (!isPutTooOften(path, at.key, cause)) return push(draft, 'procedure-put', { key: at.key, block: standing.block, cause })
  if (!isStoppedTooOften(path, at.key))
    return push(draft, 'procedure-put', { key: at.key, block: edition.interrupts.stop.block, cause: 'stop' })
  refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'This was tried too often here. End the job for today.' })
}
