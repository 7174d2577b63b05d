// Makes tubs: a nominal one for checks of the physics, and drawn ones with the spread of real tubs.
// `advance` moves them. No fault is put in here; see faults.ts.
import { createRandom, normal, uniform, within } from './random.ts'
import type { Random } from './random.ts'
import { SAMPLING_REST_S } from './controller.ts'
import { CLEAN_FILTER_LOSS } from './plant.ts'
import type { Build, Controller, FilterCycle, Pole, Settings, Tools, Tub, Weather } from './state.ts'
import { heaterLegs } from './supply.ts'
import type { Leftover, SupplyProfile } from './supply.ts'
import { nominalSensor } from './thermistor.ts'
import type { CurveName, Sensor } from './thermistor.ts'
import { SECONDS_PER_HOUR } from './units.ts'
import { standbyLimitUaWK } from './water.ts'

export { advance } from './physics.ts'
export type { Tub } from './state.ts'

export type Plan = Build &
  Weather & {
    seed: number
    waterC: number
    startHour: number
    setC: number
    believedSetC: number
    heating: Settings['heating']
    filterCycles: FilterCycle[]
    curve: CurveName
    /** Build tolerance of a thermistor, relative: 0.01 is a 1 % / 1 % part, 0.41 K at 40 degC. */
    sensorTolerance: number
    siteLevel: number
    leftover: Leftover
    weldsLetGo: boolean
    exactTools: boolean
    slips: number
    houseW: number
  }

/** A tub without tolerances, on a calm day: for checks against published numbers. 350 gal, 5.5 kW, cover on. */
export function nominalTub(changes: Partial<Plan> = {}): Tub {
  const supply = changes.supply ?? 'split-240-4wire'
  const gallons = changes.gallons ?? 350
  return buildTub({
    seed: 1,
    supply,
    gallons,
    volumeReadAtC: 40,
    shellJK: 0,
    uaWK: standbyLimitUaWK(gallons),
    waterAreaM2: 4,
    heaterRatedW: supply === 'cord-120' ? 1000 : 5500,
    heaterRatedV: supply === 'cord-120' ? 120 : 240,
    switchedPoles: 2,
    pumpLowW: 300,
    pumpHighW: 1500,
    pumpHeatShare: 0.75,
    circulation: 'on-demand',
    flowLowLpm: 90,
    flowHighLpm: 150,
    hysteresisK: 5 / 9,
    overTemperatureC: 44,
    limitTripC: 48,
    separateLimit: false,
    separateLimitC: 50,
    hasDiagram: true,
    meanC: 20,
    swingC: 0,
    dayToDayK: 0,
    sunPeakW: 0,
    relativeHumidity: 0.5,
    windMS: 0.1,
    waterC: 38,
    startHour: 9,
    setC: 38,
    believedSetC: 38,
    heating: 'always',
    filterCycles: [
      { startHour: 8, hours: 2 },
      { startHour: 20, hours: 2 },
    ],
    curve: 'S',
    sensorTolerance: 0,
    siteLevel: 1,
    leftover: 'nothing',
    weldsLetGo: false,
    exactTools: true,
    slips: 0,
    houseW: 400,
    ...changes,
  })
}

/**
 * A tub as one meets it. The spread of losses (0.5-1.6 of the standby limit), pump heat share (0.75 +- 0.15), pump and
 * heater powers are the stated assumptions of heat-sensors-water 3.2; cut-outs 110-112 and 116-122 degF are from memory.
 */
export function createTub(seed: number, changes: Partial<Plan> = {}): Tub {
  const random = createRandom(seed)
  const supply = changes.supply ?? 'split-240-4wire'
  const gallons = changes.gallons ?? Math.round(supply === 'cord-120' ? uniform(random, 200, 350) : uniform(random, 250, 450))
  const setC = changes.setC ?? uniform(random, 36, 39)
  return buildTub({
    ...drawnBuild(random, supply, gallons),
    seed,
    gallons,
    supply,
    meanC: uniform(random, 2, 20),
    swingC: uniform(random, 3, 8),
    dayToDayK: 2,
    sunPeakW: uniform(random, 0, 60),
    relativeHumidity: 0.5,
    windMS: uniform(random, 0, 1),
    waterC: setC - 0.2,
    startHour: uniform(random, 0, 24),
    setC,
    believedSetC: changes.setC ?? setC,
    heating: 'always',
    filterCycles: [
      { startHour: 8, hours: uniform(random, 1, 3) },
      { startHour: 20, hours: uniform(random, 1, 3) },
    ],
    curve: 'S',
    sensorTolerance: 0.01,
    siteLevel: uniform(random, 0.97, 1.02),
    leftover: 'nothing',
    weldsLetGo: uniform(random, 0, 1) < 0.15,
    exactTools: false,
    slips: 0,
    houseW: uniform(random, 200, 900),
    ...changes,
  })
}

function drawnBuild(random: Random, supply: SupplyProfile, gallons: number): Omit<Build, 'supply' | 'gallons'> {
  const isCord = supply === 'cord-120'
  const small = uniform(random, 0, 1) < 0.5
  const circulates = uniform(random, 0, 1) < 0.35
  return {
    volumeReadAtC: 40,
    // About 40 kg of shell and fittings at 1.5 kJ/(kg K): an assumption, 1 % of the water.
    shellJK: uniform(random, 40_000, 90_000),
    uaWK: standbyLimitUaWK(gallons) * uniform(random, 0.5, 1.6),
    waterAreaM2: uniform(random, 2.5, 4.5),
    heaterRatedW: isCord ? (small ? 1000 : 1500) : small ? 4000 : 5500,
    heaterRatedV: isCord ? 120 : 240,
    switchedPoles: uniform(random, 0, 1) < 0.5 ? 2 : 1,
    circulation: circulates ? 'always' : 'on-demand',
    pumpLowW: circulates ? uniform(random, 60, 150) : uniform(random, 200, 400),
    pumpHighW: isCord ? uniform(random, 900, 1300) : uniform(random, 1200, 2500),
    pumpHeatShare: Math.min(1, Math.max(0.4, normal(random, 0.75, 0.075))),
    flowLowLpm: uniform(random, 80, 110),
    flowHighLpm: uniform(random, 130, 180),
    hysteresisK: 5 / 9,
    overTemperatureC: uniform(random, 43.3, 44.4),
    limitTripC: uniform(random, 46.7, 49),
    separateLimit: false,
    separateLimitC: 50,
    hasDiagram: uniform(random, 0, 1) < 0.85,
  }
}

function buildTub(plan: Plan): Tub {
  const random = createRandom(plan.seed ^ 0x5eed)
  const draw = (): Sensor => drawnSensor(random, plan.curve, plan.sensorTolerance)
  const ratedOhm = plan.heaterRatedV ** 2 / plan.heaterRatedW
  return {
    seed: plan.seed,
    random,
    build: copyBuild(plan),
    weather: {
      meanC: plan.meanC,
      swingC: plan.swingC,
      dayToDayK: plan.dayToDayK,
      sunPeakW: plan.sunPeakW,
      relativeHumidity: plan.relativeHumidity,
      windMS: plan.windMS,
    },
    settings: {
      setC: plan.setC,
      believedSetC: plan.believedSetC,
      heating: plan.heating,
      filterCycles: plan.filterCycles.map((cycle) => ({ ...cycle })),
    },
    board: {
      fault: 'none',
      misreadK: 0,
      curve: plan.curve,
      speedLeadsSwapped: false,
      pumpOutputWelded: 'off',
      poles: polesOf(plan),
    },
    controller: restingController(),
    sensors: { temperature: draw(), 'high-limit': draw() },
    sensorsSwapped: false,
    hydraulics: { filterLoss: CLEAN_FILTER_LOSS, filterIn: true, airLocked: false, pumpHealth: 1 },
    heater: {
      // Input tolerance of heating appliances is about +5/-10 % of rating (from memory), so R/1.05 to R/0.90.
      elementOhm: plan.exactTools ? ratedOhm : ratedOhm / uniform(random, 0.93, 1.04),
      elementToGroundOhm: plan.exactTools ? 1e9 : 10 ** uniform(random, 7, 9),
      leakAt: 0.25,
      separateLimitOpen: false,
      leads: 'on',
    },
    feed: {
      profile: plan.supply,
      level: plan.siteLevel,
      isolated: false,
      leftover: plan.leftover,
      gfci: { tripped: false, tripMa: 5, health: 'good' },
    },
    ledger: { heaterJ: 0, pumpJ: 0, sunJ: 0, lossJ: 0, evaporationJ: 0 },
    tools: plan.exactTools ? exactTools(plan.houseW) : drawnTools(random, plan.houseW),
    slips: plan.slips,
    clockS: plan.startHour * SECONDS_PER_HOUR + 14 * 86_400,
    isolatedForS: 0,
    waterC: plan.waterC,
    chamberC: plan.waterC,
    pipeC: plan.waterC,
    cover: 'on',
    pump: 'off',
    heaterW: 0,
    faults: [],
    exposures: [],
    looks: {},
  }
}

function copyBuild(plan: Plan): Build {
  return {
    supply: plan.supply,
    gallons: plan.gallons,
    volumeReadAtC: plan.volumeReadAtC,
    shellJK: plan.shellJK,
    uaWK: plan.uaWK,
    waterAreaM2: plan.waterAreaM2,
    heaterRatedW: plan.heaterRatedW,
    heaterRatedV: plan.heaterRatedV,
    switchedPoles: plan.switchedPoles,
    pumpLowW: plan.pumpLowW,
    pumpHighW: plan.pumpHighW,
    pumpHeatShare: plan.pumpHeatShare,
    circulation: plan.circulation,
    flowLowLpm: plan.flowLowLpm,
    flowHighLpm: plan.flowHighLpm,
    hysteresisK: plan.hysteresisK,
    overTemperatureC: plan.overTemperatureC,
    limitTripC: plan.limitTripC,
    separateLimit: plan.separateLimit,
    separateLimitC: plan.separateLimitC,
    hasDiagram: plan.hasDiagram,
  }
}

function polesOf(plan: Plan): Pole[] {
  return heaterLegs(plan.supply).map((leg, at) => ({
    leg,
    switched: at < plan.switchedPoles,
    contact: 'good',
    weldsLetGo: plan.weldsLetGo,
    released: false,
  }))
}

/** A new part of the given curve, inside its tolerance. */
export function drawnSensor(random: Random, curve: CurveName, tolerance: number): Sensor {
  return { ...nominalSensor(curve), scale: 1 + within(random, tolerance), slope: within(random, tolerance) }
}

export function restingController(): Controller {
  return {
    phase: 'idle',
    phaseS: SAMPLING_REST_S,
    demandStays: false,
    heaterCommand: false,
    symbol: false,
    message: 'none',
    overTemperature: false,
    limitTripped: false,
    flowLost: false,
    poorFlowS: 0,
    primingS: 0,
    coolingS: 0,
    button: 'off',
    buttonS: 0,
  }
}

function exactTools(houseW: number): Tools {
  return {
    thermometerOffsetK: 0,
    thermometerRepeatK: 0,
    ohmmeterGain: 0,
    voltmeterGain: 0,
    clampGain: 0,
    houseW,
    testerDies: false,
  }
}

/** Instrument errors as in heat-sensors-water: thermometer +-1.0 K and 0.1 K repeat (3.5), meters as in section 7. */
function drawnTools(random: Random, houseW: number): Tools {
  return {
    thermometerOffsetK: within(random, 1),
    thermometerRepeatK: 0.1,
    ohmmeterGain: within(random, 0.009),
    voltmeterGain: within(random, 0.01),
    clampGain: within(random, 0.02),
    houseW,
    testerDies: false,
  }
}
