// Every answer the log holds, in the order of the path: those that stand, and those that were changed, taken back or left behind.
// What an answer means is not judged here.
import type { JobEvent, JobEventOf } from '../contract/index.ts'
import type { Edition, Step } from '../edition/compiled.ts'
import { endOfKey } from '../engine/place.ts'
import type { Entry, JobState } from '../engine/state.ts'
import type { StruckWhy } from './note-data.ts'

export type Answer = {
  readonly key: string
  readonly block: string
  readonly step: Step
  readonly entry: Entry
  readonly struck?: StruckWhy
}

type Version = { readonly entry: Entry; readonly order: number; struck?: StruckWhy }

/**
 * Shape:  one row per answer ever given by a person or decided by the program; struck rows stand right before the answer that took their place.
 *         Decisions of the program that no longer stand are left out: they were made anew.
 */
export function answersOf(edition: Edition, state: JobState, events: readonly JobEvent[]): readonly Answer[] {
  const versions = versionsOf(state, events)
  // A result that still stood is kept under the step that called for it, which no trail holds.
  const taken = new Set(state.path.taken)
  const rows: (Answer & { first: number; order: number })[] = []
  for (const [key, list] of versions) {
    const { block, step: stepId } = endOfKey(key)
    const step = edition.blocks[block]?.steps[stepId]
    if (step === undefined) continue
    const stands = taken.has(key)
    for (const version of list) {
      const struck = version.struck ?? (stands ? undefined : 'no longer on the path')
      if (struck !== undefined && version.entry.auto !== undefined) continue
      const entry = struck === undefined ? (state.path.entries[key] ?? version.entry) : version.entry
      rows.push({ key, block, step, entry, first: list[0]?.order ?? 0, order: version.order, ...(struck === undefined ? {} : { struck }) })
    }
  }
  return rows.toSorted((a, b) => a.first - b.first || a.order - b.order).map(({ first: _first, order: _order, ...answer }) => answer)
}

function versionsOf(state: JobState, events: readonly JobEvent[]): Map<string, Version[]> {
  const versions = new Map<string, Version[]>()
  for (const [order, event] of events.entries()) {
    switch (event.type) {
      case 'answer-given':
      case 'answer-changed': {
        const list = versions.get(event.body.key) ?? []
        strike(list, 'changed')
        versions.set(event.body.key, [...list, { entry: entryOf(state, event), order }])
        break
      }
      case 'answer-withdrawn':
        strike(versions.get(event.body.key) ?? [], 'taken back')
        break
      case 'verdict-revised': {
        const list = versions.get(event.body.key) ?? []
        const last = list.at(-1)
        if (last === undefined || last.entry.outcome === event.body.outcome) break
        strike(list, 'judged anew')
        const entry = { ...last.entry, outcome: event.body.outcome, verdict: event.body.verdict }
        versions.set(event.body.key, [...list, { entry, order }])
        break
      }
      default:
    }
  }
  return versions
}

function strike(list: Version[], why: StruckWhy): void {
  const last = list.at(-1)
  if (last !== undefined && last.struck === undefined) last.struck = why
}

/** An answer as it was given, with the power state of its moment read off the rail. */
function entryOf(state: JobState, event: JobEventOf<'answer-given'> | JobEventOf<'answer-changed'>): Entry {
  const { step: _step, ...body } = event.body
  const power = state.rail.findLast((point) => point.at <= event.at)?.power ?? 'closed'
  const told = event.toldBy === undefined ? {} : { toldBy: event.toldBy }
  return {
    ...body,
    ...told,
    event: event.id,
    at: event.at,
    person: event.by.person,
    visit: event.visit,
    powerUps: 0,
    fitted: 0,
    power,
  } as Entry
}

export function nameOf(state: JobState, person: string): string {
  return person === 'shop' ? 'the shop' : (state.people[person]?.name ?? 'somebody')
}

/** "block.step" without the constants of a called block. */
export function stepName(answer: Answer): string {
  return `${answer.block.split('~')[0] ?? answer.block}.${answer.step.id}`
}
