// What is known about a tub, as numbers with an uncertainty; where nobody knows, the wide default and a sentence that says so.
// Facts are defined in facts.ts; nothing is judged here.
import { FACTS } from './facts.ts'
import { powerAt } from './heat.ts'
import { quadrature, standard } from './instrument.ts'
import { profileOf } from './supply.ts'
import { heatOfVolume } from './water.ts'
import type { FactDefinition } from './facts.ts'
import type { Profile } from './supply.ts'
import type { Facts, FactValue } from './verdict.ts'

/** A number as known: `low` and `high` are the ends it can have, `u` is its standard uncertainty. */
export type Known = { readonly value: number; readonly u: number; readonly low: number; readonly high: number; readonly known: boolean }

const BY_SLUG: { readonly [slug: string]: FactDefinition } = Object.fromEntries(FACTS.map((row) => [row.slug, row]))

/** The value of a fact, or undefined. A fact that is only assumed counts as known: who assumed it said so. */
export function factOf(facts: Facts, slug: string): FactValue | undefined {
  return Object.hasOwn(facts, slug) ? facts[slug]?.value : undefined
}

/**
 * A number fact with its uncertainty, or its wide default; undefined when there is neither.
 *
 * Shape:  a value outside the range of its definition is treated as not known. Units: SI of the definition.
 */
export function numberFact(facts: Facts, slug: string): Known | undefined {
  const definition = BY_SLUG[slug]
  const stated = factOf(facts, slug)
  const range = definition?.range ?? { low: -Infinity, high: Infinity }
  if (typeof stated === 'number' && stated >= range.low && stated <= range.high) {
    const given = facts[slug]?.uncertainty
    const usual = definition?.usual
    const usualU = usual === undefined ? 0 : 'share' in usual ? Math.abs(stated) * usual.share : usual.absolute
    const u = given !== undefined && given >= 0 && Number.isFinite(given) ? standard(given) : usualU
    return { value: stated, u, low: stated - 2 * u, high: stated + 2 * u, known: true }
  }
  const wide = definition?.wide
  if (!wide) return undefined
  return {
    value: wide.value,
    u: standard(wide.uncertainty),
    low: wide.value - wide.uncertainty,
    high: wide.value + wide.uncertainty,
    known: false,
  }
}

/** A number fact that has a wide default, so that it always has a value. */
export function wideFact(facts: Facts, slug: 'volume' | 'heater-power' | 'pump-power' | 'sensor-limit' | 'water-target'): Known {
  const taken = numberFact(facts, slug)
  if (!taken) throw new RangeError(`The fact ${slug} needs a wide default.`)
  return taken
}

/** The supply profile, or undefined while it is not known. */
export function profileFact(facts: Facts): Profile | undefined {
  return profileOf(factOf(facts, 'supply-profile'))
}

export const HEATER_FACTS: readonly string[] = ['heater-power', 'heater-rated-voltage', 'supply-voltage', 'supply-profile']
export const RISE_FACTS: readonly string[] = ['volume', ...HEATER_FACTS, 'pump-power']

export type Heater = {
  /** Power on the label, W. */
  readonly rated: Known
  readonly ratedVoltage: number
  readonly voltage: Known
  /** Power at the voltage of the tub, W. */
  readonly power: Known
  /** 4 kW or more on the label; undefined while nobody knows. A tub on a cord has a small one. */
  readonly large: boolean | undefined
}

/**
 * The heater at the voltage of this tub: a 240 V heater gives three quarters of its power on 208 V.
 *
 * Shape:  works with nothing known (1 to 5.5 kW at its rated voltage). Units: W and V.
 * Source: P = V² / R; profile voltages from supply.ts.
 */
export function heaterOf(facts: Facts): Heater {
  const profile = profileFact(facts)
  const stated = wideFact(facts, 'heater-power')
  // A cord with a plug carries 15 A, at most 20: a large heater cannot hang on it.
  const rated =
    !stated.known && profile?.slug === 'cord-120' ? { value: 1250, u: standard(350), low: 900, high: 1600, known: false } : stated
  const ratedVoltage = numberFact(facts, 'heater-rated-voltage')?.value ?? profile?.ratedVoltage ?? 240
  const measured = numberFact(facts, 'supply-voltage')
  const spread = profile?.spread ?? ratedVoltage * 0.05
  const nominal = profile?.heaterVoltage ?? ratedVoltage
  const voltage = measured ?? {
    value: nominal,
    u: standard(spread),
    low: nominal - spread,
    high: nominal + spread,
    known: profile !== undefined,
  }
  const at = (ratedPower: number, volts: number): number => powerAt({ ratedPower, ratedVoltage, voltage: volts })
  const value = at(rated.value, voltage.value)
  const share = quadrature(rated.u / rated.value, (2 * voltage.u) / voltage.value)
  const power: Known = rated.known
    ? { value, u: value * share, low: value, high: value, known: true }
    : { value, u: value * share, low: at(rated.low, voltage.value), high: at(rated.high, voltage.value), known: false }
  return {
    rated,
    ratedVoltage,
    voltage,
    power,
    large: rated.known ? rated.value >= 3900 : profile?.slug === 'cord-120' ? false : undefined,
  }
}

export type RiseTable = {
  readonly volume: Known
  readonly heater: Heater
  /** Rate with the heater on and no losses, K/h; `low` and `high` when the heater is not known. */
  readonly rate: Known
  /** Share of its own error. */
  readonly share: number
  /** Most that the pump alone can do, K/h: all of its power into the water, no losses. */
  readonly pumpTop: number
  /** A sentence that says what is not known; empty when all is known. */
  readonly note: string
}

/** The row of the rise table that fits this tub. Units: K/h. Source: P / (rho c V) at the mean temperature of the readings. */
export function riseTableOf(facts: Facts, water: number): RiseTable {
  const volume = wideFact(facts, 'volume')
  const heater = heaterOf(facts)
  const pump = wideFact(facts, 'pump-power')
  const perWatt = 3600 / heatOfVolume(volume.value, water)
  const share = quadrature(volume.u / volume.value, heater.rated.known ? heater.power.u / heater.power.value : 0.05)
  const value = perWatt * heater.power.value
  const rate: Known = {
    value,
    u: value * share,
    low: perWatt * heater.power.low,
    high: perWatt * heater.power.high,
    known: volume.known && heater.rated.known,
  }
  return { volume, heater, rate, share, pumpTop: perWatt * pump.high, note: unknownNote(volume, heater) }
}

function unknownNote(volume: Known, heater: Heater): string {
  const parts: string[] = []
  if (!volume.known) parts.push(`{litre ${Math.round(volume.low)}} to {litre ${Math.round(volume.high)}} of water`)
  if (!heater.rated.known) parts.push(`a heater of {watt ${Math.round(heater.rated.low)}} to {watt ${Math.round(heater.rated.high)}}`)
  if (parts.length === 0) return ''
  return `The label is not known, so ${parts.join(' and ')} is taken.`
}
