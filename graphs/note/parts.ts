// Parts in, with the evidence they were fitted on, and parts out, with the place where they lie.
// Which evidence a part needs is said by the step that fits it.
import type { JobEvent } from '../contract/index.ts'
import type { Edition } from '../edition/compiled.ts'
import { evidenceLines } from '../engine/evidence.ts'
import { endOfKey } from '../engine/place.ts'
import type { JobState } from '../engine/state.ts'
import type { Answer } from './answers.ts'
import type { NotePartIn, NotePartOut } from './note-data.ts'
import { resultsBefore, resultWords } from './results.ts'

export const NO_LOCATION = 'location not recorded'
export const NO_EVIDENCE = 'No evidence is recorded for this part.'

export function partsIn(edition: Edition, state: JobState, events: readonly JobEvent[], answers: readonly Answer[]): readonly NotePartIn[] {
  const list: NotePartIn[] = []
  let key = ''
  for (const event of events) {
    if (event.type === 'answer-given' || event.type === 'answer-changed') key = event.body.key
    if (event.type !== 'part-fitted') continue
    const { part, trial } = event.body
    const consumable = edition.parts[part]?.consumable ?? false
    const found = evidenceOf(edition, state, answers, key, part)
    list.push({
      part,
      label: edition.parts[part]?.label ?? part,
      at: event.at,
      trial,
      consumable,
      evidence:
        found.evidence.length > 0 ? found.evidence : [consumable ? 'Used up on the way: needs no verdict of its own.' : NO_EVIDENCE],
      rivals: found.rivals,
    })
  }
  return list
}

type Evidence = { readonly evidence: string[]; readonly rivals: string[] }

function evidenceOf(edition: Edition, state: JobState, answers: readonly Answer[], key: string, part: string): Evidence {
  const { block, step: stepId } = endOfKey(key)
  const fit = edition.blocks[block]?.steps[stepId]?.fit
  const index = answers.findLastIndex((answer) => answer.key === key)
  if (fit === undefined || fit.part !== part || index === -1) return { evidence: [], rivals: [] }
  const then: JobState = { ...state, path: { ...state.path, results: resultsBefore(edition, state, answers, index) } }
  const { for: lines, rivals } = evidenceLines(then, fit.evidence)
  const words = (named: string): string => {
    const [test = '', outcome = ''] = named.split('=')
    return resultWords(edition, { test, outcome })
  }
  return {
    evidence: lines.filter((line) => line.stands).map((line) => words(line.named)),
    rivals: rivals.map((rival) => {
      const label = edition.faults[rival.fault]?.label ?? rival.fault
      return rival.untested ? `${label}: untested` : `${label}: ruled out by ${rival.ruledOutBy.map(words).join(' and ')}`
    }),
  }
}

/** Field of a text form that says where the part taken out before it lies. */
const LIES_AT = 'lies-at'

export function partsOut(edition: Edition, state: JobState): readonly NotePartOut[] {
  return state.tub.partsOut.map(({ part, where, at }, index, all) => ({
    part,
    label: edition.parts[part]?.label ?? part,
    at,
    where: where !== '' ? where : (placeWritten(state, at, all[index + 1]?.at ?? Infinity) ?? NO_LOCATION),
  }))
}

/** What was written about a removed part before the next one came out. */
function placeWritten(state: JobState, from: number, until: number): string | undefined {
  for (const key of state.path.trail) {
    const entry = state.path.entries[key]
    if (entry === undefined || entry.at < from || entry.at >= until || entry.form?.form !== 'text') continue
    const place = entry.form.fields[LIES_AT]?.trim()
    if (place !== undefined && place !== '') return place
  }
  return undefined
}
