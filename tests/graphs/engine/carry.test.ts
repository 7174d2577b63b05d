// A job under way goes over to a newer edition by its recorded answers alone, or stays where it began.
// Which editions a server holds is tests/server.
import { describe, expect, test } from 'vitest'
import { createEngine, foldLog } from '#graphs'
import type { Edition, Engine, Step } from '#graphs'
import { libraryEdition } from '../../laws/library.ts'
import { DESK, OWNER, Play, TECHNICIAN } from './play.ts'
import { goOn, practised } from './practised.ts'

type Blocks = { [block: string]: { start: string; steps: { [step: string]: Step } } }

/** The library as edition 2, after a mend in its blocks. */
function newer(mend: (blocks: Blocks) => void = () => undefined, number = 2): Engine {
  const edition = structuredClone(libraryEdition()) as Edition & { number: number }
  edition.number = number
  mend(edition.blocks as unknown as Blocks)
  return createEngine(edition)
}

function stepIn(blocks: Blocks, block: string, step: string): { -readonly [field in keyof Step]: Step[field] } {
  const found = blocks[block]?.steps[step]
  if (found === undefined) throw new Error(`${block}.${step} is not in the library`)
  return found
}

function carried(play: Play, engine: Engine): Play {
  const reply = play.carryOver(engine)
  if (!reply.ok) throw new Error(reply.message)
  return play
}

describe('on an edition with the same steps', () => {
  const engine = newer()
  // Before, in the middle of and after the lockout.
  test.each(['make-dead.lock', 'make-dead.prove', 'close-and-power-up.power-on', 'prove-the-repair.hold'])(
    'a job at %s stands where it stood, and the tub is what it was',
    (place) => {
      const play = practised(place)
      const { path, tub, watch, facts } = play.state
      const { state, events } = carried(play, engine)
      const standing = ({ frames, trail, results, flags, entries }: typeof path) => ({ frames, trail, results, flags, entries })
      expect(standing(state.path)).toEqual(standing(path))
      expect(state.tub).toEqual(tub)
      expect({ watch: state.watch, facts: state.facts, edition: state.edition }).toEqual({ watch, facts, edition: 2 })
      expect(events.at(-1)).toMatchObject({ type: 'job-carried-over', edition: 2, body: { from: 1, to: 2, off: [] } })
      goOn(play, 'end')
      expect(play.state.ended?.ending).toBe('repaired')
    },
  )

  test('the log of two editions folds to the same job', () => {
    const play = carried(practised('make-dead.lock'), engine)
    goOn(play, 'prove-the-repair.hold')
    const engines = new Map([
      [1, createEngine(libraryEdition())],
      [2, engine],
    ])
    const folded = foldLog(play.events, (edition) => engines.get(edition))
    expect(folded).toMatchObject({ ok: true, value: { state: play.state } })
    expect(folded.ok && folded.value.engine.edition.number).toBe(2)
  })

  test('a log whose earlier edition is not held is refused, and so is an empty one', () => {
    const play = carried(practised('make-dead.lock'), engine)
    expect(foldLog(play.events, (edition) => (edition === 2 ? engine : undefined))).toMatchObject({
      ok: false,
      problem: { code: 'GRAPH_EDITION_UNKNOWN', details: { edition: 1 } },
    })
    expect(foldLog([], () => engine)).toMatchObject({ ok: false, problem: { code: 'JOB_UNKNOWN' } })
  })
})

test('a verdict is never judged again, and what the program decided stays decided', () => {
  const play = practised('prove-the-repair.hold')
  const entries = structuredClone(play.state.path.entries)
  const engine = newer((blocks) => {
    for (const step of Object.values(blocks).flatMap((block) => Object.values(block.steps)))
      if (step.cases !== undefined) Object.assign(step, { cases: step.cases.toReversed() })
  })
  carried(play, engine)
  expect(play.state.path.entries).toEqual(entries)
})

test('a step that was added on the way is asked first; what was answered beyond it stands again afterwards', () => {
  const engine = newer((blocks) => {
    const first = stepIn(blocks, 'red-flags', 'people')
    const added = { ...structuredClone(first), id: 'dogs', title: 'Any pets near?' }
    // Every answer of the step before leads to the added one, whose answers lead on as before.
    const onward = first.outcomes['nobody']?.to ?? ''
    added.outcomes = { nobody: { label: 'None', to: onward }, 'not-done': { label: 'Not done', to: onward } }
    added.order = ['nobody', 'not-done']
    first.outcomes = { ...first.outcomes, nobody: { label: 'Nobody', to: 'dogs' } }
    const block = blocks['red-flags']
    if (block !== undefined) block.steps = { ...block.steps, dogs: added }
  })
  const play = new Play(DESK)
  play.to('red-flags.burning', {}, DESK)
  const before = play.state.path.trail
  expect(play.carryOver(engine, DESK)).toMatchObject({ ok: true })
  expect(play.step(DESK)).toMatchObject({ block: 'red-flags', step: 'dogs' })
  const off = play.events.at(-1)?.body as { off: string[] }
  expect(off.off).toEqual(before.slice(before.length - off.off.length))
  expect(off.off.length).toBeGreaterThan(0)
  play.pick('nobody', DESK)
  expect(play.step(DESK)).toMatchObject({ block: 'red-flags', step: 'burning' })
})

describe('is refused, and nothing is written', () => {
  function refusedOn(engine: Engine, play = practised('make-dead.prove'), person = TECHNICIAN): { code: string; gone: unknown } {
    const { state, events } = play
    const written = events.length
    const decided = engine.decide(
      state,
      {
        id: 'carry-1',
        person: person.id,
        role: person.role,
        device: `device-${person.id}`,
        channel: 'api',
        command: { type: 'carry-over', to: engine.edition.number },
      },
      { now: play.now },
    )
    expect(events.length).toBe(written)
    return decided.ok ? { code: '', gone: [] } : { code: decided.problem.code, gone: decided.problem.details?.['gone'] }
  }

  test('where a step that was answered is gone', () => {
    const engine = newer((blocks) => {
      const { lock, ...others } = blocks['make-dead']?.steps ?? {}
      expect(lock).toBeDefined()
      Object.assign(blocks['make-dead'] ?? {}, { steps: others })
    })
    expect(refusedOn(engine)).toEqual({ code: 'JOB_NOT_CARRIED', gone: ['make-dead.lock'] })
  })

  test('where an answer that was given is gone', () => {
    const engine = newer((blocks) => {
      const step = stepIn(blocks, 'make-dead', 'lock')
      const { locked, ...others } = step.outcomes
      step.outcomes = { ...others, 'locked-on': locked ?? { label: '', to: '' } }
    })
    expect(refusedOn(engine)).toEqual({ code: 'JOB_NOT_CARRIED', gone: ['make-dead.lock=locked'] })
  })

  test('where a procedure that lies on top is gone', () => {
    const engine = newer((blocks) => void delete blocks['water-clear'])
    const { code, gone } = refusedOn(engine, practised('prove-the-repair.hold'))
    expect(code).toBe('JOB_NOT_CARRIED')
    expect(gone).toContain('water-clear')
  })

  test('to the edition it stands on, and to an older one', () => {
    expect(refusedOn(newer(undefined, 1)).code).toBe('JOB_NOT_CARRIED')
    const play = carried(practised('make-dead.lock'), newer(undefined, 3))
    expect(refusedOn(newer(undefined, 2), play).code).toBe('JOB_NOT_CARRIED')
  })

  test('for a homeowner, for who has not joined, and for who does not hold the tub', () => {
    const play = practised('make-dead.prove')
    expect(refusedOn(newer(), play, DESK).code).toBe('JOB_NOT_JOINED')
    play.join(OWNER)
    expect(refusedOn(newer(), play, OWNER).code).toBe('JOB_NOT_FOR_ROLE')
    const second = { ...TECHNICIAN, id: 'tech-02', name: 'Second' }
    play.send({ type: 'join', person: second, on_site: true }, second)
    expect(refusedOn(newer(), play, second).code).toBe('JOB_NOT_HOLDER')
  })

  test('once the job has ended', () => {
    const play = practised('make-dead.prove')
    goOn(play, 'end')
    expect(refusedOn(newer(), play).code).toBe('JOB_ENDED')
  })
})
