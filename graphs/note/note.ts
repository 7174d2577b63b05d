// The job note as data: one record made from state, log and edition, from which four voices are printed.
// No clock, no layout; what the log does not say is said to be missing.
import type { JobEvent } from '../contract/index.ts'
import type { Edition } from '../edition/compiled.ts'
import { endOfKey } from '../engine/place.ts'
import type { JobState } from '../engine/state.ts'
import { ENDING_WORDS, factLabel, factWords, POWER_WORDS, sentence, TUB_WORDS, unitsOfShop } from '../engine/words.ts'
import { fillText } from '../trade/placeholder.ts'
import { answersOf, nameOf, stepName } from './answers.ts'
import type { Answer } from './answers.ts'
import { comparedOf, historyOf } from './as-found.ts'
import { causeOf, notTested, ruledOut } from './cause.ts'
import { customerNote } from './customer.ts'
import { lockoutOf, voltageFound } from './lockout.ts'
import type { NoteApproval, NoteData, NoteExtra, NoteRailPoint, TimedLine } from './note-data.ts'
import { partsIn, partsOut } from './parts.ts'
import { isProved, proofOfRepair } from './proof-of-repair.ts'
import { pathOf, readingsOf } from './readings.ts'
import { countedResults } from './results.ts'
import { cautionsOf, risksOf } from './risks.ts'

export type { CustomerNote, NoteData, NoteExtra } from './note-data.ts'

/**
 * Shape:  `(edition, state, events, extra)`; `state` is the fold of exactly these events on this edition. A job that is still open gives a note without ending.
 * Units:  times in ms since 1970; quantities as text in the shop's units, readings as typed.
 * Errors: none; what is not recorded is written as not recorded.
 * Source: the fields are those of the trade sheet, A4 and F1.
 */
export function noteData(edition: Edition, state: JobState, events: readonly JobEvent[], extra: NoteExtra = {}): NoteData {
  const answers = answersOf(edition, state, events)
  const results = countedResults(edition, state, answers)
  const cause = causeOf(edition, state, answers, results)
  const fitted = partsIn(edition, state, events, answers)
  const data = {
    version: 1 as const,
    job: jobOf(edition, state, events, extra),
    ...endingOf(edition, state),
    complaint: {
      label: edition.symptoms.find((one) => one.complaint === state.complaint)?.label ?? sentence(state.complaint),
      words: state.words,
    },
    tub: tubOf(state),
    history: historyOf(edition, state.path.flags).map((label) => fillText(label, unitsOfShop(state))),
    bypass: bypassOf(state, answers),
    cause,
    readings: readingsOf(edition, state, answers),
    ruledOut: ruledOut(edition, results, cause.state === 'found' ? cause.fault : undefined),
    notTested: notTested(edition, state, answers, results),
    partsIn: fitted,
    partsOut: partsOut(edition, state),
    switches: comparedOf(answers, 'switches'),
    conductors: comparedOf(answers, 'conductors'),
    loads: comparedOf(answers, 'loads'),
    settings: comparedOf(answers, 'settings'),
    lockout: lockoutOf(edition, state, events, answers),
    proved: isProved(state),
    proof: proofOfRepair(edition, state, answers),
    risks: risksOf(state, fitted),
    voltage: voltageFound(state, answers),
    cautions: cautionsOf(state),
    path: pathOf(edition, state, answers),
    people: Object.values(state.people).map(({ name, role, signed }) => ({
      name,
      role,
      signed: signed.map((one) => sentence(one).toLowerCase()),
    })),
    handovers: handoversOf(state, events),
    approvals: approvalsOf(edition, state, events),
    photos: state.photos.map((photo) => photo.name),
    rail: railOf(state, events),
  }
  return { ...data, customer: customerNote(state, answers, data) }
}

function jobOf(edition: Edition, state: JobState, events: readonly JobEvent[], extra: NoteExtra): NoteData['job'] {
  return {
    id: state.job,
    short: state.short,
    shop: extra.shop ?? '',
    practice: state.practice,
    flow: edition.blocks[state.flow]?.title ?? state.flow,
    opened: state.openedAt,
    last: state.lastAt,
    visits: events.flatMap((event) =>
      event.type === 'arrived' ? [{ visit: event.body.visit, at: event.at, by: nameOf(state, event.by.person) }] : [],
    ),
    edition: state.edition,
    editionHash: extra.editionHash ?? '',
    ...carriedOver(state, events),
    head: extra.head ?? '',
    link: extra.link ?? '',
  }
}

function carriedOver(state: JobState, events: readonly JobEvent[]): Pick<NoteData['job'], 'carried'> {
  const carried = events.flatMap((event) =>
    event.type === 'job-carried-over'
      ? [{ from: event.body.from, to: event.body.to, at: event.at, by: nameOf(state, event.by.person) }]
      : [],
  )
  return carried.length === 0 ? {} : { carried }
}

function endingOf(edition: Edition, state: JobState): Pick<NoteData, 'ending'> {
  if (state.ended === undefined) return {}
  const { ending, tub, at, step: key, reason, guard } = state.ended
  const { block, step } = endOfKey(key)
  const fill = (text: string): string => fillText(text, unitsOfShop(state))
  const closing = edition.blocks[block]?.steps[step]
  return {
    ending: {
      ending,
      words: ENDING_WORDS[ending],
      tub,
      tubWords: TUB_WORDS[tub],
      at,
      // A trouble of another kind is called by its title: the log holds the slug of its flow.
      reason: closing?.refer === undefined ? fill(reason ?? '') : `Passed on: ${fill(closing.title)}`,
      guard: fill(guard ?? ''),
      next: (closing?.says ?? []).map(fill),
      ...(state.confirmed === undefined ? {} : { confirmed: state.confirmed.held }),
    },
  }
}

function tubOf(state: JobState): NoteData['tub'] {
  const units = unitsOfShop(state)
  return Object.values(state.facts)
    .filter((fact) => fact.slug !== 'complaint' && fact.slug !== 'units')
    .map((fact) => ({ label: factLabel(fact.slug), value: factWords(fact, units), source: fact.source }))
}

/** What the look for bridged safety devices brought; a bridge ever seen on this job stays written here. */
function bypassOf(state: JobState, answers: readonly Answer[]): string {
  const { hazards, cleared } = state.tub
  if (hazards['bridged-device'] !== undefined) return 'A bridged safety device was found, and it stands.'
  if (cleared.some((one) => one.hazard === 'bridged-device')) return 'A bridged safety device was found and put right.'
  const look = answers.findLast((answer) => answer.struck === undefined && stepName(answer) === 'as-found-record.look')
  return look?.entry.outcome === 'neither' ? 'No bridged safety device was seen.' : 'Nobody looked for bridged safety devices.'
}

/** The rail with covers shut and power off told apart from power as found; states of no length are left out. */
function railOf(state: JobState, events: readonly JobEvent[]): NoteRailPoint[] {
  const switched = events.filter((event) => event.type === 'powered')
  const times = [...new Set([...state.rail.map((point) => point.at), ...switched.map((event) => event.at)])].toSorted((a, b) => a - b)
  const list: NoteRailPoint[] = []
  for (const at of times) {
    const power = state.rail.findLast((point) => point.at <= at)?.power ?? 'closed'
    const off = power === 'closed' && switched.findLast((event) => event.at <= at)?.body.to === 'off'
    const words = off ? 'Covers on, power off' : POWER_WORDS[power]
    if (list.at(-1)?.words !== words) list.push({ at, power, words })
  }
  return list
}

function handoversOf(state: JobState, events: readonly JobEvent[]): TimedLine[] {
  const list: TimedLine[] = []
  let holder: string | undefined
  for (const event of events) {
    if (event.type === 'person-left') {
      list.push({
        at: event.at,
        what: `${nameOf(state, event.body.person)} left the site (${sentence(event.body.reason).toLowerCase()})`,
        by: nameOf(state, event.by.person),
      })
    }
    if (event.type !== 'tub-handed') continue
    const from = holder === undefined || holder === event.body.to ? '' : ` from ${nameOf(state, holder)}`
    list.push({ at: event.at, what: `${nameOf(state, event.body.to)} takes the tub${from}`, by: nameOf(state, event.by.person) })
    holder = event.body.to
  }
  return list
}

/** An approval hangs on the answer that brought it: where that one was changed or taken back, it no longer stands. */
function approvalsOf(edition: Edition, state: JobState, events: readonly JobEvent[]): NoteApproval[] {
  const list: (NoteApproval & { key: string })[] = []
  let key = ''
  for (const event of events) {
    if (event.type === 'answer-given' || event.type === 'answer-changed') key = event.body.key
    if (event.type !== 'approval-given') continue
    const { what, words } = event.body
    const label = edition.parts[what]?.label ?? sentence(what)
    const text = words === undefined || words === '' ? label : `${label}: “${words}”`
    const earlier = list.findIndex((one) => one.key === key && one.what === text)
    if (earlier !== -1) list.splice(earlier, 1)
    const stands = isApprovedBy(edition, state, key, what)
    list.push({ at: event.at, what: text, by: nameOf(state, event.by.person), key, ...(stands ? {} : { withdrawn: true as const }) })
  }
  return list.map(({ key: _key, ...approval }) => approval)
}

function isApprovedBy(edition: Edition, state: JobState, key: string, what: string): boolean {
  const entry = state.path.entries[key]
  const { block, step } = endOfKey(key)
  const effects = entry === undefined ? [] : (edition.blocks[block]?.steps[step]?.outcomes[entry.outcome]?.effects ?? [])
  return state.path.trail.includes(key) && effects.some((effect) => effect.do === 'approve' && effect.what === what)
}
