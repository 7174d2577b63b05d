// Interruptions: stop, a red flag, a test out of turn. Each puts a procedure of the edition on top of the present place.
// Where those procedures lead is the edition's.
import type { CommandOf } from '../contract/index.ts'
import { push, refuse } from './draft.ts'
import type { Draft } from './draft.ts'
import { own } from './lookup.ts'
import { here, partNow } from './offer.ts'

export function stop(draft: Draft): void {
  const at = here(draft.edition, draft.state)
  const { block } = draft.edition.interrupts.stop
  if (at === undefined) return refuse(draft, { code: 'JOB_PLACE_GONE', message: 'There is no step to stop at.' })
  if (at.frames.some((frame) => frame.block === block))
    return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'The job is being stopped already. Go on with the step shown.' })
  push(draft, 'procedure-put', { key: at.key, block, cause: 'stop' })
}

export function redFlag(draft: Draft, command: CommandOf<'red-flag'>): void {
  const flag = draft.edition.red_flags.find((one) => one.slug === command.flag)
  if (flag === undefined)
    return refuse(draft, {
      code: 'JOB_ANSWER_NOT_OFFERED',
      message: 'Pick the red flag from the list.',
      details: { offered: draft.edition.red_flags.map((one) => one.slug) },
    })
  if (flag.hazard !== undefined && draft.state.tub.hazards[flag.hazard] === undefined) {
    push(draft, 'hazard-seen', { hazard: flag.hazard, ...(command.words === undefined ? {} : { words: command.words }) })
  }
  // Whatever was read before, nobody bathes on it now.
  push(draft, 'unmarked', { mark: 'water' })
  if (draft.state.ended !== undefined) push(draft, 'job-reopened', { why: flag.slug })
  const at = here(draft.edition, draft.state)
  if (at === undefined || at.frames.some((frame) => frame.block === flag.put)) return
  push(draft, 'procedure-put', { key: at.key, block: flag.put, cause: 'red-flag', flag: flag.slug })
}

/** A test out of turn, never before red flags, inside make dead, or while a repair is being proved. */
export function takeTest(draft: Draft, command: CommandOf<'take-test'>): void {
  const block = own(draft.edition.blocks, command.test)
  const at = here(draft.edition, draft.state)
  if (block?.kind !== 'test')
    return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'There is no such test card.', details: { test: command.test } })
  const who = own(block.steps, block.start)?.who ?? []
  if (!who.includes(draft.envelope.role))
    return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: `This test is for: ${who.join(', ')}.` })
  if (at === undefined || partNow(draft.edition, draft.state) !== 'find' || at.frames.some((frame) => frame.put !== undefined)) {
    return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'A test out of turn waits until the present procedure is done.' })
  }
  push(draft, 'procedure-put', { key: at.key, block: block.id, cause: 'test' })
}
