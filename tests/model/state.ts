// What the model tub consists of: plain data, so structuredClone copies a whole tub with its dice.
// Only shapes and small questions about them; the laws of motion are in physics.ts and controller.ts.
import type { Random } from './random.ts'
import type { Conductor, Feed, SupplyProfile } from './supply.ts'
import type { CurveName, Sensor } from './thermistor.ts'

export type SensorName = 'temperature' | 'high-limit'
export type Speed = 'off' | 'low' | 'high'
export type Contact = 'good' | 'welded' | 'stuck-open'
export type Message = 'none' | 'over-temperature' | 'heater-too-hot' | 'flow' | 'sensor'

export type Pole = {
  readonly leg: Conductor
  /** A fixed leg has no contact: it is always closed. */
  readonly switched: boolean
  contact: Contact
  /** Welds can let go when cold: such a pole reads open on the bench and welds again on the next demand. */
  readonly weldsLetGo: boolean
  released: boolean
}

/** The size and make of one tub. Everything a nameplate, a hydraulic drawing or a data sheet would tell. */
export type Build = {
  supply: SupplyProfile
  gallons: number
  /** Temperature at which the volume was read. */
  volumeReadAtC: number
  /** Heat stored in shell and pipes besides the water, J/K. */
  shellJK: number
  uaWK: number
  waterAreaM2: number
  heaterRatedW: number
  heaterRatedV: number
  switchedPoles: 1 | 2
  pumpLowW: number
  pumpHighW: number
  /** Share of the pump's real power that ends in the water. */
  pumpHeatShare: number
  /** A small pump that never rests, or the low speed when it is wanted. */
  circulation: 'always' | 'on-demand'
  flowLowLpm: number
  flowHighLpm: number
  hysteresisK: number
  overTemperatureC: number
  limitTripC: number
  /** A thermostat of its own in the heater line, besides the board's limit. */
  separateLimit: boolean
  separateLimitC: number
  hasDiagram: boolean
}

export type Weather = {
  meanC: number
  swingC: number
  /** Spread of daily means about the mean. */
  dayToDayK: number
  /** Sun into the covered tub at noon; 0-100 W in full sun is an assumption of heat-sensors-water 3.5. */
  sunPeakW: number
  relativeHumidity: number
  windMS: number
}

export type FilterCycle = { startHour: number; hours: number }

export type Settings = {
  setC: number
  /** What the customer thinks it is set to. */
  believedSetC: number
  heating: 'always' | 'filter-hours-only'
  filterCycles: FilterCycle[]
}

export type BoardFault = 'none' | 'output-on' | 'demand-never-ends' | 'misreads'

export type Board = {
  fault: BoardFault
  misreadK: number
  /** The curve the board was told (or built) to read. */
  curve: CurveName
  speedLeadsSwapped: boolean
  pumpOutputWelded: Speed
  poles: Pole[]
}

export type Controller = {
  phase: 'idle' | 'sampling' | 'heating'
  phaseS: number
  demandStays: boolean
  heaterCommand: boolean
  symbol: boolean
  message: Message
  overTemperature: boolean
  limitTripped: boolean
  flowLost: boolean
  poorFlowS: number
  primingS: number
  /** Left of the run that carries heat out of a tripped heater. */
  coolingS: number
  button: Speed
  buttonS: number
}

export type Hydraulics = {
  /** Loss of the filter relative to the rest of the loop: 0.15 when clean. */
  filterLoss: number
  filterIn: boolean
  airLocked: boolean
  /** 1 = healthy circulation, 0 = stopped. */
  pumpHealth: number
}

export type Heater = {
  elementOhm: number
  elementToGroundOhm: number
  /** Where along the element the sheath fault sits: 0 and 1 are the terminals. */
  leakAt: number
  separateLimitOpen: boolean
  leads: 'on' | 'off-and-capped'
}

/** Joules since the tub was made; in minus out equals stored. */
export type Ledger = { heaterJ: number; pumpJ: number; sunJ: number; lossJ: number; evaporationJ: number }

/** Where hands met something that can hurt. A driver asserts that this list stays empty. */
export type Exposure = { atS: number; act: string; what: 'live-box' | 'hot-water' | 'pump-running'; size: number }

export type Tools = {
  /** The thermometer's own constant error, K. */
  thermometerOffsetK: number
  thermometerRepeatK: number
  /** Relative errors, constant for the meter in hand. */
  ohmmeterGain: number
  voltmeterGain: number
  clampGain: number
  /** Other loads of the house, W. */
  houseW: number
  /** A tester that dies between its first and its second proof shows zero whatever is there. */
  testerDies: boolean
}

export type InsertedFault = { slug: string; variant: string; size: number }

export type Tub = {
  readonly seed: number
  readonly random: Random
  readonly build: Build
  readonly weather: Weather
  readonly settings: Settings
  readonly board: Board
  readonly controller: Controller
  readonly sensors: Record<SensorName, Sensor>
  /** Plugs exchanged at the board. */
  sensorsSwapped: boolean
  readonly hydraulics: Hydraulics
  readonly heater: Heater
  readonly feed: Feed
  readonly ledger: Ledger
  readonly tools: Tools
  /** Chance that a person misreads a yes-or-no observation. */
  slips: number
  clockS: number
  isolatedForS: number
  waterC: number
  chamberC: number
  pipeC: number
  cover: 'on' | 'off'
  pump: Speed
  heaterW: number
  faults: InsertedFault[]
  exposures: Exposure[]
  /** Looks that must not change when repeated. */
  looks: Record<string, string>
}

export function hasFault(tub: Tub, slug: string): boolean {
  return tub.faults.some((fault) => fault.slug === slug)
}

/** Which sensor hangs on a board input now. */
export function sensorAtInput(tub: Tub, input: SensorName): SensorName {
  if (!tub.sensorsSwapped) return input
  return input === 'temperature' ? 'high-limit' : 'temperature'
}
