// The shape of a compiled edition: what the engine, the observers and the shells read. Plain data, JSON-safe, no defaults left open.
// How YAML becomes this lives in compile.ts; nothing here knows YAML or zod.

export type Role = 'homeowner' | 'dispatcher' | 'technician' | 'electrician'
export type SignOff = 'absence-of-voltage' | 'energized-work'
export type StepKind = 'ask' | 'read' | 'do' | 'record' | 'wait' | 'decide' | 'call' | 'refer' | 'fit' | 'finish'
export type Part = 'phone' | 'arrive' | 'make-dead' | 'find' | 'mend' | 'prove' | 'close'

/**
 * What a step needs of the tub before hands may do it.
 * talk: nothing of the tub is touched · shut: electrical covers on, power as it is · live-shut: covers on and power on
 * proving: off and locked, not yet proved · dead: proved at every place in `at` · live-open: energized with a cover off.
 */
export type Need = 'talk' | 'shut' | 'live-shut' | 'proving' | 'dead' | 'live-open'
/** Where hands go inside. */
export type HandPlace = 'terminals' | 'board' | 'heater' | 'pump'
/** What hands touch. string: a thermometer on a string, plastic, no metal. */
export type Hands = 'none' | 'outside' | 'string' | 'water' | 'inside'

export type SignalWord = 'danger' | 'warning' | 'caution' | 'notice'
export type Hazard = { readonly word: SignalWord; readonly text: string }

/** Standing hazards and plain states of the tub. `sticky` ones survive hand-over, reopening and a new edition. */
export const HAZARD_SLUGS = [
  'shock', // felt by anyone, ever
  'voltage', // there after switching off
  'flood',
  'heat', // heat, smoke or burning at electrics
  'heat-without-demand',
  'hot-water', // seen above 108 degF
  'suction-cover',
  'gfci-failed',
  'bridged-device',
  'wet-electrics',
] as const
export type HazardSlug = (typeof HAZARD_SLUGS)[number]

/** What an outcome does to the tub; each becomes an event of its own that no undo takes back. */
export type Effect =
  | { readonly do: 'energy'; readonly to: 'on' | 'off' }
  | { readonly do: 'lock'; readonly owner: 'own' | 'shop' }
  /** others: personal locks of everybody else, each by its owner or by a lead's recorded order. */
  | { readonly do: 'unlock'; readonly owner: 'own' | 'shop' | 'others' }
  | { readonly do: 'covers'; readonly to: 'on' | 'off' }
  | { readonly do: 'proof' } // of the places the step was asked to prove
  | { readonly do: 'leads'; readonly to: 'capped' | 'on' }
  | { readonly do: 'part-out' | 'part-in'; readonly part: string }
  | { readonly do: 'hazard'; readonly hazard: HazardSlug }
  | { readonly do: 'clear-hazard'; readonly hazard: HazardSlug }
  | { readonly do: 'reset' } // one reset or restart of the job is used
  | { readonly do: 'gfci'; readonly result: 'passed' | 'failed' }
  | { readonly do: 'water-clear' } // nobody in, hands clear, everybody told
  | { readonly do: 'mark'; readonly mark: string } // something recorded or seen, e.g. switches-recorded
  | { readonly do: 'unmark'; readonly mark: string }
  | { readonly do: 'flag'; readonly flag: string } // history or finding; lives in the path, so a change takes it back
  | { readonly do: 'fact'; readonly slug: string; readonly value: string | number | boolean }
  | { readonly do: 'approve'; readonly what: string }

/** A step of the same block, or `exit:<name>` of the block. */
export type Target = string

export type Outcome = {
  readonly label: string
  readonly to: Target
  readonly effects?: readonly Effect[]
  /** A backward arrow: taken at most this often, then `then`. */
  readonly again?: { readonly most: number; readonly then: Target }
  /** Probability of this outcome on a question that discriminates nothing. */
  readonly odds?: number
}

/** Whose lock: the shop's out-of-service lock, the personal lock of whoever holds the tub, or a personal lock of somebody else. */
export type LockOf = 'own' | 'shop' | 'others'

/** All conditions of a case must hold. */
export type Condition =
  | { readonly result: string; readonly is: readonly string[] } // standing result of a test card
  | { readonly result: string; readonly not: readonly string[] } // also true when there is no result
  | { readonly flag: string }
  | { readonly no_flag: string }
  | { readonly hazard: HazardSlug }
  | { readonly no_hazard: HazardSlug }
  | { readonly mark: string }
  | { readonly no_mark: string }
  | { readonly fact: string; readonly is: readonly (string | number | boolean)[] }
  | { readonly fact: string; readonly at_least: number }
  | { readonly fact: string; readonly below: number }
  | { readonly energy: readonly ('on' | 'off' | 'unknown')[] }
  | { readonly covers: 'on' | 'off' }
  | { readonly locked: boolean }
  | { readonly lock: LockOf } // on the disconnect now
  | { readonly no_lock: LockOf }
  | { readonly on_site: boolean }
  | { readonly signed: SignOff }
  | { readonly resets_used: boolean }
  | { readonly water_above: number } // degC, last thermometer reading; unknown counts as false

export type Case = { readonly outcome: string; readonly when: readonly Condition[] }

export type ReadingSpec = {
  readonly name: string
  readonly quantity: string
  readonly label: string
  /** Units offered, the first is the likely one; ids of trade/quantity.ts. */
  readonly units: readonly string[]
  readonly instrument?: string
  readonly optional?: boolean
  /** Picked instead of typed, e.g. yes and no for a count of 1 and 0. */
  readonly choices?: readonly { readonly typed: string; readonly label: string }[]
  /** Several readings of the same thing over time. */
  readonly series?: {
    readonly least: number
    readonly span_minutes: number
    readonly every_minutes: number
    /** SI: a last reading from here on ends the series early, two readings are then enough. */
    readonly enough_at?: number
  }
}

/** Structured records. pairs: proof of dead by place and pair · switches / switches-new / conductors / loads: as-found and as-left. */
export type FormSpec =
  | { readonly form: 'facts'; readonly facts: readonly string[] }
  | { readonly form: 'pairs' }
  | { readonly form: 'switches'; readonly which: 'old' | 'new' }
  | { readonly form: 'conductors' }
  | { readonly form: 'loads' }
  | { readonly form: 'settings'; readonly which: 'found' | 'left' }
  | { readonly form: 'checklist'; readonly items: readonly string[] }
  | { readonly form: 'text'; readonly fields: readonly { readonly name: string; readonly label: string }[] }

export type Evidence = {
  /** "test-card=outcome": at least one stands and still lasts. */
  readonly one_of: readonly string[]
  readonly all_of: readonly string[]
  /** Faults that look alike, each with the results that rule it out; none of them = written down as untested. */
  readonly rivals: readonly { readonly fault: string; readonly by: readonly string[] }[]
}

export type Ending =
  | 'solved-by-phone'
  | 'normal'
  | 'repaired'
  | 'repaired-to-confirm'
  | 'made-safe'
  | 'for-electrician'
  | 'second-visit'
  | 'declined'
  | 'specialist'
  | 'not-proved'
export type TubState = 'safe-to-use' | 'usable-with-limits' | 'off-out-of-service-lock' | 'off' | 'not-checked-on-site'

export type Step = {
  readonly id: string
  readonly kind: StepKind
  readonly part: Part
  readonly who: readonly Role[]
  readonly signed: readonly SignOff[]
  readonly needs: Need
  readonly at: readonly HandPlace[]
  readonly hands: Hands
  /** Something starts to move, or power comes, or a test button is pressed: needs a fresh water-clear answer. */
  readonly starts?: string
  readonly title: string
  readonly says: readonly string[]
  /** The same in words a homeowner or a caller hears; without it `says` is fit for both. */
  readonly ask_aloud?: string
  readonly why: string
  readonly minutes: number
  readonly tools: readonly string[]
  readonly hazard?: Hazard
  readonly outcomes: { readonly [name: string]: Outcome }
  /** Names of the outcomes as the author put them: canonical JSON sorts the table itself. */
  readonly order: readonly string[]
  /** Where people who may not do the step go instead: a step of the block. */
  readonly otherwise?: Target
  readonly readings?: readonly ReadingSpec[]
  readonly evaluator?: string
  readonly form?: FormSpec
  readonly wait?: { readonly minutes: number; readonly meanwhile: readonly string[] }
  readonly cases?: readonly Case[]
  readonly call?: { readonly block: string; readonly exits: { readonly [exit: string]: Target }; readonly fresh: boolean }
  readonly fit?: { readonly part: string; readonly evidence: Evidence; readonly trial: boolean; readonly consumable: boolean }
  readonly finish?: { readonly ending: Ending; readonly tub: TubState; readonly reason?: string; readonly guard?: string }
  readonly refer?: { readonly to: string; readonly ending: Ending; readonly tub: TubState }
}

export type Exit = {
  /** What holds when the block is left by this exit. */
  readonly ensures?: Need
  /** As a test result: what it says in the note. */
  readonly label?: string
}

/** How long a result stands. */
export type Lasts = 'job' | 'visit' | 'until-power-up' | 'until-part-fitted' | { readonly minutes: number }

export type Block = {
  readonly id: string
  readonly kind: 'flow' | 'procedure' | 'test'
  readonly title: string
  /** One line for the log when the block begins; empty = none. */
  readonly about: string
  readonly start: string
  /** Entry of a technician who arrives on site (flows only). */
  readonly arrive?: string
  readonly exits: { readonly [name: string]: Exit }
  readonly lasts: Lasts
  /** Tests of one group look at the same thing. */
  readonly group?: string
  readonly steps: { readonly [id: string]: Step }
}

/** What happens when a procedure that the engine put on top leaves by an exit. */
export type AfterPut = 'return' | 'not-done' | { readonly put: string }
export type Standing = { readonly block: string; readonly exits: { readonly [exit: string]: AfterPut } }

export type RedFlag = {
  readonly slug: string
  readonly label: string
  readonly words: readonly string[]
  readonly hazard?: HazardSlug
  readonly put: string
  readonly ends: boolean
}

export type Symptom = { readonly flow: string; readonly complaint: string; readonly label: string; readonly phrases: readonly string[] }
export type Fault = {
  readonly slug: string
  readonly label: string
  /** For the customer: a plain sentence, no blame. */
  readonly plain: string
  readonly repair: string
  readonly parts: readonly string[]
  readonly minutes: number
}
export type PartClass = { readonly slug: string; readonly label: string; readonly consumable: boolean; readonly matched: boolean }
export type HistoryFlag = {
  readonly slug: string
  readonly label: string
  readonly question: string
  readonly multiply: { readonly [fault: string]: number }
}
export type Likelihood = {
  readonly test: string
  readonly group?: string
  readonly table: { readonly [fault: string]: { readonly [outcome: string]: number } }
}
export type Family = {
  readonly slug: string
  readonly priors: { readonly [complaint: string]: { readonly [fault: string]: number } }
  readonly tests: readonly Likelihood[]
}
export type SupplyProfile = {
  readonly slug: string
  readonly label: string
  readonly conductors: readonly string[]
  readonly pairs: readonly string[]
  readonly plug: boolean
}

/** What the invented practice tub answers at a step. Readings are [minutes ago, typed, unit]. */
export type PracticeAnswer = {
  readonly says?: string
  readonly pick?: string
  readonly read?: { readonly [name: string]: readonly (readonly [minutesAgo: number, typed: string, unit: string])[] }
  readonly facts?: { readonly [slug: string]: string | boolean }
  readonly settings?: { readonly [name: string]: string }
  readonly switches?: { readonly positions: string; readonly jumpers: string }
  readonly conductors?: readonly { readonly from: string; readonly to: string; readonly colour: string; readonly meter?: string }[]
  readonly loads?: readonly { readonly load: string; readonly outlet: string; readonly volts: string }[]
  readonly fields?: { readonly [name: string]: string }
}
export type Practice = { readonly about: string; readonly answers: { readonly [step: string]: PracticeAnswer } }

export type Edition = {
  readonly number: number
  /** Engine semantics the edition needs. */
  readonly semantics: 1
  /** Each flow's own version (versions.ts). Edition 1 came out without. */
  readonly versions?: { readonly [flow: string]: number }
  readonly blocks: { readonly [id: string]: Block }
  readonly standing: {
    readonly dead: Standing
    readonly prove: Standing // already locked, a further place to prove
    readonly live_shut: Standing
    readonly live_open: Standing
    readonly water_clear: Standing
  }
  readonly interrupts: {
    readonly stop: Standing
    readonly leave: Standing
  }
  readonly red_flags: readonly RedFlag[]
  readonly symptoms: readonly Symptom[]
  readonly faults: { readonly [slug: string]: Fault }
  readonly parts: { readonly [slug: string]: PartClass }
  readonly history: { readonly [slug: string]: HistoryFlag }
  readonly supplies: { readonly [slug: string]: SupplyProfile }
  readonly families: { readonly [slug: string]: Family }
  readonly practice: Practice
  /** Reasons a person may give for not doing a step. */
  readonly not_done: readonly { readonly slug: string; readonly label: string }[]
}
