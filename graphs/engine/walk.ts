// The path: answers that stand, walked over the edition's blocks. The same walk serves the next answer and the replay of all of them.
// Believes every entry; whether an answer was allowed is decide.ts.
import type { AfterPut, Edition, Outcome, Step } from '../edition/compiled.ts'
import { invariant } from '../result.ts'
import type { NextTarget } from './next.ts'
import { own } from './lookup.ts'
import { keyUnder } from './place.ts'
import type { Entry, Frame, Passed, Path, Put } from './state.ts'

/** A path under construction; becomes a plain Path by `settled`. Lists are its own, records are replaced when something is added. */
type Draft = {
  readonly path: Path
  readonly frames: Frame[]
  segment: number
  readonly trail: string[]
  readonly taken: string[]
  readonly passed: Passed[]
  results: Path['results']
  flags: Path['flags']
  constants: Path['constants']
  putsDone: Path['putsDone']
}

export type Walker = {
  readonly start: (block: string, step: string) => Path
  /** Goes on from where the path stands, as far as entries and puts lead. */
  readonly onward: (path: Path) => Path
  /** Walks everything anew from the first step. */
  readonly again: (path: Path) => Path
  readonly arrive: (path: Path, block: string, step: string) => Path
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
  const again = (path: Path): Path => {
    const draft = emptyDraft(path)
    path.segments.forEach((segment, index) => {
      beginSegment(draft, index, segment)
      walk(edition, next, draft)
    })
    return settled(draft)
  }
  return {
    start: (block, step) =>
      again({
        segments: [{ block, step }],
        entries: {},
        puts: {},
        putsDone: {},
        frames: [],
        trail: [],
        taken: [],
        results: {},
        flags: {},
        passed: [],
        constants: {},
      }),
    onward,
    again,
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
  return { path, frames: [], segment: 0, trail: [], taken: [], passed: [], results: {}, flags: {}, constants: {}, putsDone: {} }
}

function draftOf(path: Path): Draft {
  const { frames, segments, trail, taken, results, flags, constants, putsDone } = path
  return {
    path,
    frames: [...frames],
    segment: segments.length - 1,
    trail: [...trail],
    taken: [...taken],
    passed: [],
    results,
    flags,
    constants,
    putsDone,
  }
}

function settled({ path, frames, trail, taken, passed, results, flags, constants, putsDone }: Draft): Path {
  return { ...path, frames, trail, taken, passed, results, flags, constants, putsDone }
}

function beginSegment(draft: Draft, index: number, { block, step }: Path['segments'][number]): void {
  draft.segment = index
  draft.frames.length = 0
  enter(draft, { block, step, by: [] })
}

/** Puts a step on top of the present frames, counting the visit. `by`: what this call of the block has come by until now. */
function enter(draft: Draft, { block, step, put, by }: Pick<Frame, 'block' | 'step' | 'put' | 'by'>): void {
  const place = { block, step, visit: timesIn(by, step) + 1, ...(put === undefined ? {} : { put }) }
  draft.frames.push({ ...place, key: keyUnder(draft.frames.at(-1), draft.segment, place), by: [...by, step] })
}

function timesIn(by: readonly string[], name: string): number {
  let times = 0
  for (const each of by) if (each === name) times += 1
  return times
}

function walk(edition: Edition, next: NextTarget, draft: Draft): void {
  // Every turn uses up an entry, a put or a call; calls have no circle, so this ends.
  for (let frame = draft.frames.at(-1); frame !== undefined; frame = draft.frames.at(-1)) {
    const { key } = frame
    const put = draft.path.puts[key]?.[draft.putsDone[key] ?? 0]
    const entry = draft.path.entries[key]
    const step = stepAt(edition, frame)
    if (put !== undefined) {
      const block = edition.blocks[put.block]
      invariant(block, `block ${put.block} exists`)
      enter(draft, { block: block.id, step: block.start, put: (draft.putsDone[key] ?? 0) + 1, by: [] })
    } else if (entry !== undefined) {
      take(edition, next, draft, step, key, entry)
    } else if (step.call !== undefined) {
      const called = edition.blocks[step.call.block]
      invariant(called, `block ${step.call.block} exists`)
      enter(draft, { block: called.id, step: called.start, by: [] })
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
  const arrow = `${frame.step}=${outcomeName}`
  const spent = outcome.again !== undefined && timesIn(frame.by, arrow) >= outcome.again.most
  const target = next(frame.block, frame.step, outcomeName, spent)
  if (!target.startsWith('exit:')) {
    // A backward arrow is counted under the step it leaves: its nth use is known from that step's own visits.
    const by = outcome.again === undefined || spent ? frame.by : [...frame.by, arrow]
    enter(draft, { ...frame, step: target, by })
    return
  }
  leave(edition, next, draft, frame, target.slice(5), entry, key)
}

function keepPathEffects(draft: Draft, outcome: Outcome, key: string): void {
  for (const effect of outcome.effects ?? []) {
    if (effect.do === 'flag') draft.flags = { ...draft.flags, [effect.flag]: key }
    if (effect.do === 'fact') draft.constants = { ...draft.constants, [effect.slug]: effect.value }
  }
}

function leave(edition: Edition, next: NextTarget, draft: Draft, frame: Frame, exit: string, entry: Entry, key: string): void {
  const block = edition.blocks[frame.block]
  if (block?.kind === 'test' && exit !== 'not-done') {
    const { at, visit, powerUps, fitted, person } = entry
    const test = testName(block.id)
    draft.results = { ...draft.results, [test]: { test, outcome: exit, key, at, visit, powerUps, fitted, person } }
  }
  const caller = draft.frames.at(-1)
  if (caller === undefined) return
  const callerKey = caller.key
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
    const by = replacement.id === frame.block ? frame.by : []
    enter(draft, { block: replacement.id, step: replacement.start, put: frame.put, by })
    return
  }
  draft.putsDone = { ...draft.putsDone, [callerKey]: (draft.putsDone[callerKey] ?? 0) + 1 }
  if (put !== undefined) draft.passed.push({ put, exit, from: key })
  if (after === 'not-done') {
    const step = stepAt(edition, caller)
    if (step.outcomes['not-done'] !== undefined) follow(edition, next, draft, step, 'not-done', entry, key)
  }
}

export function testName(block: string): string {
  return block.split('~')[0] ?? block
}

/** What a step needs, and the procedure of the edition that brings it about. */
export const CAUSES = {
  dead: 'dead',
  prove: 'prove',
  'live-shut': 'live_shut',
  'live-open': 'live_open',
  'water-clear': 'water_clear',
} as const

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
