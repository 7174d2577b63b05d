// Every reading of the job with its expected range, verdict, instrument and power state; and the rows of the path.
// Nothing is judged again: the verdict stands as it was given.
import type { StoredVerdict } from '../contract/index.ts'
import type { Edition, ReadingSpec } from '../edition/compiled.ts'
import type { JobState } from '../engine/state.ts'
import { answerWords, POWER_WORDS, typedList, unitsOfShop } from '../engine/words.ts'
import { INSTRUMENTS } from '../trade/instrument.ts'
import { fillText, formatQuantity } from '../trade/placeholder.ts'
import type { ShopUnits } from '../trade/placeholder.ts'
import type { Quantity } from '../trade/verdict.ts'
import { nameOf, stepName } from './answers.ts'
import type { Answer } from './answers.ts'
import type { NotePathRow, NoteReading } from './note-data.ts'

export function readingsOf(edition: Edition, state: JobState, answers: readonly Answer[]): readonly NoteReading[] {
  const units = unitsOfShop(state)
  return answers.flatMap((answer) => {
    const { entry, step, struck } = answer
    if (struck !== undefined || (entry.readings === undefined && entry.verdict === undefined)) return []
    // Pairs are listed whole in the lockout record.
    const typed = entry.form?.form === 'pairs' ? [] : typedList(step, entry)
    const { verdict } = entry
    return [
      {
        at: entry.at,
        rail: entry.power,
        title: titleOf(edition, answer, units),
        typed,
        range: verdict === undefined ? '' : rangeWords(verdict, units),
        verdict: answerWords(edition, step, entry, units),
        reason: verdict === undefined ? '' : fillText(verdict.reason, units),
        instrument: instrumentsOf(step.readings ?? [], answer),
        power: POWER_WORDS[entry.power],
        ...(verdict === undefined ? {} : { mark: verdict.mark }),
        ...(verdict?.direction === undefined ? {} : { direction: verdict.direction }),
      },
    ]
  })
}

/** A card of one step is called by the name of the card, else by the step. */
function titleOf(edition: Edition, answer: Answer, units: ShopUnits): string {
  const block = edition.blocks[answer.block]
  const alone = block !== undefined && block.kind === 'test' && Object.keys(block.steps).length === 1
  return fillText(alone ? block.title : answer.step.title, units)
}

/** "expected 5.6 to 6.5 °F/h"; where a stretch is the bad one, it is named so. */
export function rangeWords(verdict: StoredVerdict, units: ShopUnits): string {
  return verdict.bands.map((band) => `${band.label}: ${endsWords(band, verdict.quantity as Quantity, units)}`).join('; ')
}

function endsWords(band: { low?: number; high?: number }, quantity: Quantity, units: ShopUnits): string {
  const show = (si: number): string => formatQuantity(quantity, si, units)
  if (band.low === undefined) return band.high === undefined ? 'any' : `up to ${show(band.high)}`
  return band.high === undefined ? `${show(band.low)} or more` : `${show(band.low)} to ${show(band.high)}`
}

function instrumentsOf(specs: readonly ReadingSpec[], answer: Answer): string {
  const labels = new Set<string>()
  for (const spec of specs) {
    const given = answer.entry.readings?.[spec.name]
    if (given === undefined) continue
    const slug = (Array.isArray(given) ? given[0] : given)?.instrument ?? spec.instrument
    const label = slug === undefined ? undefined : INSTRUMENTS[slug]?.label
    if (label !== undefined) labels.add(label)
  }
  const pairs = answer.entry.form?.form === 'pairs' ? Object.values(answer.entry.form.volts)[0]?.instrument : undefined
  if (pairs !== undefined) labels.add(INSTRUMENTS[pairs]?.label ?? pairs)
  return labels.size === 0 ? 'not recorded' : [...labels].join(', ')
}

/** Every answer on the path in order, struck ones among them; what the program decided by itself is marked. */
export function pathOf(edition: Edition, state: JobState, answers: readonly Answer[]): readonly NotePathRow[] {
  const units = unitsOfShop(state)
  return answers.map((answer) => {
    const { entry, step, struck } = answer
    return {
      at: entry.at,
      step: stepName(answer),
      title: fillText(step.title, units),
      answer: answerWords(edition, step, entry, units),
      typed: typedList(step, entry),
      by: nameOf(state, entry.person),
      power: entry.power,
      ...(entry.verdict === undefined ? {} : { mark: entry.verdict.mark }),
      ...(entry.verdict?.direction === undefined ? {} : { direction: entry.verdict.direction }),
      ...(entry.words === undefined || entry.words === '' ? {} : { words: entry.words }),
      ...(entry.auto === undefined ? {} : { auto: entry.auto }),
      ...(struck === undefined ? {} : { struck }),
    }
  })
}
