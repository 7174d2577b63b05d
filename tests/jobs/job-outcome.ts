// Holds a finished job against the model: was the fault named, was the right thing mended, does the tub now behave.
// Here the fault that was put in is known; nobody who answered steps did.
import type { JobEvent } from '#graphs/contract'
import { advance, changeSetPoint, isolate, restorePower, setCover } from '../model/index.ts'
import type { FaultSlug, Tub } from '../model/index.ts'
import { nameOf } from './driver.ts'
import type { Played } from './driver.ts'
import type { Scenario } from './scenario.ts'

/** What the record of the job says was found: a positive result, a repair, or a part with its evidence. */
const FINDINGS: { readonly [answer: string]: readonly FaultSlug[] } = {
  'settings-sheet.compare=wrong': ['set-mode'],
  'sensor-seat.test=out': ['tsensor-seat'],
  'plug-clean-compare.judge=corrected': ['plug-corroded'],
  'filter-out.test=improves': ['flow-low'],
  'overheating.clean-filter=done': ['flow-low'],
  'overheating.water-path=mended': ['flow-low'],
  'overheating.limit-flow=blocked': ['flow-low'],
  'overheating.water-path=weak-pump': ['circ-pump-weak'],
  'bleed-air.test=flow-returns': ['air-lock'],
  'configuration-check.test=mismatch': ['config-wrong'],
  'output-walk.test=wrong-load': ['config-wrong'],
  'sensor-resistance.test=temp-off': ['tsensor-bad'],
  'sensor-resistance.test=highlimit-off': ['highlimit-sensor-bad'],
  'demand-end.test=does-not-end': ['board-logic'],
  'sensor-swap.which-way=stays': ['board-logic'],
  'sensor-swap.which-way=follows': ['tsensor-bad'],
  'relay-contacts-dead.measure=both-closed': ['relay-stuck', 'board-logic'],
  'relay-contacts-dead.measure=one-closed': ['relay-one-pole'],
  'house-meter.test=heater-power': ['relay-stuck', 'board-logic'],
  'heater-out-comparison.run-with=heater-was-on': ['relay-stuck', 'board-logic'],
  'rise-with-demand-off.test=fast': ['relay-stuck', 'board-logic'],
  'overheating.creep=done': ['heat-creep', 'filter-hours'],
  'overheating.schedule-right=right': ['heat-creep', 'filter-hours'],
  'cool-down-trial.how-it-went=settles': ['heat-creep', 'filter-hours'],
  'pump-behaviour.test=unexpected': ['pump-stuck-on', 'config-wrong', 'filter-hours'],
}

/** Handed over to the flow of weak circulation: the family is named, the member is not. */
const FLOW_FAMILY: readonly FaultSlug[] = ['flow-low', 'air-lock', 'circ-pump-weak']

/** Which repair on the model takes each fault away. Weather and hours have one cure, whichever of the two it is. */
const CURES: { readonly [fault in FaultSlug]?: readonly string[] } = {
  'heat-creep': ['schedule'],
  'filter-hours': ['schedule'],
  'set-mode': ['settings'],
  'flow-low': ['filter'],
  'air-lock': ['air'],
  'tsensor-bad': ['sensor:temperature'],
  'tsensor-seat': ['reseat', 'sensor:temperature'],
  'plug-corroded': ['plug'],
  'highlimit-sensor-bad': ['sensor:high-limit'],
  'relay-stuck': ['board'],
  'relay-one-pole': ['board'],
  'board-logic': ['board'],
  'pump-stuck-on': ['board'],
  'config-wrong': ['configuration', 'sensor:temperature'],
}
export const BOARD_FAULTS: readonly FaultSlug[] = ['relay-stuck', 'relay-one-pole', 'board-logic', 'pump-stuck-on']

export type Judged = {
  /** Every fault that the record stands for; empty when it says "not found". */
  readonly named: readonly string[]
  readonly isNamed: boolean
  readonly isMended: boolean
  /** Ended as repaired, normal or solved, and the model agrees. */
  readonly isProved: boolean
  readonly ending: string
  readonly needlessBoard: boolean
  readonly needlessSensor: boolean
  /** Said on site to be mended or safe to use while the model still overheats. */
  readonly falseProof: boolean
  /** Closed by phone, not checked on site, while the model still settles more than 1.5 K above what is wanted. */
  readonly closedWarm: boolean
  readonly exposures: number
}

const IN_ORDER = ['repaired', 'normal', 'solved-by-phone']
const SAID_MENDED = ['repaired', 'repaired-to-confirm']
const BY_PHONE = ['normal', 'solved-by-phone']

export function judgeJob(scenario: Scenario, played: Played): Judged {
  const { scene, fault } = scenario
  const end = played.events.findLast((event) => event.type === 'job-ended')
  const ending = end?.body.ending ?? 'none'
  const named = findingsOf(played.events)
  const cures = CURES[fault] ?? []
  const isMended = cures.length === 0 || cures.some((cure) => scene.repairs.includes(cure))
  const overheats = stillOverheats(scene.tub)
  const fitted = played.events.flatMap((event) => (event.type === 'part-fitted' ? [event.body.part] : []))
  return {
    named,
    isNamed: named.includes(fault),
    isMended,
    isProved: IN_ORDER.includes(ending) && isMended && !overheats,
    ending,
    needlessBoard: fitted.includes('control-board') && !BOARD_FAULTS.includes(fault),
    needlessSensor:
      (fitted.includes('water-sensor') && !['tsensor-bad', 'tsensor-seat', 'config-wrong'].includes(fault)) ||
      (fitted.includes('high-limit-sensor') && !['highlimit-sensor-bad', 'config-wrong'].includes(fault)),
    falseProof: overheats && (SAID_MENDED.includes(ending) || end?.body.tub === 'safe-to-use'),
    closedWarm: overheats && BY_PHONE.includes(ending) && end?.body.tub === 'not-checked-on-site',
    exposures: scene.tub.exposures.length,
  }
}

/** By the last answer that stands on each step: what was found earlier and overruled does not count. */
function findingsOf(events: readonly JobEvent[]): string[] {
  const last = new Map<string, string>()
  for (const event of events) {
    if (event.type !== 'answer-given' && event.type !== 'answer-changed') continue
    const [block = '', step = ''] = /([a-z0-9~=-]+)\.([a-z0-9-]+)#\d+$/.exec(event.body.key)?.slice(1) ?? []
    last.set(nameOf({ block, step }), event.body.outcome)
  }
  const ended = events.findLast((event) => event.type === 'job-ended')?.body.step ?? ''
  const found = [...last].flatMap(([step, outcome]) => FINDINGS[`${step}=${outcome}`] ?? [])
  return [...new Set([...found, ...(/flow-(on-phone|refer)#/.test(ended) ? FLOW_FAMILY : [])])]
}

/** Two days on a copy, powered, at the set point the customer wants: does the water leave it upwards, or does heat come unasked? */
export function stillOverheats(real: Tub): boolean {
  const tub = structuredClone(real)
  if (tub.feed.isolated) restorePower(tub)
  setCover(tub, 'on')
  const wantedC = tub.settings.setC < 30 ? tub.settings.believedSetC : tub.settings.setC
  changeSetPoint(tub, wantedC)
  // Heat that is left over from before is no overheating: two days are enough for a fault to show afresh.
  tub.waterC = Math.min(tub.waterC, wantedC)
  advance(tub, 48 * 3600, 60)
  const above = tub.waterC - tub.settings.believedSetC
  isolate(tub)
  return above > 1.5
}
