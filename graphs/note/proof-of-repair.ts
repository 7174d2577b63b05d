// What was watched after the repair: GFCI, flow, rise, display, heat off, demand cycled, settings, hold. What is missing is said as well.
// Whether that is enough to end a job is the edition's.
import type { Edition } from '../edition/compiled.ts'
import type { JobState } from '../engine/state.ts'
import { answerWords, typedList, unitsOfShop } from '../engine/words.ts'
import type { Answer } from './answers.ts'
import { stepName } from './answers.ts'
import { asLines } from './as-found.ts'
import type { NoteCheck } from './note-data.ts'

type Row = {
  readonly what: string
  /** Steps of the proof that show it, by name; the last one that was answered counts. */
  readonly steps: readonly string[]
  /** Outcomes that mean it held. */
  readonly good: readonly string[]
  /** The mark that says it still holds. */
  readonly mark?: string
}

const ROWS: readonly Row[] = [
  { what: 'GFCI test after the repair', steps: ['gfci'], good: ['trips-and-resets'], mark: 'gfci-passed-after' },
  { what: 'Configuration read back', steps: ['read-back', 'compare-switches'], good: ['same', 'match'] },
  { what: 'Every output walked', steps: ['outputs'], good: ['all-right'] },
  { what: 'Water moves', steps: ['circulation'], good: ['good'] },
  { what: 'Heat on: rise', steps: ['heat-on-short', 'heat-on-long'], good: ['near-table'] },
  { what: 'Display against thermometer', steps: ['display'], good: ['both-normal', 'both-high'] },
  { what: 'Heat off: holds', steps: ['heat-off-short', 'meter', 'heat-off-long'], good: ['holds', 'none'], mark: 'heat-off-held' },
  { what: 'Demand cycled three times', steps: ['demand-cycles'], good: ['follows'], mark: 'demand-cycled' },
  { what: 'Settings restored', steps: ['settings'], good: ['done'], mark: 'settings-restored' },
  { what: 'Hold at set point', steps: ['hold'], good: ['holds'], mark: 'hold-done' },
]

const NEEDED = ['gfci-passed-after', 'heat-off-held', 'demand-cycled', 'settings-restored', 'hold-done']

export function isProved(state: JobState): boolean {
  return NEEDED.every((mark) => state.tub.marks[mark] !== undefined)
}

/** Empty when no repair was put to the proof. */
export function proofOfRepair(edition: Edition, state: JobState, answers: readonly Answer[]): readonly NoteCheck[] {
  const proving = answers.filter((answer) => answer.struck === undefined && answer.key.includes('prove-the-repair.'))
  if (proving.length === 0) return []
  return ROWS.map((row) => checkOf(edition, state, proving, row))
}

function checkOf(edition: Edition, state: JobState, proving: readonly Answer[], row: Row): NoteCheck {
  const units = unitsOfShop(state)
  const answer = proving.findLast(({ key }) => row.steps.some((step) => endsUnder(key, `prove-the-repair.${step}`)))
  if (answer === undefined) return { what: row.what, state: 'not-done', detail: 'not done' }
  const { entry, step } = answer
  const outcome = entry.auto === 'still-stands' ? entry.outcome : outcomeOf(answer)
  const held = row.good.includes(outcome) && (row.mark === undefined || state.tub.marks[row.mark] !== undefined)
  const left = entry.outcome === 'not-done'
  const typed = asLines(typedList(step, entry))
  const label = exitLabel(edition, answer) ?? answerWords(edition, step, entry, units)
  return {
    what: row.what,
    state: left ? 'not-done' : held ? 'done' : 'failed',
    detail: typed === '' ? label : `${label} · ${typed}`,
    at: entry.at,
  }
}

/** The step itself, or the last step of the card it called; nothing that was put on top of it. */
function endsUnder(key: string, step: string): boolean {
  const at = key.lastIndexOf(step)
  if (at === -1) return false
  const rest = key.slice(at + step.length)
  return rest.startsWith('#') && !rest.includes('>+')
}

function outcomeOf(answer: Answer): string {
  const target = answer.step.outcomes[answer.entry.outcome]?.to ?? ''
  return !stepName(answer).startsWith('prove-the-repair.') && target.startsWith('exit:') ? target.slice(5) : answer.entry.outcome
}

/** A result that still stood is recorded under the step that asked for it: its words are those of the card. */
function exitLabel(edition: Edition, answer: Answer): string | undefined {
  const call = answer.step.call
  return call === undefined ? undefined : edition.blocks[call.block]?.exits[answer.entry.outcome]?.label
}
