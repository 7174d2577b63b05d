// A small hand-made edition, and a job on it: one question, one test card, one fitted part, one ending. Nothing of the library is used.
// The engine that walks it is the real one.
import { createEngine } from '#graphs'
import type { Block, Edition, JobState, Step } from '#graphs'
import type { EventBodies, JobEvent } from '#graphs/contract'

type Rough = Partial<Step> & Pick<Step, 'kind' | 'title' | 'outcomes'>

function step(id: string, rough: Rough): Step {
  const plain = {
    part: 'find',
    who: ['technician'],
    signed: [],
    needs: 'talk',
    at: [],
    hands: 'none',
    says: [],
    why: 'Because.',
    minutes: 1,
    tools: [],
  } as const
  return { id, order: Object.keys(rough.outcomes), ...plain, ...rough }
}

function block(id: string, kind: Block['kind'], title: string, steps: { readonly [id: string]: Rough }, exits: Block['exits'] = {}): Block {
  const [start = ''] = Object.keys(steps)
  return {
    id,
    kind,
    title,
    about: '',
    start,
    exits,
    lasts: 'job',
    steps: Object.fromEntries(Object.entries(steps).map(([name, rough]) => [name, step(name, rough)])),
  }
}

const FLOW = block('overheating', 'flow', 'Water too hot', {
  'what-happens': {
    kind: 'ask',
    title: 'What it does',
    outcomes: {
      hot: { label: 'Runs hot', to: 'relay' },
      message: { label: 'Shows a message', to: 'message' },
      'not-done': { label: 'Not done', to: 'relay' },
    },
  },
  message: { kind: 'ask', title: 'What the message says', outcomes: { heat: { label: 'Heat', to: 'relay' } } },
  relay: {
    kind: 'call',
    title: 'Relay',
    outcomes: { 'both-closed': { label: '', to: 'swap' }, 'both-open': { label: '', to: 'swap' }, 'not-done': { label: '', to: 'swap' } },
    call: { block: 'relay-contacts-dead', exits: {}, fresh: false },
  },
  swap: {
    kind: 'fit',
    title: 'Swap the board',
    fit: {
      part: 'control-board',
      evidence: {
        one_of: ['relay-contacts-dead=both-closed'],
        all_of: [],
        rivals: [{ fault: 'tsensor-bad', by: ['sensor-resistance=both-good'] }],
      },
      trial: false,
      consumable: false,
    },
    outcomes: {
      fitted: {
        label: 'Fitted',
        to: 'end',
        effects: [
          { do: 'part-out', part: 'control-board' },
          { do: 'part-in', part: 'control-board' },
        ],
      },
      'no-part': { label: 'No board here', to: 'end' },
    },
  },
  end: {
    kind: 'finish',
    title: 'End',
    outcomes: {},
    says: ['Book a call.'],
    finish: { ending: 'repaired', tub: 'safe-to-use', guard: 'Nobody in above {temp 40}.' },
  },
})

const RELAY = block(
  'relay-contacts-dead',
  'test',
  'Relay contacts',
  {
    test: {
      kind: 'ask',
      title: 'Measure the poles',
      outcomes: {
        'both-closed': { label: 'Closed', to: 'exit:both-closed' },
        'both-open': { label: 'Open', to: 'exit:both-open' },
        'not-done': { label: 'Not done', to: 'exit:not-done' },
      },
    },
  },
  { 'both-closed': { label: 'Both closed' }, 'both-open': { label: 'Both open' }, 'not-done': { label: 'Not done' } },
)

const NONE = { block: 'overheating', exits: {} }
const fault = (slug: string, label: string, plain: string) => ({ slug, label, plain, repair: '', parts: [], minutes: 10 })

export const EDITION: Edition = {
  number: 7,
  semantics: 1,
  blocks: { overheating: FLOW, 'relay-contacts-dead': RELAY },
  standing: { dead: NONE, prove: NONE, live_shut: NONE, live_open: NONE, water_clear: NONE },
  interrupts: { stop: NONE, leave: NONE },
  red_flags: [],
  symptoms: [{ flow: 'overheating', complaint: 'hotter-than-set', label: 'Hotter than set', phrases: [] }],
  faults: {
    'relay-stuck': fault('relay-stuck', 'Relay welded', 'A switch is stuck on.'),
    'tsensor-bad': fault('tsensor-bad', 'Sensor drifted', 'A sensor reads wrong.'),
    'plug-corroded': fault('plug-corroded', 'Plug oxidized', 'A plug is corroded.'),
    'heat-creep': fault('heat-creep', 'Heat creep', 'Warm weather adds heat.'),
    'set-mode': fault('set-mode', 'Settings', 'It does what it was told.'),
  },
  parts: {
    'control-board': { slug: 'control-board', label: 'Control board', consumable: false, matched: true },
    'union-o-ring': { slug: 'union-o-ring', label: 'O-ring', consumable: true, matched: false },
  },
  history: {},
  supplies: {},
  families: {
    overheating: {
      slug: 'overheating',
      priors: { 'hotter-than-set': { 'relay-stuck': 0.2, 'tsensor-bad': 0.3, 'heat-creep': 0.5 } },
      tests: [
        {
          test: 'relay-contacts-dead',
          table: {
            'relay-stuck': { 'both-closed': 0.8, 'both-open': 0.2 },
            'tsensor-bad': { 'both-closed': 0.01, 'both-open': 0.99 },
            'heat-creep': { 'both-closed': 0.01, 'both-open': 0.99 },
          },
        },
      ],
    },
  },
  practice: { about: 'Nothing is practised here.', answers: {} },
  not_done: [{ slug: 'no-tool', label: 'The tool is not here' }],
}

export const ENGINE = createEngine(EDITION)

/** Events by hand, a minute apart. */
export type Line = { [T in keyof EventBodies]: readonly [type: T, body: EventBodies[T]] }[keyof EventBodies]

export function eventsOf(...bodies: readonly Line[]): JobEvent[] {
  return bodies.map(
    ([type, body], index) =>
      ({
        id: `event-${index}`,
        job: 'hand-made',
        v: 1,
        at: 1_000_000 + index * 60_000,
        by: { person: 'tech-one', role: 'technician' },
        channel: 'site',
        device: 'device-one',
        visit: 0,
        edition: 7,
        type,
        body,
      }) as JobEvent,
  )
}

export const OPENED: Line = [
  'job-opened',
  { flow: 'overheating', complaint: 'hotter-than-set', short: 'HM-1', words: 'Too hot.', practice: true },
]
export const JOINED: Line = [
  'person-joined',
  { person: { id: 'tech-one', name: 'Kim', role: 'technician', signed: ['absence-of-voltage'] }, on_site: false },
]

export function answered(
  key: string,
  outcome: string,
  more: { readonly [field: string]: unknown } = {},
): readonly ['answer-given', EventBodies['answer-given']] {
  return ['answer-given', { key: `0|${key}`, step: key.slice(key.lastIndexOf('.') + 1, -2), outcome, ...more }] as const
}

export function stateOf(events: readonly JobEvent[]): JobState {
  const state = ENGINE.fold(events)
  if (state === undefined) throw new Error('nothing was opened')
  return state
}
