// The path: answers that stand, walked over the edition's blocks. The same walk serves the next answer and the replay of all of them.
// Believes every entry; whether an answer was allowed is decide.ts.
import type { AfterPut, Edition, Outcome, Step } from '../edition/compiled.ts'
import { invariant } from '../result.ts'
import type { NextTarget } from './next.ts'
import { own } from './lookup.ts'
import { callPathOf, keyOf } from './place.ts'
import type { Entry, Frame, Passed, Path, Put } from './state.ts'

/** A path under construction; becomes a plain Path by `settled`. */
type Draft = {
  frames: Frame[]
  segment: number
  trail: string[]
  visits: { [callPath: string]: number }
  results: { [test: string]: Path['results'][string] }
  flags: { [flag: string]: string }
  constants: { [slug: string]: string | number | boolean }
  putsDone: { [key: string]: number }
  passed: Passed[]
  /** Keys of every answer walked over, those of calls included. */
  readonly taken: string[]
  readonly path: Path
}

export type Walker = {
  readonly start: (block: string, step: string) => Path
  /** Goes on from where the path stands, as far as entries and puts lead. */
  readonly onward: (path: Path) => Path
  /** Walks everything anew from the first step. */
  readonly again: (path: Path) => Path
  readonly arrive: (path: Path, block: string, step: string) => Path
  /** Keys of all answers that the path comes by before this one; all of them when it does not come by. */
  readonly before: (path: Path, key: string) => ReadonlySet<string>
}

export function stepAt(edition: Edition, frame: Frame): Step {
  const step = edition.blocks[frame.block]?.steps[frame.step]
  invariant(step, `step ${frame.block}.${frame.step} is in edition ${edition.number}`)
  return step
}

export function createWalker(edition: Edition, next: NextTarget): Walker {
  const onward = (path: Path): Path => {
    const draft = draftOf(path)
    walk(edition, next, draft)
    return settled(draft)
  }
  const walked = (path: Path): Draft => {
    const draft = emptyDraft(path)
    path.segments.forEach((segment, index) => {
      beginSegment(draft, index, segment)
      walk(edition, next, draft)
    })
    return draft
  }
  const again = (path: Path): Path => settled(walked(path))
  return {
    start: (block, step) => {
      const path: Path = {
        segments: [{ block, step }],
        entries: {},
        puts: {},
        putsDone: {},
        frames: [],
        trail: [],
        visits: {},
        results: {},
        flags: {},
        passed: [],
        constants: {},
      }
      return again(path)
    },
    onward,
    again,
    before: (path, key) => {
      const { taken } = walked(path)
      const until = taken.indexOf(key)
      return new Set(until === -1 ? taken : taken.slice(0, until))
    },
    arrive: (path, block, step) => {
      const longer: Path = { ...path, segments: [...path.segments, { block, step }] }
      const draft = draftOf(longer)
      beginSegment(draft, longer.segments.length - 1, { block, step })
      walk(edition, next, draft)
      return settled(draft)
    },
  }
}

function emptyDraft(path: Path): Draft {
  return { frames: [], segment: 0, trail: [], visits: {}, results: {}, flags: {}, constants: {}, putsDone: {}, passed: [], taken: [], path }
}

function draftOf(path: Path): Draft {
  return {
    frames: [...path.frames],
    segment: path.segments.length - 1,
    trail: [...path.trail],
    visits: { ...path.visits },
    results: { ...path.results },
    flags: { ...path.flags },
    constants: { ...path.constants },
    putsDone: { ...path.putsDone },
    passed: [],
    taken: [],
    path,
  }
}

function settled(draft: Draft): Path {
  const { frames, trail, visits, results, flags, constants, putsDone, passed, path } = draft
  return { ...path, frames, trail, visits, results, flags, constants, putsDone, passed }
}

function beginSegment(draft: Draft, index: number, segment: { block: string; step: string }): void {
  draft.segment = index
  draft.frames = []
  enter(draft, segment.block, segment.step, undefined)
}

/** Puts a step on top of the present frames, counting the visit. */
function enter(draft: Draft, block: string, step: string, put: number | undefined): void {
  const callPath = callPathOf(draft.segment, draft.frames, put, block, step)
  const visit = (draft.visits[callPath] ?? 0) + 1
  draft.visits[callPath] = visit
  draft.frames.push({ block, step, visit, ...(put === undefined ? {} : { put }) })
}

function walk(edition: Edition, next: NextTarget, draft: Draft): void {
  // Every turn uses up an entry, a put or a call; calls have no circle, so this ends.
  for (let frame = draft.frames.at(-1); frame !== undefined; frame = draft.frames.at(-1)) {
    const key = keyOf(draft.segment, draft.frames)
    const put = draft.path.puts[key]?.[draft.putsDone[key] ?? 0]
    const entry = draft.path.entries[key]
    const step = stepAt(edition, frame)
    if (put !== undefined) {
      const block = edition.blocks[put.block]
      invariant(block, `block ${put.block} exists`)
      enter(draft, block.id, block.start, (draft.putsDone[key] ?? 0) + 1)
    } else if (entry !== undefined) {
      take(edition, next, draft, step, key, entry)
    } else if (step.call !== undefined) {
      const called = edition.blocks[step.call.block]
      invariant(called, `block ${step.call.block} exists`)
      enter(draft, called.id, called.start, undefined)
    } else {
      return
    }
  }
}

/** Applies an answer at the top frame. */
function take(edition: Edition, next: NextTarget, draft: Draft, step: Step, key: string, entry: Entry): void {
  draft.taken.push(key)
  if (step.call === undefined) draft.trail.push(key)
  follow(edition, next, draft, step, entry.outcome, entry, key)
}

function follow(edition: Edition, next: NextTarget, draft: Draft, step: Step, outcomeName: string, entry: Entry, key: string): void {
  const frame = draft.frames.pop()
  invariant(frame, 'an answer has a frame')
  const outcome = own(step.outcomes, outcomeName)
  if (outcome === undefined) {
    // An edition without this outcome cannot lead on: the job stands here and asks again.
    draft.frames.push(frame)
    throw new Error(`outcome ${outcomeName} is not in ${frame.block}.${frame.step}`)
  }
  keepPathEffects(draft, outcome, key)
  const spent = isSpent(draft, frame, outcomeName, outcome)
  const target = next(frame.block, frame.step, outcomeName, spent)
  if (!target.startsWith('exit:')) {
    enter(draft, frame.block, target, frame.put)
    return
  }
  leave(edition, next, draft, frame, target.slice(5), entry, key)
}

/** A backward arrow is counted under the step it leaves: its nth use is known from that step's own visits. */
function isSpent(draft: Draft, frame: Frame, name: string, outcome: Outcome): boolean {
  if (outcome.again === undefined) return false
  const counter = `${callPathOf(draft.segment, draft.frames, frame.put, frame.block, frame.step)}=${name}`
  const used = draft.visits[counter] ?? 0
  if (used >= outcome.again.most) return true
  draft.visits[counter] = used + 1
  return false
}

function keepPathEffects(draft: Draft, outcome: Outcome, key: string): void {
  for (const effect of outcome.effects ?? []) {
    if (effect.do === 'flag') draft.flags[effect.flag] = key
    if (effect.do === 'fact') draft.constants[effect.slug] = effect.value
  }
}

function leave(edition: Edition, next: NextTarget, draft: Draft, frame: Frame, exit: string, entry: Entry, key: string): void {
  const block = edition.blocks[frame.block]
  if (block?.kind === 'test' && exit !== 'not-done') {
    draft.results[testName(block.id)] = {
      test: testName(block.id),
      outcome: exit,
      key,
      at: entry.at,
      visit: entry.visit,
      powerUps: entry.powerUps,
      fitted: entry.fitted,
      person: entry.person,
    }
  }
  const caller = draft.frames.at(-1)
  if (caller === undefined) return
  const callerKey = keyOf(draft.segment, draft.frames)
  if (frame.put === undefined) {
    draft.passed.push({ key: callerKey, outcome: exit, from: key })
    follow(edition, next, draft, stepAt(edition, caller), exit, entry, key)
    return
  }
  const put = draft.path.puts[callerKey]?.[draft.putsDone[callerKey] ?? 0]
  const after = afterPut(edition, put, frame.block, exit)
  if (typeof after === 'object') {
    const replacement = edition.blocks[after.put]
    invariant(replacement, `block ${after.put} exists`)
    enter(draft, replacement.id, replacement.start, frame.put)
    return
  }
  draft.putsDone[callerKey] = (draft.putsDone[callerKey] ?? 0) + 1
  if (put !== undefined) draft.passed.push({ put, exit, from: key })
  if (after === 'not-done') {
    const step = stepAt(edition, caller)
    if (step.outcomes['not-done'] !== undefined) follow(edition, next, draft, step, 'not-done', entry, key)
  }
}

export function testName(block: string): string {
  return block.split('~')[0] ?? block
}

const CAUSES = { dead: 'dead', prove: 'prove', 'live-shut': 'live_shut', 'live-open': 'live_open', 'water-clear': 'water_clear' } as const

/** What leaving a put block does: as the edition says for its cause; a block that came after another one returns. */
function afterPut(edition: Edition, put: Put | undefined, block: string, exit: string): AfterPut {
  const cause = put?.cause ?? ''
  const standing =
    cause in CAUSES
      ? edition.standing[CAUSES[cause as keyof typeof CAUSES]]
      : cause === 'stop' || cause === 'leave'
        ? edition.interrupts[cause]
        : undefined
  if (standing?.block === block) return standing.exits[exit] ?? 'return'
  // A test out of turn or a red flag that was left undone says nothing about the step that it lies on.
  if (cause === 'test' || cause === 'red-flag') return 'return'
  return exit === 'not-done' ? 'not-done' : 'return'
}
