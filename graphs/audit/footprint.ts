// Which values a block can read or change, all that it calls and all that is put on top of it included; and which values a flow still reads from a step on.
// With it a procedure is entered with only what concerns it, and what nobody asks for any more is forgotten. No way is lost by either.
import type { Block, Edition, Step } from '../edition/compiled.ts'
import { changesOf, namesIn } from './state.ts'

export type Footprint = {
  /** Names that a block reads or changes. */
  readonly touched: (block: string) => ReadonlySet<string>
  /** Blocks that may come to lie on it. */
  readonly above: (block: string) => ReadonlySet<string>
  /** Whether a proof of dead is made in it, and not in a procedure that is put on top. */
  readonly proves: (block: string) => boolean
  /** Names that are still read from a step of a flow on, visits to come included. */
  readonly live: (flow: string, step: string) => ReadonlySet<string>
}

const GATE_READS = {
  talk: [],
  proving: [],
  shut: ['covers'],
  'live-shut': ['energy', 'covers'],
  dead: ['energy', 'lock:own', 'proof'],
  'live-open': ['covers', 'energy'],
} as const

/** What the gates of a step look at. */
export function gateNames(step: Step): readonly string[] {
  return ['onSite', ...GATE_READS[step.needs], ...(step.starts === undefined ? [] : ['clear'])]
}

function ownReads(edition: Edition, step: Step): string[] {
  const conditions = (step.cases ?? []).flatMap((one) => one.when).flatMap((condition) => namesIn(condition))
  const evidence = [...(step.fit?.evidence.one_of ?? []), ...(step.fit?.evidence.all_of ?? [])].map(
    (name) => `result:${name.split('=')[0]}`,
  )
  const called =
    step.call === undefined || edition.blocks[step.call.block]?.kind !== 'test' ? [] : [`result:${step.call.block.split('~')[0]}`]
  const hazards = Object.values(step.outcomes)
    .flatMap((outcome) => outcome.effects ?? [])
    .flatMap((effect) => (effect.do === 'hazard' || effect.do === 'clear-hazard' ? [`hazard:${effect.hazard}`] : []))
  const water = step.readings?.some((reading) => reading.name === 'water') ? ['hazard:hot-water'] : []
  return [...conditions, ...evidence, ...called, ...hazards, ...water, ...gateNames(step), 'holder', 'proof']
}

function ownWrites(edition: Edition, step: Step): string[] {
  const effects = Object.values(step.outcomes).flatMap((outcome) => outcome.effects ?? [])
  const fitted = step.fit === undefined ? [] : [{ do: 'part-in', part: step.fit.part } as const]
  const names = [...effects, ...fitted].flatMap((effect) => [
    ...Object.keys(changesOf(edition, effect, { energy: 'unknown' }, [])),
    ...(effect.do === 'part-in' ? tests(edition, () => true) : []),
    ...(effect.do === 'energy' ? tests(edition, (block) => block.lasts === 'until-power-up') : []),
  ])
  return step.readings?.some((reading) => reading.name === 'water') ? [...names, 'water'] : names
}

function tests(edition: Edition, which: (block: Block) => boolean): string[] {
  return Object.values(edition.blocks).flatMap((block) =>
    block.kind === 'test' && which(block) ? [`result:${block.id.split('~')[0]}`] : [],
  )
}

/** Blocks that may come to lie on a step: what it calls, what its needs put there, and whatever those are followed by. */
function blocksOn(edition: Edition, step: Step, gateOn: boolean): string[] {
  const { standing, interrupts, red_flags } = edition
  if (step.call !== undefined) return [step.call.block]
  if (['decide', 'finish', 'refer'].includes(step.kind)) return []
  const put = [
    ...(step.needs === 'dead' ? [standing.dead, standing.prove] : []),
    ...(step.needs === 'shut' || step.needs === 'live-shut' ? [standing.live_shut] : []),
    ...(step.needs === 'live-open' ? [standing.live_open] : []),
    ...(step.starts === undefined ? [] : [standing.water_clear]),
    ...(gateOn ? [interrupts.stop, interrupts.leave] : []),
  ].flatMap(({ block, exits }) => [block, ...Object.values(exits).flatMap((after) => (typeof after === 'object' ? [after.put] : []))])
  return gateOn ? [...put, ...red_flags.map((flag) => flag.put)] : put
}

type Names = {
  readonly reads: Set<string>
  readonly all: Set<string>
  /** Blocks that lie on it, and those that lie on them. */
  readonly on: Set<string>
  readonly calls: ReadonlySet<string>
  proves: boolean
}

export function footprintOf(edition: Edition, gateOn: boolean): Footprint {
  const blocks = Object.values(edition.blocks)
  const byBlock = new Map<string, Names>(blocks.map((block) => [block.id, namesOf(edition, block, gateOn)]))
  // Blocks lie on blocks: what the upper ones touch is touched below, until nothing more is learnt.
  for (let grew = true; grew;) {
    grew = false
    for (const names of byBlock.values()) {
      const before = sizeOf(names)
      for (const id of names.on) {
        const other = byBlock.get(id)
        if (other === undefined) continue
        for (const name of other.reads) names.reads.add(name)
        for (const name of other.all) names.all.add(name)
        for (const each of other.on) names.on.add(each)
        names.proves ||= names.calls.has(id) && other.proves
      }
      grew ||= sizeOf(names) > before
    }
  }
  const live = new Map(blocks.filter((block) => block.kind === 'flow').map((flow) => [flow.id, liveIn(edition, flow, gateOn, byBlock)]))
  return {
    touched: (block) => byBlock.get(block)?.all ?? new Set(),
    above: (block) => byBlock.get(block)?.on ?? new Set(),
    proves: (block) => byBlock.get(block)?.proves ?? false,
    live: (flow, step) => live.get(flow)?.get(step) ?? new Set(),
  }
}

function sizeOf({ reads, all, on, proves }: Names): number {
  return reads.size + all.size + on.size + (proves ? 1 : 0)
}

function namesOf(edition: Edition, block: Block, gateOn: boolean): Names {
  const steps = Object.values(block.steps)
  const reads = new Set(steps.flatMap((step) => ownReads(edition, step)))
  const handed = gateOn ? ['lock:own', 'lock:others', 'proof', 'clear', 'holder'] : []
  const result = block.kind === 'test' ? [`result:${block.id.split('~')[0]}`] : []
  const all = new Set([...reads, ...result, ...handed, ...steps.flatMap((step) => ownWrites(edition, step))])
  const on = new Set(steps.flatMap((step) => blocksOn(edition, step, gateOn)))
  const calls = new Set(steps.flatMap((step) => step.call?.block ?? []))
  const effects = steps.flatMap((step) => Object.values(step.outcomes)).flatMap((outcome) => outcome.effects ?? [])
  return { reads, all, on, calls, proves: effects.some((effect) => effect.do === 'proof') }
}

/** Names read from each step of a flow on; after an ending the flow goes on where a visit begins. */
function liveIn(edition: Edition, flow: Block, gateOn: boolean, byBlock: ReadonlyMap<string, Names>): Map<string, ReadonlySet<string>> {
  const reads = new Map<string, Set<string>>()
  for (const step of Object.values(flow.steps)) {
    const own = new Set(ownReads(edition, step))
    for (const id of blocksOn(edition, step, gateOn)) for (const name of byBlock.get(id)?.reads ?? []) own.add(name)
    reads.set(step.id, own)
  }
  for (let grew = true; grew;) {
    grew = false
    for (const step of Object.values(flow.steps).toReversed()) {
      const own = reads.get(step.id) ?? new Set<string>()
      const before = own.size
      const targets = Object.values(step.outcomes).flatMap((outcome) => [outcome.to, outcome.again?.then ?? outcome.to])
      for (const to of [...targets, ...(flow.arrive === undefined ? [] : [flow.arrive])])
        for (const name of reads.get(to) ?? []) own.add(name)
      grew ||= own.size > before
    }
  }
  return reads
}
