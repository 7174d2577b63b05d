// A small invented edition that keeps every rule: a call, a visit, one test, one board, one proof of the repair. Breaches are planted on copies of it.
// What is planted stands in planted.ts.
import type { Block, Edition, Step } from '#graphs'

type Outcome = Step['outcomes'][string]
type Effect = NonNullable<Outcome['effects']>[number]
type Loose<T> = { -readonly [K in keyof T]: T[K] }
/** `to`, then effects in words: "energy off". */
type Ways = { readonly [outcome: string]: string | readonly [to: string, ...effects: string[]] }

export type OpenStep = Loose<Omit<Step, 'outcomes' | 'at' | 'who' | 'signed'>> & {
  outcomes: { [name: string]: Loose<Outcome> }
  at: string[]
  who: string[]
  signed: string[]
}
export type OpenEdition = { blocks: { [id: string]: Loose<Omit<Block, 'steps'>> & { steps: { [id: string]: OpenStep } } } } & Omit<
  Edition,
  'blocks'
>

export function effect(words: string): Effect {
  const [verb = '', first = ''] = words.split(' ')
  if (verb === 'energy' || verb === 'covers' || verb === 'leads') return { do: verb, to: first } as Effect
  if (verb === 'lock' || verb === 'unlock') return { do: verb, owner: first } as Effect
  if (verb === 'part-in' || verb === 'part-out') return { do: verb, part: first }
  if (verb === 'hazard' || verb === 'clear-hazard') return { do: verb, hazard: first } as Effect
  if (verb === 'gfci') return { do: verb, result: first } as Effect
  if (verb === 'mark' || verb === 'unmark') return { do: verb, mark: first }
  if (verb === 'flag') return { do: verb, flag: first }
  return { do: verb } as Effect
}

export function way(to: string, ...effects: readonly string[]): Loose<Outcome> {
  return { label: to, to, ...(effects.length === 0 ? {} : { effects: effects.map((words) => effect(words)) }) }
}

type Fields = Partial<Omit<Step, 'id' | 'outcomes' | 'at' | 'who' | 'signed'>> & {
  readonly at?: readonly string[]
  readonly who?: readonly string[]
  readonly signed?: readonly string[]
}

export function step(id: string, fields: Fields, ways: Ways = {}): OpenStep {
  const outcomes = Object.fromEntries(
    Object.entries(ways).map(([name, to]) => [name, typeof to === 'string' ? way(to) : way(to[0], ...to.slice(1))]),
  )
  const call = fields.call === undefined ? {} : { call: { ...fields.call, exits: {} } }
  const rest = { kind: 'do', part: 'find', needs: 'talk', hands: 'none', title: id, says: [], why: '', minutes: 1, tools: [] } as const
  const made = {
    ...rest,
    ...fields,
    ...call,
    id,
    outcomes,
    order: Object.keys(outcomes),
    who: fields.who ?? ['technician'],
    signed: fields.signed ?? [],
    at: fields.at ?? [],
  }
  return made as unknown as OpenStep
}

const call = (id: string, block: string, ways: Ways) => step(id, { kind: 'call', call: { block, exits: {}, fresh: false } }, ways)
const fresh = (id: string, block: string, ways: Ways) => step(id, { kind: 'call', call: { block, exits: {}, fresh: true } }, ways)
const finish = (id: string, ending: string, tub: string, guard?: string) =>
  step(id, { kind: 'finish', finish: { ending, tub, ...(guard === undefined ? {} : { guard }) } as never })
const decide = (id: string, cases: readonly { readonly outcome: string; readonly when: readonly object[] }[], ways: Ways) =>
  step(id, { kind: 'decide', cases: cases as never }, ways)

function block(id: string, kind: Block['kind'], exits: readonly string[], steps: readonly OpenStep[], more: Partial<Block> = {}) {
  const start = steps[0]?.id ?? ''
  const byId = Object.fromEntries(steps.map((one) => [one.id, one]))
  return {
    id,
    kind,
    title: id,
    about: '',
    start,
    lasts: 'job' as const,
    exits: Object.fromEntries(exits.map((exit) => [exit, {}])),
    ...more,
    steps: byId,
  }
}

const OUTSIDE = ['homeowner', 'dispatcher', 'technician']
const DEAD = { needs: 'dead', hands: 'inside', at: ['board'] } as const
const PROVING = { needs: 'proving', hands: 'inside', at: ['terminals'], signed: ['absence-of-voltage'] } as const

const PROVED = ['heat-off-held', 'demand-cycled', 'settings-restored', 'hold-done', 'switches-compared', 'measured']

const phoneSteps = () => [
  step(
    'people',
    { kind: 'ask', who: OUTSIDE, part: 'phone' },
    { fine: 'reset', shocked: ['phone-off', 'hazard shock'], burning: ['phone-off', 'hazard heat'] },
  ),
  step(
    'reset',
    { who: OUTSIDE, part: 'phone', needs: 'shut', hands: 'outside', tools: ['watch'] },
    { holds: ['phone-end', 'reset'], trips: ['phone-visit', 'reset'] },
  ),
  finish('phone-end', 'normal', 'not-checked-on-site'),
  finish('phone-visit', 'second-visit', 'not-checked-on-site'),
  finish('phone-off', 'for-electrician', 'not-checked-on-site'),
]

const visitSteps = () => [
  step(
    'begin',
    {},
    {
      here: ['stops', ...['measured', 'heat-off-held', 'demand-cycled', 'settings-restored', 'hold-done'].map((mark) => `unmark ${mark}`)],
    },
  ),
  decide(
    'stops',
    [
      { outcome: 'shock', when: [{ hazard: 'shock' }] },
      { outcome: 'voltage', when: [{ hazard: 'voltage' }] },
      { outcome: 'heat', when: [{ hazard: 'heat' }] },
      { outcome: 'suction', when: [{ hazard: 'suction-cover' }] },
      { outcome: 'gfci', when: [{ hazard: 'gfci-failed' }] },
      { outcome: 'undemanded', when: [{ hazard: 'heat-without-demand' }] },
      { outcome: 'none', when: [] },
    ],
    { shock: 'clearance', voltage: 'clearance', heat: 'leave', suction: 'leave', gfci: 'leave', undemanded: 'contacts', none: 'rise' },
  ),
  step('clearance', { who: ['electrician'] }, { cleared: ['stops', 'clear-hazard shock', 'clear-hazard voltage'], 'not-cleared': 'leave' }),
  step(
    'rise',
    { kind: 'ask', needs: 'live-shut', hands: 'outside' },
    { warmer: ['contacts', 'hazard heat-without-demand'], steady: 'seen', 'not-done': 'leave' },
  ),
  fresh('contacts', 'contacts-dead', { welded: 'record', good: 'leave', 'not-done': 'leave' }),
]

const boardSteps = () => [
  step(
    'record',
    { kind: 'record', ...DEAD },
    { done: ['loads', 'mark switches-recorded', 'mark conductors-recorded', 'mark loads-recorded'], 'not-done': 'leave' },
  ),
  fresh('loads', 'loads-dead', { sound: ['fit', 'mark loads-sound'], weak: 'leave', 'not-done': 'leave' }),
  step(
    'fit',
    {
      kind: 'fit',
      ...DEAD,
      fit: {
        part: 'control-board',
        evidence: { one_of: ['contacts-dead=welded'], all_of: [], rivals: [] },
        trial: false,
        consumable: false,
      },
    },
    {
      fitted: ['compare', 'part-out control-board', 'part-in control-board', 'mark board-in', 'unmark switches-compared'],
      'not-done': 'leave',
    },
  ),
  step(
    'compare',
    { kind: 'record', ...DEAD },
    { match: ['off-rise', 'mark switches-compared', 'mark heat-path-repaired'], mismatch: 'leave', 'not-done': 'leave' },
  ),
]

const proofSteps = () => [
  step(
    'off-rise',
    { kind: 'ask', needs: 'live-shut', hands: 'outside' },
    { steady: ['held', 'mark heat-off-held', 'mark demand-cycled'], warmer: 'leave', 'not-done': 'leave' },
  ),
  decide(
    'held',
    [
      { outcome: 'open', when: [{ hazard: 'heat-without-demand' }] },
      { outcome: 'none', when: [] },
    ],
    {
      open: ['restore', 'clear-hazard heat-without-demand'],
      none: 'restore',
    },
  ),
  step('restore', {}, { done: ['button', 'mark settings-restored', 'mark hold-done'], 'not-done': 'leave' }),
  step(
    'button',
    { needs: 'live-shut', hands: 'outside', starts: 'button' },
    { trips: ['water', 'gfci passed'], dead: ['leave', 'gfci failed', 'hazard gfci-failed'], 'not-done': 'leave' },
  ),
  step(
    'water',
    {
      kind: 'read',
      needs: 'live-shut',
      hands: 'string',
      evaluator: 'water-limit',
      readings: [{ name: 'water', quantity: 'temperature', label: 'Water', units: ['degF'] }],
    },
    { safe: ['covers', 'mark measured'], 'above-limit': 'leave', 'not-done': 'leave' },
  ),
  step(
    'covers',
    { kind: 'ask' },
    { whole: ['judge', 'mark suction-covers-seen'], broken: ['leave', 'hazard suction-cover'], 'not-done': 'leave' },
  ),
  decide(
    'judge',
    [
      { outcome: 'hot', when: [{ water_above: 40 }] },
      { outcome: 'was-hot', when: [{ hazard: 'hot-water' }] },
      { outcome: 'undemanded', when: [{ hazard: 'heat-without-demand' }] },
      { outcome: 'repaired', when: PROVED.map((mark) => ({ mark })) },
      { outcome: 'unmeasured', when: [{ no_mark: 'measured' }] },
      { outcome: 'normal', when: [] },
    ],
    { hot: 'leave', 'was-hot': 'leave', undemanded: 'leave', repaired: 'end-repaired', unmeasured: 'leave', normal: 'end-normal' },
  ),
  step('seen', { kind: 'ask' }, { fine: 'button', odd: 'leave' }),
  finish('end-repaired', 'repaired', 'safe-to-use'),
  finish('end-normal', 'normal', 'safe-to-use'),
  call('leave', 'leave-off', { off: 'end-off' }),
  finish('end-off', 'made-safe', 'off-out-of-service-lock', 'Cover shut and latched, frost plan written'),
]

const flow = () => block('flow', 'flow', [], [...phoneSteps(), ...visitSteps(), ...boardSteps(), ...proofSteps()], { arrive: 'begin' })

const deadProcedures = () => [
  block(
    'make-dead',
    'procedure',
    ['safe', 'voltage', 'refused'],
    [
      decide(
        'stands',
        [
          { outcome: 'voltage', when: [{ hazard: 'voltage' }] },
          { outcome: 'none', when: [] },
        ],
        { voltage: 'exit:voltage', none: 'off' },
      ),
      step('off', { hands: 'outside' }, { off: ['lock', 'energy off'], 'not-done': 'exit:refused' }),
      step('lock', { hands: 'outside' }, { on: ['open', 'lock own'], 'not-done': 'exit:refused' }),
      step('open', { ...PROVING }, { off: ['prove', 'covers off'], 'not-done': 'exit:refused' }),
      step(
        'prove',
        { kind: 'record', ...PROVING },
        { zero: ['exit:safe', 'proof'], voltage: ['exit:voltage', 'hazard voltage'], 'not-done': 'exit:refused' },
      ),
    ],
  ),
  block(
    'prove-place',
    'procedure',
    ['safe', 'voltage', 'refused'],
    [
      step(
        'prove',
        { kind: 'record', ...PROVING },
        { zero: ['exit:safe', 'proof'], voltage: ['exit:voltage', 'hazard voltage'], 'not-done': 'exit:refused' },
      ),
    ],
  ),
]

const closing = () => [
  block(
    'close',
    'procedure',
    ['running', 'not-ready'],
    [
      decide(
        'stands',
        [
          { outcome: 'shock', when: [{ hazard: 'shock' }] },
          { outcome: 'voltage', when: [{ hazard: 'voltage' }] },
          { outcome: 'strange', when: [{ mark: 'board-in' }, { no_mark: 'switches-compared' }] },
          { outcome: 'open', when: [{ covers: 'off' }] },
          { outcome: 'shut', when: [] },
        ],
        { shock: 'exit:not-ready', voltage: 'exit:not-ready', strange: 'exit:not-ready', open: 'shut', shut: 'locks' },
      ),
      step('shut', { needs: 'dead', hands: 'inside', at: ['terminals'] }, { closed: ['locks', 'covers on'], 'not-done': 'exit:not-ready' }),
      step('locks', { hands: 'outside' }, { off: ['power', 'unlock own', 'unlock shop', 'unlock others'], 'not-done': 'exit:not-ready' }),
      step('power', { needs: 'shut', hands: 'outside', starts: 'power' }, { on: ['first', 'energy on'], 'not-done': 'exit:not-ready' }),
      step(
        'first',
        { needs: 'shut', hands: 'outside', starts: 'button' },
        {
          trips: ['exit:running', 'gfci passed'],
          dead: ['exit:not-ready', 'energy off', 'gfci failed', 'hazard gfci-failed'],
          'not-done': ['exit:not-ready', 'energy off'],
        },
      ),
    ],
  ),
]

const others = () => [
  block(
    'live-gate',
    'procedure',
    ['met', 'not-met'],
    [step('needed', { kind: 'ask', signed: ['energized-work'] }, { yes: ['exit:met', 'covers off'], 'not-done': 'exit:not-met' })],
  ),
  block(
    'water-clear',
    'procedure',
    ['clear', 'not-clear'],
    [
      step(
        'clear',
        { kind: 'ask', who: OUTSIDE },
        { yes: ['exit:clear', 'water-clear'], no: 'exit:not-clear', 'not-done': 'exit:not-clear' },
      ),
    ],
  ),
  block(
    'leave-off',
    'procedure',
    ['off'],
    [
      step('off', { hands: 'outside' }, { off: ['shut', 'energy off'] }),
      step('shut', { hands: 'outside' }, { closed: ['locks', 'covers on'] }),
      step('locks', { hands: 'outside' }, { changed: ['exit:off', 'lock shop', 'unlock own', 'unlock others'] }),
    ],
  ),
  block(
    'stop',
    'procedure',
    ['go-on'],
    [call('leave', 'leave-off', { off: 'end' }), finish('end', 'made-safe', 'off-out-of-service-lock', 'Guarded')],
  ),
  block(
    'contacts-dead',
    'test',
    ['welded', 'good', 'not-done'],
    [step('test', { kind: 'ask', ...DEAD }, { welded: 'exit:welded', good: 'exit:good', 'not-done': 'exit:not-done' })],
  ),
  block(
    'loads-dead',
    'test',
    ['sound', 'weak', 'not-done'],
    [step('test', { kind: 'ask', ...DEAD }, { sound: 'exit:sound', weak: 'exit:weak', 'not-done': 'exit:not-done' })],
  ),
]

/** A fresh copy, open to be changed. */
export function smallEdition(): OpenEdition {
  const stop = { put: 'stop' }
  const standing = {
    dead: { block: 'make-dead', exits: { safe: 'return', voltage: stop, refused: stop } },
    prove: { block: 'prove-place', exits: { safe: 'return', voltage: stop, refused: stop } },
    live_shut: { block: 'close', exits: { running: 'return', 'not-ready': 'not-done' } },
    live_open: { block: 'live-gate', exits: { met: 'return', 'not-met': 'not-done' } },
    water_clear: { block: 'water-clear', exits: { clear: 'return', 'not-clear': 'not-done' } },
  }
  const blocks = Object.fromEntries([flow(), ...deadProcedures(), ...closing(), ...others()].map((one) => [one.id, one]))
  const tables = {
    red_flags: [],
    symptoms: [],
    faults: {},
    parts: {},
    history: {},
    supplies: {},
    families: {},
    not_done: [],
    practice: { about: '', answers: {} },
  }
  const interrupts = { stop: { block: 'stop', exits: { 'go-on': 'return' } }, leave: { block: 'stop', exits: { 'go-on': 'return' } } }
  return { number: 1, semantics: 1, blocks, standing, interrupts, ...tables } as unknown as OpenEdition
}
