// The one table of judgements that steps may name. The judging itself lives in the judge-*.ts files.
// No arithmetic lives here.
import { proofOfDead } from './judge-dead.ts'
import { capacitorDischarged, deadFeed, elementToGround, loadToGround, relayContacts } from './judge-ground.ts'
import { elementCurrentCheck, elementResistanceCheck, heaterCurrentOff, houseMeter } from './judge-heater.ts'
import { riseDemandOff, riseDemandOn, riseHeatOff, twoRunDifference } from './judge-rise.ts'
import { sensorResistance } from './judge-sensor.ts'
import { swapDifference } from './judge-swap.ts'
import { displayVsThermometer, hold, waterLimit } from './judge-water.ts'
import { heatCreep } from './judge-weather.ts'
import type { Evaluator } from './verdict.ts'

const LIST: readonly Evaluator[] = [
  displayVsThermometer,
  waterLimit,
  riseDemandOff,
  riseDemandOn,
  riseHeatOff,
  hold,
  sensorResistance,
  houseMeter,
  elementResistanceCheck,
  elementCurrentCheck,
  heaterCurrentOff,
  elementToGround,
  loadToGround,
  relayContacts,
  proofOfDead,
  heatCreep,
  capacitorDischarged,
  deadFeed,
  twoRunDifference,
  swapDifference,
]

/**
 * Every evaluator by its name.
 *
 * Shape:  pure judgements of readings in the light of facts; each names its outcomes, and works with no fact known.
 * Errors: CALC_* as values; nothing that a person typed makes one throw.
 */
export const EVALUATORS: { readonly [name: string]: Evaluator } = Object.fromEntries(LIST.map((one) => [one.name, one]))
