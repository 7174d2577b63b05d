// The lockout record: switched off and on, locks on and off and whose, every pair measured at every place, and when a proof ended.
// Whether hands may go in is safety's; here it is only written down.
import type { JobEvent } from '../contract/index.ts'
import type { Edition, HandPlace } from '../edition/compiled.ts'
import { expandedOf } from '../trade/instrument.ts'
import { parseReading } from '../trade/quantity.ts'
import { DEAD_LIMIT } from '../trade/supply.ts'
import type { JobState } from '../engine/state.ts'
import { answerWords, pairWords, PLACE_WORDS, typedWords, unitsOfShop } from '../engine/words.ts'
import { nameOf } from './answers.ts'
import type { Answer } from './answers.ts'
import type { NoteLine, NoteLockout, NoteProof, TimedLine } from './note-data.ts'

const LAPSE_WORDS = {
  energized: 'power came back',
  left: 'its prover left the site',
  'handed-over': 'the tub was handed over',
  paused: 'the pause was too long',
  withdrawn: 'the answer was taken back',
  'lock-off': 'the lock came off',
} as const

export function lockoutOf(edition: Edition, state: JobState, events: readonly JobEvent[], answers: readonly Answer[]): NoteLockout {
  const steps: TimedLine[] = []
  for (const event of events) {
    const what = stepWords(state, event)
    // The same thing said by two steps in a row is one thing.
    if (what !== undefined && steps.at(-1)?.what !== what) steps.push({ at: event.at, what, by: nameOf(state, event.by.person) })
  }
  return {
    steps,
    proofs: answers.flatMap((answer) => proofOf(edition, state, answer)),
    locksNow: state.tub.locks.map((lock) => `${sentenceOf(nameOf(state, lock.owner))}, at the ${lock.point}`),
  }
}

function stepWords(state: JobState, event: JobEvent): string | undefined {
  switch (event.type) {
    case 'powered':
      return event.body.to === 'unknown' ? 'Power not known' : `Power ${event.body.to}`
    case 'covered':
      return event.body.to === 'off' ? 'Electrical cover off' : 'Electrical covers on'
    case 'lock-put':
      return `Lock of ${nameOf(state, event.body.owner)} on, at the ${event.body.point}`
    case 'lock-taken': {
      const order = event.body.by_order_of === undefined ? '' : `, by order of ${nameOf(state, event.body.by_order_of)}`
      return `Lock of ${nameOf(state, event.body.owner)} off${order}`
    }
    case 'proof-made': {
      const watched = event.body.witnesses.map((person) => nameOf(state, person))
      const places = event.body.places.map((place) => (PLACE_WORDS[place as HandPlace] ?? place).toLowerCase()).join(', ')
      return `Proved dead: ${places}${watched.length === 0 ? '' : `; watched by ${watched.join(', ')}`}`
    }
    case 'proof-lapsed': {
      const limit = event.body.limit_minutes === undefined ? '' : ` (limit ${event.body.limit_minutes} min)`
      return `Proof of dead ended: ${LAPSE_WORDS[event.body.reason]}${limit}`
    }
    case 'leads-set':
      return event.body.to === 'capped' ? 'Heater leads off and capped' : 'Heater leads on'
    default:
      return undefined
  }
}

function proofOf(edition: Edition, state: JobState, answer: Answer): NoteProof[] {
  const { entry, step, struck } = answer
  const form = entry.form
  if (form?.form !== 'pairs') return []
  const byPlace = new Map<string, NoteLine[]>()
  for (const [name, reading] of Object.entries(form.volts)) {
    const [place = '', ...pair] = name.split(':')
    const label = PLACE_WORDS[place as HandPlace] ?? place
    byPlace.set(label, [...(byPlace.get(label) ?? []), { label: pair.join(':'), value: typedWords(reading) }])
  }
  return [
    {
      at: entry.at,
      by: nameOf(state, entry.person),
      result: answerWords(edition, step, entry, unitsOfShop(state)),
      testerBefore: form.tester_before,
      testerAfter: form.tester_after,
      places: [...byPlace].map(([place, pairs]) => ({ place, pairs })),
      struck: struck !== undefined,
    },
  ]
}

/**
 * Pairs that showed voltage where the tub was to be proved dead: 3 V or more, or 3 V inside the error, as the proof judges it.
 *
 * Shape:  "Feed terminals, L1-N" and the reading as typed, of the last such answer ever given: a change takes no voltage back.
 */
export function voltageFound(state: JobState, answers: readonly Answer[]): readonly NoteLine[] {
  if (state.tub.hazards.voltage === undefined) return []
  return answers.map(voltageOn).findLast((pairs) => pairs.length > 0) ?? []
}

function voltageOn(answer: Answer): NoteLine[] {
  const form = answer.entry.form
  if (form?.form !== 'pairs' || answer.entry.outcome !== 'voltage') return []
  return Object.entries(form.volts).flatMap(([name, typed]) => {
    const reading = parseReading({ ...typed, quantity: 'voltage' })
    if (!reading.ok || Math.abs(reading.value.si) + expandedOf(reading.value) < DEAD_LIMIT) return []
    return [{ label: pairWords(name), value: typedWords(typed) }]
  })
}

function sentenceOf(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}
