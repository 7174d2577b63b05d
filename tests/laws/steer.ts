// Where a random job may aim: answers and endings that were seldom come to, and what a branch asks for before it leads there.
// How far they are is distances.ts; a job may miss, and aims anew.
import type { Edition, JobState } from '#graphs'
import { Distances, FAR, placesOf } from './distances.ts'
import type { Place } from './distances.ts'
import type { Random } from './random.ts'

/** An ending is aimed at like an outcome, under this name. */
export const AN_END = '(end)'
/** So many places are looked at, and the one that was taken least is aimed at. */
const TRIES = 16

/** `hazards`: what somebody has to report just before, or the step would decide otherwise. */
export type Aim = { readonly block: string; readonly step: string; readonly outcome: string; readonly hazards?: readonly string[] }
export type Steering = {
  /** Something seldom taken that can still be reached from here, after what has to be taken first so that a branch leads there. */
  readonly aims: (state: JobState, random: Random) => Aim[]
  /** Steps from the place that an outcome leads to until the aim can be taken; 0 when this outcome is the aim itself. */
  readonly distance: (state: JobState, outcome: string, aim: Aim) => number
}

/** Every outcome of a step that a person gives or the program decides, and an ending as such. */
function aimsAt({ block, step }: Place): Aim[] {
  const ends = step.kind === 'finish' || step.kind === 'refer'
  const outcomes = ends ? [AN_END] : step.kind === 'call' ? [] : Object.keys(step.outcomes)
  return outcomes.map((outcome) => ({ block, step: step.id, outcome }))
}

export function createSteering(edition: Edition, times: ReadonlyMap<string, number>): Steering {
  const places = placesOf(edition)
  const wanted = places.flatMap(aimsAt)
  const distances = new Distances(edition, places)
  const isOpen = (state: JobState, one: Aim): boolean => distances.fromHere(state, one.block, one.step) < FAR

  return {
    distance: (state, outcome, aim) => {
      const top = state.path.frames.at(-1)
      if (top?.block === aim.block && top.step === aim.step && outcome === aim.outcome) return 0
      return distances.afterOutcome(state, outcome, aim.block, aim.step)
    },
    aims: (state, random) => {
      let best: Aim | undefined
      let least = Infinity
      for (let tries = 0; tries < TRIES; tries += 1) {
        const one = random.pick(wanted)
        const taken = times.get(`${one.block}.${one.step}=${one.outcome}`) ?? 0
        if (taken >= least || !isOpen(state, one)) continue
        best = one
        least = taken
      }
      if (best === undefined) return []
      const branch = branchOf(edition, best)
      const { hazards, first } = wantedBy(edition, state, branch, random)
      return [...first.filter((one) => isOpen(state, one)), hazards.length === 0 ? branch : { ...branch, hazards }]
    },
  }
}

/** An ending behind a branch is aimed at by the branch. */
function branchOf(edition: Edition, one: Aim): Aim {
  if (one.outcome !== AN_END) return one
  for (const step of Object.values(edition.blocks[one.block]?.steps ?? {})) {
    const outcome = Object.keys(step.outcomes).find((name) => step.outcomes[name]?.to === one.step)
    if (step.kind === 'decide' && outcome !== undefined) return { block: one.block, step: step.id, outcome }
  }
  return one
}

type Wanted = { readonly hazards: readonly string[]; readonly first: readonly Aim[] }

/** What a case of a decide step asks for that does not hold yet: hazards to report, and answers to be given first. */
function wantedBy(edition: Edition, state: JobState, aim: Aim, random: Random): Wanted {
  const cases = edition.blocks[aim.block]?.steps[aim.step]?.cases ?? []
  const at = cases.findIndex((one) => one.outcome === aim.outcome)
  const hazards: string[] = []
  const first: Aim[] = []
  const askFor = (setters: readonly Aim[]) => {
    if (setters.length > 0) first.push(random.pick(setters))
  }
  // An earlier case that asks for a result not to be there is passed by when it is there.
  for (const { when } of cases.slice(0, Math.max(0, at))) {
    const [only] = when
    if (when.length === 1 && only !== undefined && 'result' in only && 'not' in only) askFor(resultsOf(edition, only.result, only.not))
  }
  for (const condition of cases[at]?.when ?? []) {
    if ('hazard' in condition && state.tub.hazards[condition.hazard] === undefined) hazards.push(condition.hazard)
    if ('flag' in condition && state.path.flags[condition.flag] === undefined) askFor(settersOf(edition, 'flag', condition.flag))
    if ('mark' in condition && state.tub.marks[condition.mark] === undefined) askFor(settersOf(edition, 'mark', condition.mark))
    if ('result' in condition && 'is' in condition) askFor(resultsOf(edition, condition.result, condition.is))
  }
  return { hazards, first: first.filter((one) => state.path.results[one.block]?.outcome !== one.outcome) }
}

/** Answers that put up a flag or a mark. */
function settersOf(edition: Edition, kind: 'flag' | 'mark', wanted: string): Aim[] {
  return answersWith(edition, Object.keys(edition.blocks), ({ effects }) =>
    (effects ?? []).some((effect) =>
      effect.do === 'flag' ? kind === 'flag' && effect.flag === wanted : effect.do === 'mark' && kind === 'mark' && effect.mark === wanted,
    ),
  )
}

/** Answers by which a test card is left with one of these results. */
function resultsOf(edition: Edition, test: string, results: readonly string[]): Aim[] {
  return answersWith(edition, [test], ({ to }) => results.some((result) => to === `exit:${result}`))
}

type Outcome = Edition['blocks'][string]['steps'][string]['outcomes'][string]

function answersWith(edition: Edition, blocks: readonly string[], fits: (outcome: Outcome) => boolean): Aim[] {
  return blocks.flatMap((block) =>
    Object.values(edition.blocks[block]?.steps ?? {}).flatMap((step) =>
      Object.entries(step.outcomes)
        .filter(([, outcome]) => fits(outcome))
        .map(([outcome]) => ({ block, step: step.id, outcome })),
    ),
  )
}
