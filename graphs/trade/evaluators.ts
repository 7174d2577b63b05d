// The one table of judgements that steps may name. The judging itself lives in the judge-*.ts files.
// No arithmetic lives here.
import { failed } from '../result.ts'
import type { Evaluator } from './verdict.ts'

type Declared = readonly [needs: readonly string[], facts: readonly string[], outcomes: readonly string[]]
const TO_GROUND = ['clear', 'leaks', 'doubtful']
const RISE_FACTS = ['volume', 'heater-power', 'heater-rated-voltage', 'supply-profile', 'supply-voltage', 'pump-power']
const DECLARED: { readonly [name: string]: Declared } = {
  'display-vs-thermometer': [['water', 'display', 'setpoint'], [], ['both-high', 'disp-low', 'disp-high', 'both-normal', 'cannot-tell']],
  'water-limit': [['water'], [], ['safe', 'above-limit', 'far-above', 'cannot-tell']],
  'rise-demand-off': [['water'], RISE_FACTS, ['fast', 'slow', 'flat', 'cannot-tell']],
  'rise-demand-on': [['water'], RISE_FACTS, ['zero', 'below-half', 'near-table', 'cannot-tell']],
  'rise-heat-off': [['water'], RISE_FACTS, ['holds', 'rising', 'cannot-tell']],
  hold: [['water', 'setpoint'], [], ['holds', 'drifts', 'cannot-tell']],
  'sensor-resistance': [['bath'], ['sensor-curve', 'sensor-table', 'sensor-limit'], ['both-good', 'temp-off', 'highlimit-off', 'unclear']],
  'house-meter': [['before', 'after'], RISE_FACTS, ['heater-power', 'none', 'cannot-tell']],
  'element-resistance': [['element'], RISE_FACTS, ['in-range', 'open', 'off-value', 'cannot-tell']],
  'element-current': [['current'], RISE_FACTS, ['full', 'part', 'zero', 'cannot-tell']],
  'element-to-ground': [['to-ground'], [], TO_GROUND],
  'load-to-ground': [['to-ground'], [], TO_GROUND],
  'relay-contacts': [['pole-1'], ['relay-fixed-leg'], ['both-closed', 'one-closed', 'both-open', 'cannot-tell']],
  'proof-of-dead': [['tester-before', 'tester-after'], ['supply-profile'], ['zero', 'voltage', 'not-proved']],
  'heat-creep': [[], ['air-mean', 'water-target', 'filter-hours', 'full-sun', 'night-lows'], ['explains', 'does-not', 'cannot-tell']],
  'capacitor-discharged': [['capacitor'], [], ['safe', 'charged']],
  'dead-feed': [['hot-ground', 'line-line'], [], ['clear', 'short', 'to-ground', 'cannot-tell']],
  'two-run-difference': [['without', 'with'], RISE_FACTS, ['heater-was-on', 'no-difference', 'cannot-tell']],
}

export const EVALUATORS: { readonly [name: string]: Evaluator } = Object.fromEntries(
  Object.entries(DECLARED).map(([name, [needs, facts, outcomes]]) => [
    name,
    { name, version: 1, needs, facts, outcomes, evaluate: () => failed('CALC_READING_MISSING', 'Take the readings again.') },
  ]),
)
