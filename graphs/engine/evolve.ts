// One event folded into the state of its job. Total and believing: no formula, no clock, no judgement.
// Both folds meet here: the tub takes every event, the path only answers that stand.
import type { JobEvent, JobEventOf } from '../contract/index.ts'
import type { Edition } from '../edition/compiled.ts'
import { invariant } from '../result.ts'
import { remember } from '../safety/observers.ts'
import { powerState } from '../safety/power.ts'
import { EMPTY_TUB, foldTub } from '../safety/tub.ts'
import { actsOf } from './acts.ts'
import { own } from './lookup.ts'
import type { Entry, JobState, Path } from './state.ts'
import type { Walker } from './walk.ts'

export type Evolve = (state: JobState | undefined, event: JobEvent) => JobState

export function createEvolve(edition: Edition, walker: Walker): Evolve {
  return (state, event) => {
    if (event.type === 'job-opened') return state ?? opened(edition, walker, event)
    invariant(state, 'the first event of a job opens it')
    const tub = foldTub(state.tub, event)
    const clocks = { ...state.clocks, [event.device]: Math.max(own(state.clocks, event.device) ?? 0, event.at) }
    const seen = { ...state.seen, [event.by.person]: event.at }
    const before = { ...state, tub, count: state.count + 1, lastAt: Math.max(state.lastAt, event.at), clocks, seen }
    const path = foldPath(walker, state.path, event, before)
    const power = powerState(tub)
    const rail = state.rail.at(-1)?.power === power ? state.rail : [...state.rail, { at: event.at, power }]
    const watch = actsOf(edition, state, event).reduce(remember, state.watch)
    return foldRest({ ...before, path, rail, watch, visit: event.type === 'arrived' ? event.body.visit : state.visit }, event)
  }
}

function opened(edition: Edition, walker: Walker, event: JobEventOf<'job-opened'>): JobState {
  const flow = edition.blocks[event.body.flow]
  invariant(flow, `flow ${event.body.flow} is in edition ${edition.number}`)
  return {
    job: event.job,
    short: event.body.short,
    edition: event.edition,
    flow: event.body.flow,
    complaint: event.body.complaint,
    words: event.body.words,
    practice: event.body.practice,
    openedAt: event.at,
    lastAt: event.at,
    clocks: { [event.device]: event.at },
    seen: { [event.by.person]: event.at },
    count: 1,
    visit: 0,
    people: {},
    path: walker.start(flow.id, flow.start),
    tub: EMPTY_TUB,
    facts: {
      complaint: { slug: 'complaint', value: event.body.complaint, source: 'told', event: event.id, at: event.at, role: event.by.role },
    },
    waits: {},
    approvals: [],
    photos: [],
    rail: [{ at: event.at, power: 'closed' }],
    watch: {},
  }
}

function foldPath(walker: Walker, path: Path, event: JobEvent, state: JobState): Path {
  switch (event.type) {
    case 'answer-given':
      return walker.onward(withEntry(standAt(path, event.body.key), entryOf(event, state)))
    case 'answer-changed':
      return walker.again(withEntry(decidedUntil(path, event.body.key), entryOf(event, state, path.entries[event.body.key])))
    case 'answer-withdrawn': {
      const kept = decidedUntil(path, event.body.key)
      const { [event.body.key]: _gone, ...entries } = kept.entries
      return walker.again({ ...kept, entries })
    }
    case 'verdict-revised': {
      const entry = path.entries[event.body.key]
      if (entry === undefined) return path
      const revised = { ...entry, outcome: event.body.outcome, verdict: event.body.verdict }
      // Other words for the same outcome move nothing.
      if (revised.outcome === entry.outcome) return { ...withEntry(path, revised), passed: [] }
      return walker.again(withEntry(decidedUntil(path, event.body.key), revised))
    }
    case 'procedure-put': {
      const { key, block, cause, flag } = event.body
      const put = { block, cause, at: event.at, person: event.by.person, ...(flag === undefined ? {} : { flag }) }
      return walker.onward({ ...path, puts: { ...path.puts, [key]: [...(path.puts[key] ?? []), put] } })
    }
    case 'job-carried-over':
      return walker.again(path)
    case 'arrived': {
      const [block = '', step = ''] = event.body.entry.split('.')
      return walker.arrive(path, block, step)
    }
    default:
      return path.passed.length === 0 ? path : { ...path, passed: [] }
  }
}

function withEntry(path: Path, entry: Entry): Path {
  return { ...path, entries: { ...path.entries, [entry.key]: entry } }
}

/** What the program decided by itself after this answer is decided anew: it rested on what is changed now. */
function decidedUntil(path: Path, key: string): Path {
  const until = path.taken.indexOf(key)
  const before = new Set(until === -1 ? path.taken : path.taken.slice(0, until))
  const entries = Object.fromEntries(Object.entries(path.entries).filter(([each, entry]) => entry.auto === undefined || before.has(each)))
  return { ...path, entries }
}

/** An answer for a caller of the present frames (a result that still stands): what was on top of it is left. */
function standAt(path: Path, key: string): Path {
  const level = path.frames.findIndex((frame) => frame.key === key)
  return level === -1 || level === path.frames.length - 1 ? path : { ...path, frames: path.frames.slice(0, level + 1) }
}

function entryOf(event: JobEventOf<'answer-given'> | JobEventOf<'answer-changed'>, state: JobState, before?: Entry): Entry {
  const { key, outcome, reason, readings, form, verdict, auto, words } = event.body
  return {
    key,
    event: event.id,
    at: before?.at ?? event.at,
    person: event.by.person,
    outcome,
    visit: before?.visit ?? state.visit,
    powerUps: before?.powerUps ?? state.tub.powerUps,
    fitted: before?.fitted ?? state.tub.partsIn.length,
    power: before?.power ?? powerState(state.tub),
    ...(reason === undefined ? {} : { reason }),
    ...(readings === undefined ? {} : { readings }),
    ...(form === undefined ? {} : { form }),
    ...(verdict === undefined ? {} : { verdict }),
    ...(auto === undefined ? {} : { auto }),
    ...(words === undefined ? {} : { words }),
    ...(event.toldBy === undefined ? {} : { toldBy: event.toldBy }),
  }
}

function reopened(state: JobState): JobState {
  const { ended: _over, ...open } = state
  return open
}

/** A wait counts only while the path comes by its step: what led there may have to be done anew. */
function waitsStill({ waits, path }: JobState, key: string): JobState['waits'] {
  return Object.fromEntries(Object.entries(waits).filter(([each]) => each === key || path.trail.includes(each)))
}

/** People, facts, waits, endings: plain records. */
function foldRest(state: JobState, event: JobEvent): JobState {
  switch (event.type) {
    case 'person-joined': {
      const { person, on_site } = event.body
      return { ...state, people: { ...state.people, [person.id]: { ...person, here: true, onSite: on_site } } }
    }
    case 'person-left': {
      const person = own(state.people, event.body.person)
      return person === undefined
        ? state
        : { ...state, people: { ...state.people, [person.id]: { ...person, here: false, onSite: false } } }
    }
    case 'fact-stated': {
      const { slug, value, uncertainty, source, typed } = event.body
      const { [slug]: _before, ...others } = state.facts
      if (value === null) return { ...state, facts: others }
      const fact = { slug, value, source, event: event.id, at: event.at, role: event.by.role }
      return {
        ...state,
        facts: {
          ...others,
          [slug]: { ...fact, ...(uncertainty === undefined ? {} : { uncertainty }), ...(typed === undefined ? {} : { typed }) },
        },
      }
    }
    case 'wait-begun':
      return { ...state, waits: { ...state.waits, [event.body.key]: event.body.until } }
    case 'approval-given':
      return {
        ...state,
        approvals: [...state.approvals, { ...event.body, at: event.at, person: event.by.person } as JobState['approvals'][number]],
      }
    case 'photo-taken':
      return { ...state, photos: [...state.photos, { ...event.body, at: event.at } as JobState['photos'][number]] }
    case 'job-ended':
      return { ...state, ended: { ...event.body, at: event.at } as NonNullable<JobState['ended']> }
    case 'outcome-confirmed':
      return { ...state, confirmed: { held: event.body.held, at: event.at } }
    case 'answer-changed':
    case 'answer-withdrawn':
      return { ...reopened(state), waits: waitsStill(state, event.body.key) }
    case 'job-carried-over':
      return { ...state, edition: event.body.to }
    case 'job-reopened':
      return reopened(state)
    default:
      return state
  }
}
