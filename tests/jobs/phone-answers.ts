// What the homeowner sees and says on the phone, and what the desk answers from it: by "block.step" of the library.
// Every answer is an observation of the tub or a fact of its history; none of them knows the fault.
import {
  changeSetPoint,
  cleanFilter,
  coolDownTrial,
  correctSettings,
  displayReading,
  heatingSymbol,
  isolate,
  nightLow,
  panelMessage,
  pass,
  restorePower,
  setCover,
  settings,
  shortenFiltration,
} from '../model/index.ts'
import type { StepView } from '#graphs/contract'
import type { Given } from './driver.ts'
import { isPowered, messageNow, stringThermometer, toC } from './scene.ts'
import type { Scene } from './scene.ts'

export type Answer = (scene: Scene, step: StepView) => Given | string
export type Answers = { readonly [step: string]: Answer }

const VERY_HOT_C = 42.2
const BATHING_C = 40
/** What a customer calls "too warm again": 3 degF above what they wanted. */
const AGAIN_K = 1.7

/** A thermometer of their own, or else the display. */
function waterAsSeen(scene: Scene): { degC: number; by: 'thermometer' | 'display' } | undefined {
  if (scene.traits.ownThermometer) return { degC: stringThermometer(scene), by: 'thermometer' }
  const displayF = displayReading(scene.tub)
  return displayF === null ? undefined : { degC: toC(displayF), by: 'display' }
}

function temperature(scene: Scene): string {
  const seen = waterAsSeen(scene)
  if (seen === undefined) return 'not-sure'
  if (seen.degC > BATHING_C) return 'above'
  return seen.by === 'thermometer' ? 'thermometer-below' : 'display-below'
}

/** Read now, wait an hour with the jets off, read again. */
function climbing(scene: Scene): string {
  const before = waterAsSeen(scene)
  pass(scene.tub, 60)
  const after = waterAsSeen(scene)
  if (before === undefined || after === undefined) return 'not-sure'
  const perHour = after.degC - before.degC
  if (perHour > 1.1) return 'fast'
  return perHour > 0.25 ? 'slow' : 'steady'
}

function howHot(scene: Scene): string {
  const seen = waterAsSeen(scene)
  if (seen !== undefined && seen.degC >= VERY_HOT_C) return 'very-hot'
  if (!isPowered(scene)) return 'neither'
  const symbol = heatingSymbol(scene.tub)
  const trend = climbing(scene)
  return symbol === 'off' && (trend === 'fast' || trend === 'slow') ? 'climbing' : 'neither'
}

function messageWords(scene: Scene): string {
  const message = messageNow(scene)
  if (message === 'none') return 'gone'
  if (message === 'flow') return 'flow-words'
  return message === 'sensor' ? 'sensor-words' : 'heat-words'
}

function dayLater(scene: Scene): string {
  const seen = waterAsSeen(scene)
  if (seen === undefined) return 'no-answer'
  if (seen.degC >= VERY_HOT_C) return 'very-hot'
  if (seen.degC > BATHING_C) return 'above'
  const isBack = seen.degC > scene.tub.settings.believedSetC + AGAIN_K || panelMessage(scene.tub) !== 'none'
  return isBack ? 'recurs' : 'normal'
}

function switchOff(scene: Scene): string {
  if (!isPowered(scene)) return 'was-off'
  isolate(scene.tub)
  return 'off'
}

/** The set point as they wanted it, read back. */
function settingsRight(scene: Scene): string {
  correctSettings(scene.tub)
  scene.notes.setFoundC = scene.tub.settings.setC
  scene.repairs.push('settings')
  pass(scene.tub, 1)
  return 'right'
}

/** Power off first: a pump can start by itself. */
function filterCleaned(scene: Scene): string {
  const wasOn = isPowered(scene)
  isolate(scene.tub)
  cleanFilter(scene.tub)
  if (wasOn) restorePower(scene.tub)
  scene.repairs.push('filter')
  return 'done'
}

function trialSetUp(scene: Scene): string {
  if (scene.tub.build.circulation === 'always') return 'always-runs'
  shortenFiltration(scene.tub, 1.5)
  return 'ready'
}

/** One night of the trial, bedtime and waking, then the rest of the day. */
function trialDay(scene: Scene): string {
  const startS = scene.tub.clockS
  const [night] = coolDownTrial(scene.tub, 1)
  const leftS = 86_400 - (scene.tub.clockS - startS)
  if (leftS > 0) pass(scene.tub, leftS / 60)
  if (night !== undefined) TRIALS.set(scene, night)
  return 'done'
}
const TRIALS = new WeakMap<Scene, { bedtimeC: number; wakingC: number }>()

function trialWent(scene: Scene): string {
  const night = TRIALS.get(scene)
  const nowC = waterAsSeen(scene)?.degC ?? 0
  if (night === undefined) return 'not'
  if (Math.max(nowC, night.wakingC) >= VERY_HOT_C) return 'too-hot'
  if (night.wakingC > night.bedtimeC + 0.4) return 'warmer'
  scene.repairs.push('schedule')
  return nowC <= scene.tub.settings.believedSetC + AGAIN_K ? 'settles' : 'not'
}

function trialOffer(scene: Scene): string {
  if (nightLow(scene.tub) < 1) return 'frost'
  return scene.tub.build.circulation === 'always' ? 'always-runs' : 'try'
}

function shade(scene: Scene): string {
  const { tub } = scene
  changeSetPoint(tub, tub.settings.setC - 2)
  tub.weather.sunPeakW = Math.min(tub.weather.sunPeakW, 10)
  return 'done'
}

function nights(scene: Scene): string {
  const lowC = nightLow(scene.tub)
  if (lowC > 21.1) return 'hot'
  return lowC < 10 ? 'cool' : 'between'
}

/** By the set point as it was found: what the technician turned down for a test is no surprise. */
function settingsAsWanted({ tub, notes }: Scene): string {
  const foundC = notes.setFoundC ?? tub.settings.setC
  const isWanted = Math.abs(foundC - tub.settings.believedSetC) < 0.5 && settings(tub).heating === 'always'
  return isWanted ? 'ok' : 'wrong'
}

export const PHONE_ANSWERS: Answers = {
  'red-flags.temperature': temperature,
  'red-flags.power': (scene) => (isPowered(scene) ? 'running' : 'switched-off'),
  'everyone-out.out': (scene) => {
    setCover(scene.tub, 'on')
    return 'cover-latched'
  },
  'everyone-out.how-hot': howHot,
  'everyone-out.switch-off': switchOff,
  'frost-plan.forecast': (scene) => (nightLow(scene.tub) < 1 ? 'frost' : 'none'),
  'overheating.connection': (scene) => (scene.tub.build.supply === 'cord-120' ? 'plug' : 'wired'),
  'overheating.what-happens': (scene) => (messageNow(scene) === 'none' ? 'running' : 'message'),
  'overheating.climbing': climbing,
  'overheating.steam': (scene) => (scene.tub.chamberC > 90 ? 'steam' : 'none'),
  'overheating.message-now': messageWords,
  'overheating.settings-right': settingsRight,
  'overheating.clean-filter': filterCleaned,
  'overheating.trial-offer': trialOffer,
  'overheating.shade': shade,
  'overheating.wait-a-day': (scene) => {
    pass(scene.tub, 1440)
    return 'done'
  },
  'overheating.day-after': dayLater,
  'overheating.second-call': dayLater,
  'cool-down-trial.set-up': trialSetUp,
  'cool-down-trial.let-it-cool': trialDay,
  'cool-down-trial.how-it-went': trialWent,
  'settings-sheet.compare': settingsAsWanted,
  'history-questions.work-done': ({ traits }) => (traits.sensorReplaced ? 'sensor' : 'nothing'),
  'history-questions.place': ({ traits }) => (traits.refilled ? 'refilled' : 'none'),
  'history-questions.events': ({ traits }) => (traits.settingsTouched ? 'settings' : 'none'),
  'history-questions.weather-lately': nights,
  'history-questions.filter-age': ({ traits }) => (traits.filterOld ? 'old' : 'recent'),
}
