// A job under way goes over to a newer edition: its recorded answers are walked anew on it, none is judged again.
// What the shells hold of editions is theirs; how a log of several editions is folded is engine.ts.
import type { CommandOf } from '../contract/index.ts'
import type { Edition } from '../edition/compiled.ts'
import type { Problem } from '../result.ts'
import { push } from './draft.ts'
import type { Draft } from './draft.ts'
import { own } from './lookup.ts'
import { framesOfKey } from './place.ts'
import type { JobState } from './state.ts'

/**
 * Why this edition cannot take the job over, or nothing.
 *
 * Shape:  the edition to go to, the job on the edition it stands on.
 * Errors: JOB_NOT_CARRIED with `details.gone`: steps, answers or procedures of the job that the edition no longer has.
 */
export function carryRefusal(edition: Edition, state: JobState, command: CommandOf<'carry-over'>): Problem | undefined {
  if (command.to !== edition.number || edition.number <= state.edition)
    return { code: 'JOB_NOT_CARRIED', message: `This job stands on edition ${state.edition}. It goes on to a newer one only.` }
  const gone = goneFrom(edition, state)
  if (gone.length === 0) return undefined
  return {
    code: 'JOB_NOT_CARRIED',
    message: `Edition ${edition.number} no longer has what this job has answered. Finish the job on edition ${state.edition}.`,
    details: { gone },
  }
}

/** Moves the job, and says which answers the new edition's way no longer comes by. The tub stays as it is. */
export function carryOver(draft: Draft): void {
  const { path } = draft.state
  const trail = new Set(draft.walker.again(path).trail)
  push(draft, 'job-carried-over', {
    from: draft.state.edition,
    to: draft.edition.number,
    off: path.trail.filter((key) => !trail.has(key)),
  })
}

/** What the job went through and the edition does not know, by name: `block.step` or `block.step=outcome` or a block. */
function goneFrom(edition: Edition, { path, flow }: JobState): string[] {
  const stepOf = (block: string, step: string) => own(own(edition.blocks, block)?.steps ?? {}, step)
  const begun = [{ block: flow, step: own(edition.blocks, flow)?.start ?? '' }, ...path.segments]
  const keys = [...Object.keys(path.entries), ...Object.keys(path.puts)]
  const places = [...begun, ...keys.flatMap((key) => framesOfKey(key)), ...path.frames]
  const steps = places.filter(({ block, step }) => stepOf(block, step) === undefined).map(({ block, step }) => `${block}.${step}`)
  const answers = Object.values(path.entries).flatMap(({ key, outcome }) => {
    const { block, step } = framesOfKey(key).at(-1) ?? { block: '', step: '' }
    const found = stepOf(block, step)
    return found === undefined || own(found.outcomes, outcome) !== undefined ? [] : [`${block}.${step}=${outcome}`]
  })
  const blocks = Object.values(path.puts).flatMap((puts) =>
    puts.flatMap(({ block }) => (own(edition.blocks, block) === undefined ? [block] : [])),
  )
  return [...new Set([...steps, ...answers, ...blocks])]
}
