// The state chart of a block against SCXML 1.0 (W3C Recommendation, 1 September 2015): well-formed, sound in structure, and run by an
// interpreter of its own kind to the same places as the plain walker of the laws.
import { expect, test } from 'vitest'
import type { JobEvent } from '#graphs/contract'
import type { Edition, Step } from '#graphs'
import { scxmlOf } from '#graphs/author'
import { testEdition } from '../../server/edition.ts'
import { framesByTables } from '../../laws/plain-walker.ts'
import { readChart, runChart } from './state-chart.ts'

const edition = testEdition()
const blockOf = (name: string) => {
  const block = edition.blocks[name]
  if (block === undefined) throw new Error(`no block ${name}`)
  return block
}
/** xs:ID (XML Schema part 2) as far as ASCII goes. */
const ID = /^[A-Za-z_][\w.-]*$/

test.each(Object.keys(edition.blocks))('the chart of %s is well-formed, and every target is a state in it', (name) => {
  const chart = readChart(scxmlOf(blockOf(name), edition))
  expect(chart.root.namespaceURI).toBe('http://www.w3.org/2005/07/scxml')
  expect(chart.root.getAttribute('version')).toBe('1.0')
  expect(new Set(chart.ids).size).toBe(chart.ids.length)
  expect(chart.ids.filter((id) => !ID.test(id))).toEqual([])
  const targets = [
    chart.initial,
    ...[...chart.states.values()].flatMap(({ initial, transitions }) => [initial, ...transitions.map(({ target }) => target)]),
  ]
  expect(targets.filter((target) => target !== null && !chart.states.has(target))).toEqual([])
  // 3.3: what a compound state begins with lies inside it; 3.7: a final has no way out.
  for (const { id, initial, isFinal, transitions } of chart.states.values()) {
    if (initial !== null) expect(initial.startsWith(`${id}.`), id).toBe(true)
    if (isFinal) expect(transitions, id).toEqual([])
  }
})

/** Whole numbers below `n`, the same at each run. */
function createDraw(seed: number): (n: number) => number {
  let state = seed
  return (n) => {
    state = (Math.imul(state, 1_103_515_245) + 12_345) & 0x7fffffff
    return (state >>> 8) % n
  }
}

function stepAt(frames: string): { id: string; step: Step } {
  const path = frames.split('>').map((frame) => frame.replace(/#\d+$/, ''))
  const [block = '', step = ''] = (path.at(-1) ?? '').split('.')
  const found = edition.blocks[block]?.steps[step]
  if (found === undefined) throw new Error(`no step at ${frames}`)
  return { id: path.join('.').replaceAll(/[^\w.-]/g, '_'), step: found }
}

test.each([
  ['overheating', 40],
  ['make-dead', 60],
  ['prove-the-repair', 60],
] as const)('random answers lead the chart of %s to where the plain walker stands', (flow, walks) => {
  const chart = readChart(scxmlOf(blockOf(flow), edition))
  let [compared, ended, beyond] = [0, 0, 0]
  for (let seed = 1; seed <= walks; seed += 1) {
    const draw = createDraw(seed)
    const run = runChart(chart)
    const taken = new Map<string, number>()
    const events = [{ type: 'job-opened', body: { flow } }] as unknown as JobEvent[]
    for (let count = 0; count < 80; count += 1) {
      const frames = framesByTables(edition, events)
      if (frames === '') {
        expect(run.at()).toMatch(/^exit\./)
        ended += 1
        break
      }
      const { id, step } = stepAt(frames)
      const end = step.finish ?? step.refer
      expect(run.at(), `${flow} seed ${seed}`).toBe(end === undefined ? id : `ended.${end.ending}`)
      compared += 1
      if (end !== undefined) {
        ended += 1
        break
      }
      // Ways back are sought, so that their bounds are met.
      const backward = step.order.find((name) => step.outcomes[name]?.again !== undefined && draw(10) < 8)
      const outcome = backward ?? step.order[draw(2) > 0 ? 0 : draw(step.order.length)] ?? ''
      const times = (taken.get(`${id}=${outcome}`) ?? 0) + 1
      taken.set(`${id}=${outcome}`, times)
      if (times > (step.outcomes[outcome]?.again?.most ?? Infinity)) beyond += 1
      events.push({ type: 'answer-given', body: { key: `0|${frames}`, outcome } } as unknown as JobEvent)
      expect(run.send(`answer.${outcome}`)).toBe(true)
    }
  }
  expect(compared).toBeGreaterThanOrEqual(walks)
  if (flow === 'overheating') expect(beyond).toBeGreaterThan(0)
  expect(ended).toBeGreaterThan(walks / 2)
})

test('an answer that the step does not offer moves nothing', () => {
  const run = runChart(readChart(scxmlOf(blockOf('water-clear'), edition)))
  const before = run.at()
  expect(run.send('answer.nobody-offers-this')).toBe(false)
  expect(run.at()).toBe(before)
})

test('a block that is called again counts its ways back anew', () => {
  const step = (id: string, more: object) => ({ id, kind: 'ask', title: id, needs: 'talk', order: [], ...more })
  const onceThen = (target: string): unknown => JSON.parse(`{ "most": 1, "then": "${target}" }`)
  const inner = {
    id: 'inner',
    title: 'Inner',
    start: 's',
    steps: { s: step('s', { outcomes: { once: { label: 'Once', to: 's', again: onceThen('exit:out') } } }) },
  }
  const outer = {
    id: 'outer',
    title: 'Outer',
    start: 'a',
    steps: {
      a: step('a', {
        kind: 'call',
        call: { block: 'inner' },
        outcomes: { out: { label: 'Out', to: 'a', again: onceThen('exit:done') } },
      }),
    },
  }
  const blocks = { inner, outer } as unknown as Edition['blocks']
  const run = runChart(readChart(scxmlOf(outer as unknown as Edition['blocks'][string], { blocks })))
  const places = [run.at()]
  for (let count = 0; count < 4; count += 1) {
    run.send('answer.once')
    places.push(run.at())
  }
  // Twice in the first call, the second answer leaves it; the second call allows the way back once more, then all is done.
  expect(places).toEqual(['outer.a.inner.s', 'outer.a.inner.s', 'outer.a.inner.s', 'outer.a.inner.s', 'exit.done'])
})
