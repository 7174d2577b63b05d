// When the program stops a job by itself, and when no way leads back from such a stop: a job always comes to its end.
// Stops that people ask for are interrupt.ts; what is put on a place is settle.ts.
import type { Edition, Step } from '../edition/compiled.ts'
import type { Frame, Path } from './state.ts'
import { CAUSES } from './walk.ts'

/** So often the same procedure may be put on one place; then the job is stopped in order. */
const PUTS = 6
/** So often the job is stopped at a place that it cannot get past; from the last stop it goes on to an ending only. */
const STOPS = 2

function putsOf(path: Path, key: string, cause: string): number {
  return (path.puts[key] ?? []).filter((one) => one.cause === cause).length
}

export function isPutTooOften(path: Path, key: string, cause: string): boolean {
  return putsOf(path, key, cause) >= PUTS
}

export function isStoppedTooOften(path: Path, key: string): boolean {
  return putsOf(path, key, 'stop') >= STOPS
}

/** Whether an answer of the stop leads back to a place where the job would only be stopped again. */
export function leadsNowhere(
  edition: Edition,
  path: Path,
  { frames, step }: { frames: readonly Frame[]; step: Step },
  name: string,
): boolean {
  const { block, exits } = edition.interrupts.stop
  const below = frames.at(-2)
  const to = step.outcomes[name]?.to ?? ''
  if (below === undefined || frames.at(-1)?.block !== block || !to.startsWith('exit:') || exits[to.slice(5)] !== 'return') return false
  return isStoppedTooOften(path, below.key) && cannotGetPast(edition, path, below)
}

/** An ending is never stood at, so every stop on it came from a refusal. */
function cannotGetPast(edition: Edition, path: Path, { block, step, key }: Frame): boolean {
  const here = edition.blocks[block]?.steps[step]
  if (here?.finish !== undefined || here?.refer !== undefined) return true
  return Object.keys(CAUSES).some((cause) => isPutTooOften(path, key, cause))
}
