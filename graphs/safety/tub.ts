// The tub now: energy, covers, locks, proofs, hazards, folded from all events in log order. No change, undo or carry-over takes one back.
// Nothing about the path (which step comes next) belongs here.
import type { JobEvent } from '../contract/index.ts'
import type { HazardSlug } from '../edition/compiled.ts'
import { parseReading } from '../trade/quantity.ts'

export type Lock = { readonly owner: string; readonly point: string }
export type Proof = {
  readonly prover: string
  readonly places: readonly string[]
  readonly witnesses: readonly string[]
  readonly at: number
}

export type Tub = {
  readonly energy: 'on' | 'off' | 'unknown'
  readonly covers: 'on' | 'off'
  readonly locks: readonly Lock[]
  readonly proofs: readonly Proof[]
  readonly leads: 'on' | 'capped'
  readonly hazards: { readonly [hazard: string]: { readonly at: number; readonly person: string } }
  /** Hazards once seen and since cleared, for the note. */
  readonly cleared: readonly { readonly hazard: string; readonly how: string; readonly at: number }[]
  readonly marks: { readonly [mark: string]: { readonly at: number; readonly visit: number } }
  readonly partsOut: readonly { readonly part: string; readonly where: string; readonly at: number }[]
  readonly partsIn: readonly { readonly part: string; readonly trial: boolean; readonly at: number }[]
  readonly resets: number
  /** Hottest water by a thermometer, degC, and the last. */
  readonly hottest?: number
  readonly water?: { readonly degC: number; readonly at: number; readonly key: string }
  readonly gfci?: { readonly result: 'passed' | 'failed'; readonly visit: number; readonly at: number }
  /** The last water-clear answer. */
  readonly clear?: { readonly at: number; readonly key: string }
  readonly powerUps: number
  /** When power came back last, and when this visit began, ms. */
  readonly poweredAt?: number
  readonly arrivedAt?: number
  readonly visit: number
  /** Who stands at the tub. */
  readonly onSite: readonly string[]
  /** The person whose phone holds the tub. */
  readonly holder?: { readonly person: string; readonly device: string }
}

export type TubFold = (tub: Tub, event: JobEvent) => Tub
export type StickyHazard = Extract<HazardSlug, 'shock' | 'voltage' | 'flood' | 'heat-without-demand' | 'hot-water'>

export const EMPTY_TUB: Tub = {
  energy: 'on',
  covers: 'on',
  locks: [],
  proofs: [],
  leads: 'on',
  hazards: {},
  cleared: [],
  marks: {},
  partsOut: [],
  partsIn: [],
  resets: 0,
  powerUps: 0,
  visit: 0,
  onSite: [],
}

/** Water above this was too hot for any healthy control: sticky until its cause was found, degC (108 degF, trade practice). */
export const HOT_WATER_DEGC = 42.2

/** Bathing limit by a separate thermometer, degC (104 degF: CPSC 1979; CDC). Half a tenth is rounding of the conversion. */
export const BATHING_LIMIT_DEGC = 40.05

/** Folds one event. Total: an event that says nothing about the tub leaves it as it is. */
export const foldTub: TubFold = (tub, event) => {
  switch (event.type) {
    case 'powered':
      return event.body.to === 'off' ? withoutMark(withPower(tub, 'off', event.at), 'water-clear') : withPower(tub, event.body.to, event.at)
    case 'covered':
      return { ...tub, covers: event.body.to }
    case 'lock-put':
      return { ...tub, locks: [...tub.locks.filter((lock) => lock.owner !== event.body.owner), event.body] }
    case 'lock-taken':
      return { ...tub, locks: tub.locks.filter((lock) => lock.owner !== event.body.owner) }
    case 'proof-made':
      return { ...tub, proofs: [...tub.proofs, { ...event.body, at: event.at }] }
    case 'proof-lapsed':
      return { ...tub, proofs: [] }
    case 'leads-set':
      return { ...tub, leads: event.body.to }
    case 'hazard-seen':
      return tub.hazards[event.body.hazard]
        ? tub
        : { ...tub, hazards: { ...tub.hazards, [event.body.hazard]: { at: event.at, person: event.by.person } } }
    case 'hazard-cleared':
      return withoutHazard(tub, event.body.hazard, event.body.how, event.at)
    case 'marked':
      return { ...tub, marks: { ...tub.marks, [event.body.mark]: { at: event.at, visit: tub.visit } } }
    case 'unmarked':
      return withoutMark(tub, event.body.mark)
    case 'part-removed':
      return { ...tub, partsOut: [...tub.partsOut, { part: event.body.part, where: event.body.where ?? '', at: event.at }] }
    case 'part-fitted':
      return { ...tub, partsIn: [...tub.partsIn, { part: event.body.part, trial: event.body.trial, at: event.at }] }
    case 'reset-used':
      return { ...tub, resets: tub.resets + 1 }
    case 'gfci-tested':
      return { ...tub, gfci: { result: event.body.result, visit: tub.visit, at: event.at } }
    case 'water-cleared':
      return { ...tub, clear: { at: event.at, key: event.body.key } }
    case 'arrived':
      // Whoever was here at an earlier visit has gone; nobody saw them come again.
      return withoutMark({ ...tub, visit: event.body.visit, arrivedAt: event.at, onSite: [event.by.person] }, 'water-clear')
    default:
      return foldPeopleAndWater(tub, event)
  }
}

function foldPeopleAndWater(tub: Tub, event: JobEvent): Tub {
  switch (event.type) {
    case 'person-joined': {
      if (!event.body.on_site) return tub
      const person = event.body.person.id
      const onSite = tub.onSite.includes(person) ? tub.onSite : [...tub.onSite, person]
      return { ...tub, onSite, ...(tub.holder === undefined ? { holder: { person, device: event.device } } : {}) }
    }
    case 'person-left': {
      const left = event.body.person
      const stays = keepOnSite(tub, (person) => person !== left)
      const proofs = tub.proofs
        .filter((proof) => proof.prover !== left)
        .map((proof) => ({ ...proof, witnesses: proof.witnesses.filter((person) => person !== left) }))
      return { ...stays, proofs }
    }
    case 'job-reopened':
      // Time has passed since the end: only whoever speaks is known to stand there still.
      return keepOnSite(tub, (person) => person === event.by.person)
    case 'tub-handed':
      return withoutMark({ ...tub, holder: { person: event.body.to, device: event.body.device } }, 'water-clear')
    case 'answer-given':
    case 'answer-changed':
      return withReadings(tub, event)
    default:
      return tub
  }
}

function keepOnSite(tub: Tub, stays: (person: string) => boolean): Tub {
  const { holder, ...rest } = tub
  return { ...rest, onSite: tub.onSite.filter(stays), ...(holder === undefined || !stays(holder.person) ? {} : { holder }) }
}

function withPower(tub: Tub, to: Tub['energy'], at: number): Tub {
  return to === 'on' && tub.energy !== 'on' ? { ...tub, energy: to, powerUps: tub.powerUps + 1, poweredAt: at } : { ...tub, energy: to }
}

function withoutHazard(tub: Tub, hazard: string, how: string, at: number): Tub {
  if (tub.hazards[hazard] === undefined) return tub
  const { [hazard]: _gone, ...hazards } = tub.hazards
  return { ...tub, hazards, cleared: [...tub.cleared, { hazard, how, at }] }
}

/** Taking a mark back; some marks stand for things the tub keeps elsewhere. */
function withoutMark(tub: Tub, mark: string): Tub {
  if (mark === 'water-clear') {
    const { clear: _gone, ...rest } = tub
    return rest
  }
  if (mark === 'gfci') {
    const { gfci: _gone, ...rest } = tub
    return rest
  }
  if (mark === 'water') {
    // Hot water stays known: forgetting it would only make the tub look cooler.
    if (tub.water === undefined || tub.water.degC > BATHING_LIMIT_DEGC) return tub
    const { water: _gone, ...rest } = tub
    return rest
  }
  const { [mark]: _gone, ...marks } = tub.marks
  return { ...tub, marks }
}

/** A reading named water is water by a thermometer: the hottest is kept whatever happens to the answer. */
function withReadings(tub: Tub, event: Extract<JobEvent, { type: 'answer-given' | 'answer-changed' }>): Tub {
  const series = waterReadings(event.body.readings).map((reading) => ({ degC: reading.degC, at: reading.at ?? event.at }))
  const [first] = series
  if (first === undefined) return tub
  const hottest = Math.max(tub.hottest ?? -Infinity, ...series.map((reading) => reading.degC))
  const last = series.reduce((latest, one) => (one.at >= latest.at ? one : latest), first)
  // An old answer that is corrected is no new reading, unless it was the last one.
  const isLater = event.type === 'answer-given' ? last.at >= (tub.water?.at ?? 0) : tub.water?.key === event.body.key
  return isLater ? { ...tub, hottest, water: { ...last, key: event.body.key } } : { ...tub, hottest }
}

type TypedReadings = NonNullable<Extract<JobEvent, { type: 'answer-given' }>['body']['readings']>

/** The hottest water of one answer, degC; undefined when it measured none. */
export function hottestOf(readings: TypedReadings | undefined): number | undefined {
  const series = waterReadings(readings)
  return series.length === 0 ? undefined : Math.max(...series.map((reading) => reading.degC))
}

/** Typed temperatures were checked before they were stored; what cannot be read is passed over. */
function waterReadings(readings: TypedReadings | undefined): { degC: number; at?: number }[] {
  const water = readings?.water
  if (water === undefined) return []
  return (Array.isArray(water) ? water : [water]).flatMap((reading) => {
    const parsed = parseReading({ quantity: 'temperature', typed: reading.typed, unit: reading.unit })
    return parsed.ok ? [{ degC: parsed.value.si, ...(reading.at === undefined ? {} : { at: reading.at }) }] : []
  })
}
