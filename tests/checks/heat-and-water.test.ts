// Water, heat, flow and evaporation against published tables and worked examples.
// Marks: V published inputs and answer, D derived from published inputs with a reference library, M from memory.
import { createRequire } from 'node:module'
import { describe, expect, test } from 'vitest'
import {
  CARRIER,
  evaporationByActivity,
  evaporationByCarrier,
  evaporationByShah,
  evaporationBySpeed,
} from '../../graphs/trade/evaporation.ts'
import { flowOf, riseAcross, riseInPump } from '../../graphs/trade/flow.ts'
import {
  creepBound,
  dailyGain,
  equilibrium,
  heatFor,
  heatUpTime,
  lossAtLimit,
  lossByCooling,
  normalisedStandby,
  predictRise,
  riseRate,
  separation,
  sizingRule,
  slopeThrough,
  standbyLimit,
  timeConstant,
  timeToReach,
  waterAfter,
} from '../../graphs/trade/heat.ts'
import { toSi } from '../../graphs/trade/quantity.ts'
import { density, heatCapacity } from '../../graphs/trade/water.ts'

type Check = readonly [id: string, mark: string, source: string, actual: () => number, expected: number, tolerance: number]

const gallons = (count: number): number => toSi(count, 'gal')
const degF = (value: number): number => toSi(value, 'degF')
const TUB = gallons(350)
const LOSS = lossAtLimit(TUB)
const H6 = { volume: TUB, loss: LOSS, air: 30, heat: 225 }
const BTU = 1055.05585

const rise = (heater: number, pump: number) =>
  predictRise({
    volume: { value: TUB, u: 0.07 * TUB },
    heater: { value: heater, u: 0.05 * heater },
    pump: { value: pump, u: 0.1 * pump },
    fraction: { value: 0.75, u: 0.15 },
    loss: { value: LOSS, u: 0.3 * LOSS },
    above: { value: 15, u: 2 },
  })

const psychrolib = createRequire(import.meta.url)('psychrolib') as {
  SetUnitSystem: (system: unknown) => void
  SI: unknown
  GetSatVapPres: (degC: number) => number
  GetHumRatioFromRelHum: (degC: number, share: number, pascal: number) => number
  GetMoistAirVolume: (degC: number, ratio: number, pascal: number) => number
}
psychrolib.SetUnitSystem(psychrolib.SI)
const AIR = 101_325
const pWater = psychrolib.GetSatVapPres(38) / 1000
const pAir = psychrolib.GetSatVapPres(25) / 2000
const LATENT = 2410.8 // kJ/kg at 38 degC, IF97
const ratioWater = psychrolib.GetHumRatioFromRelHum(38, 1, AIR)
const ratioAir = psychrolib.GetHumRatioFromRelHum(25, 0.5, AIR)
const carrier = evaporationByCarrier({ speed: 0, pressureWater: pWater, pressureAir: pAir, latent: LATENT })
const byActivity = evaporationByActivity({ pressureWater: pWater, pressureAir: pAir, activity: 1 })

const checks: readonly Check[] = [
  ['W1', 'V', 'handbook water table; IF97: density at 25 degC, kg/m3', () => density(25), 997.048, 0.01],
  ['W2', 'V', 'handbook water table; IF97: heat capacity at 40 degC', () => heatCapacity(40), 4.1785, 0.0042],
  [
    'W3',
    'V',
    'worked example: 40 gal, +60 degF, 4.5 kW, hours',
    () => heatUpTime({ volume: gallons(40), from: degF(60), to: degF(120), power: 4500 }) / 3600,
    1.3,
    0.0065,
  ],
  ['W3', 'V', 'the same, Btu', () => heatFor({ volume: gallons(40), from: degF(60), to: degF(120) }) / BTU, 20016, 100.1],
  [
    'W4',
    'V',
    'worked example: 80 gal, +60 degF, 5.5 kW, hours',
    () => heatUpTime({ volume: gallons(80), from: degF(60), to: degF(120), power: 5500 }) / 3600,
    2.13,
    0.0107,
  ],
  [
    'W5',
    'V',
    'sizing rule, 400 gal, 20 degF, 1 h, kW (hides a margin)',
    () => sizingRule({ volume: gallons(400), rise: 20 / 1.8, hours: 1 }) / 1000,
    21.333,
    0.5,
  ],
  ['W5', 'D', 'the same exactly, kW', () => heatFor({ volume: gallons(400), from: degF(84), to: degF(104) }) / 3.6e6, 19.55, 0.5],
  [
    'W6',
    'D',
    'IF97: 350 gal, 60 to 102 degF, 5.5 kW, hours',
    () => heatUpTime({ volume: TUB, from: degF(60), to: degF(102), power: 5500 }) / 3600,
    6.52,
    0.02,
  ],
  ['W7', 'D', 'IF97: 350 gal, 1 kW, 40 degC, K/h', () => riseRate({ power: 1000, volume: TUB }), 0.655, 0.002],
  ['W7', 'D', 'the same, degF/h', () => riseRate({ power: 1000, volume: TUB }) * 1.8, 1.18, 0.002],
  ['H1', 'D', 'Washington 2021 formula: standby limit 400 gal, W', () => standbyLimit(gallons(400)), 243.6, 0.1],
  ['H2', 'V/D', 'California 2006 rule: 300 gal, W (printed: more than 200)', () => standbyLimit(gallons(300), 'rule-2006'), 224.1, 0.1],
  ['H3', 'D', 'Washington 2021 formula: inflatable 250 gal, W', () => standbyLimit(gallons(250), 'inflatable'), 277.8, 0.1],
  ['H4', 'D', 'normalised standby: 260 W at 42 degF', () => normalisedStandby(260, 42 / 1.8), 229.05, 0.05],
  ['H5', 'D', 'loss of 350 gal at the limit, W/K', () => LOSS, 11.006, 0.011],
  ['H5', 'D', 'time constant of it, h', () => timeConstant(TUB, LOSS) / 3600, 138.6, 0.139],
  ['H6', 'D', 'Runge-Kutta: 38 degC, air 30, 225 W, 24 h', () => waterAfter(H6, 38, 86_400), 39.978, 0.001],
  ['H7', 'D', 'equilibrium of H6', () => equilibrium(H6), 50.44, 0.01],
  ['H8', 'D', 'time 38 to 40 degC, h', () => timeToReach(H6, 38, 40) / 3600, 24.29, 0.02],
  ['H9', 'D', 'cooling, all off, 24 h, air 20', () => waterAfter({ ...H6, air: 20, heat: 0 }, 40, 86_400), 36.82, 0.01],
  [
    'H10',
    'D',
    'field loss: 40.0 to 38.9 in 12 h, air 20, W/K',
    () => lossByCooling({ volume: TUB, from: 40, to: 38.9, air: 20, seconds: 43_200 }),
    7.19,
    0.01,
  ],
  ['H11', 'D', 'creep bound, share 0.5, 40 degC', () => creepBound(40, 0.5), 29.72, 0.01],
  ['H12', 'D', 'stuck 5.5 kW, K/h', () => rise(5500, 300).on.value, 3.644, 0.005],
  ['H12', 'D', 'its standard uncertainty', () => rise(5500, 300).on.u, 0.32, 0.005],
  ['H12', 'D', 'without it, K/h', () => rise(5500, 300).off.value, 0.039, 0.0005],
  [
    'H13',
    'D',
    'slope of two readings an hour apart, u',
    () =>
      slopeThrough(
        [0, 3600].map((seconds) => ({ seconds, degC: 0 })),
        0.1,
      ).u,
    0.1414,
    0.0005,
  ],
  [
    'H13',
    'D',
    'slope of seven readings in an hour, u',
    () =>
      slopeThrough(
        [0, 1, 2, 3, 4, 5, 6].map((n) => ({ seconds: n * 600, degC: 0 })),
        0.1,
      ).u,
    0.1134,
    0.0005,
  ],
  [
    'H14',
    'D',
    '1 kW beside a jet pump, 4 h: separation',
    () => separation(rise(1000, 1500), { seconds: 14_400, scatter: 0.1 }),
    1.75,
    0.02,
  ],
  [
    '3.5',
    'D',
    '5.5 kW, low speed, half an hour: separation',
    () => separation(rise(5500, 300), { seconds: 1800, scatter: 0.1 }),
    5.1,
    0.05,
  ],
  ['3.1', 'D', 'gain of the daily swing, 139 h', () => dailyGain(139 * 3600), 0.0275, 0.0002],
  ['F1', 'D', 'IF97: 5.5 kW at 20 gpm, K', () => riseAcross({ power: 5500, flow: gallons(20) }), 1.051, 0.005],
  ['F1', 'D', 'the same, degF', () => riseAcross({ power: 5500, flow: gallons(20) }) * 1.8, 1.89, 0.005],
  ['F2', 'D', 'IF97: flow for 10 K, L/min', () => flowOf({ power: 5500, rise: 10 }), 7.96, 0.01],
  ['F2', 'D', 'the same, gpm', () => flowOf({ power: 5500, rise: 10 }) / gallons(1), 2.1, 0.01],
  [
    'F3',
    'V',
    'engineering note: pump 0.11 kW, 28 %, 0.0017 m3/s, K',
    () => riseInPump({ shaft: 110, efficiency: 0.28, flow: 0.0017 }),
    0.011,
    0.0005,
  ],
  [
    'E1',
    'V',
    'evaporation note, 500 m2, 0.5 m/s, kg/s',
    () => evaporationBySpeed({ speed: 0.5, area: 500, ratioWater: 0.02, ratioAir: 0.0098 }),
    0.049,
    0.00049,
  ],
  ['E2', 'D', 'Carrier in SI, still', () => CARRIER.still, 0.0885, 0.0001],
  ['E2', 'D', 'Carrier in SI, per m/s', () => CARRIER.perSpeed, 0.0779, 0.0001],
  ['E3', 'D', 'Carrier, still, 38 / 25 degC 50 %, psychrolib', () => carrier, 0.667, 0.0067],
  ['E3', 'D', '74 % of it', () => carrier * 0.74, 0.494, 0.005],
  ['E4', 'M', 'activity form, factor 1', () => byActivity, 0.727, 0.0073],
  [
    'E5',
    'M',
    'Shah, coefficients from memory',
    () =>
      evaporationByShah({
        densityWater: 1 / psychrolib.GetMoistAirVolume(38, ratioWater, AIR),
        densityAir: 1 / psychrolib.GetMoistAirVolume(25, ratioAir, AIR),
        ratioWater,
        ratioAir,
      }),
    0.59,
    0.012,
  ],
]

describe('water and heat keep to published values', () => {
  test.each(checks)('%s [%s] %s', (_id, _mark, _source, actual, expected, tolerance) => {
    expect(Math.abs(actual() - expected)).toBeLessThanOrEqual(tolerance)
  })

  test('H6 closed form agrees with a Runge-Kutta run of the balance (our own integration, step 60 s)', () => {
    const heat = TUB * density(40) * heatCapacity(40)
    const change = (t: number): number => (225 - LOSS * (t - 30)) / heat
    let t = 38
    for (let step = 0; step < 1440; step += 1) {
      const k1 = change(t)
      const k2 = change(t + 30 * k1)
      const k3 = change(t + 30 * k2)
      const k4 = change(t + 60 * k3)
      t += 10 * (k1 + 2 * k2 + 2 * k3 + k4)
    }
    expect(Math.abs(waterAfter(H6, 38, 86_400) - t)).toBeLessThan(1e-6)
  })

  test('density and heat capacity stay within 0.1 % of the handbook (V) at every printed row', () => {
    const handbook: readonly (readonly [number, number, number])[] = [
      [10, 999.7026, 4.1921],
      [20, 998.2071, 4.1818],
      [30, 995.6502, 4.1784],
      [40, 992.2, 4.1785],
    ]
    for (const [degC, rho, cp] of handbook) {
      expect(Math.abs(density(degC) / rho - 1)).toBeLessThan(0.001)
      expect(Math.abs(heatCapacity(degC) / cp - 1)).toBeLessThan(0.001)
    }
  })
})
