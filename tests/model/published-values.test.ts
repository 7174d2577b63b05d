// The model against published values: ids and sources are those of the fact sheets on heat, sensors and water (T, W, H, F,
// E, P, G) and on electrical safety (LO, SV, HT, IR, WT). V = published, D = derived with an independent library, M = from memory.
import { describe, expect, test } from 'vitest'
import { heaterAmps, heaterPowerW, leakageMa } from './plant.ts'
import { advance, insertFault, nominalTub, pairsOf, riseSeries } from './index.ts'
import type { Plan, Tub } from './index.ts'
import { readVolts } from './instruments.ts'
import { pairVolts } from './supply.ts'
import {
  betaOhm,
  curveCelsius,
  curveOhm,
  nominalSensor,
  sensorOhm,
  sensorOhmAtBoard,
  steinhartHartCelsius,
  steinhartHartOhm,
} from './thermistor.ts'
import { celsiusToFahrenheit, fahrenheitToCelsius } from './units.ts'
import {
  densityKgM3,
  evaporationKgSM2,
  heaterRiseK,
  latentHeatKjKg,
  saturationPressureKpa,
  specificHeatJKgK,
  standbyLimitUaWK,
  standbyLimitW,
} from './water.ts'

const HOUR_S = 3600
const ALL_DAY = [{ startHour: 0, hours: 24 }]

/** A tub whose pump always runs on low, with nothing that could stop it. */
function runningTub(changes: Partial<Plan>): Tub {
  return nominalTub({ filterCycles: ALL_DAY, setC: 27, overTemperatureC: 150, limitTripC: 150, ...changes })
}

function hoursUntil(tub: Tub, reached: (tub: Tub) => boolean): number {
  const startS = tub.clockS
  while (!reached(tub) && tub.clockS - startS < 200 * HOUR_S) advance(tub, 10)
  return (tub.clockS - startS) / HOUR_S
}

describe('thermistors', () => {
  // Campbell Scientific 109SS manual Table C-1 and FAQ 736 (S1, S2): V.
  test.each([
    ['T1', 32650.9, 0],
    ['T2', 97006.9, -20],
  ])('%s curve S reads %d ohm as %d degC', (_id, ohm, celsius) => {
    expect(Math.abs(curveCelsius('S', ohm) - celsius)).toBeLessThan(0.01)
  })
  test('T3 curve S has 31030.8 ohm at 1.00 degC', () => {
    expect(Math.abs(curveOhm('S', 1) - 31030.8)).toBeLessThan(2)
  })
  test('T4, T5 a published 3 kohm part: 2470.6001 ohm is 30 degC, 10030.2176 ohm is 0 degC, both ways (S33, V)', () => {
    const part = { a: 1.4e-3, b: 2.37e-4, c: 9.9e-8 }
    expect(steinhartHartCelsius(part, 2470.6001)).toBeCloseTo(30, 3)
    expect(steinhartHartCelsius(part, 10030.2176)).toBeCloseTo(0, 3)
    expect(steinhartHartOhm(part, 30)).toBeCloseTo(2470.6, 1)
  })
  test('T6 curve E reads 7000 ohm as 34.753 degC within what table interpolation costs (S5, V)', () => {
    expect(Math.abs(curveCelsius('E', 7000) - 34.7531)).toBeLessThan(0.03)
  })
  test('T9 beta formula with B 3974 gives 4326 ohm at 45 degC (S4, V)', () => {
    expect(Math.abs(betaOhm({ r25: 10_000, b: 3974 }, 45) - 4326)).toBeLessThan(1)
  })
  // Curve S columns of section 1 (S2, V) and curve E (Linux kernel ntc_thermistor.c, S3, V).
  test.each([
    [10, 19903, 17973],
    [20, 12493, 12090],
    [30, 8056, 8311],
    [40, 5325, 5825],
    [50, 3601, 4158],
  ])('rows at %d degC', (celsius, curveS, curveE) => {
    expect(Math.abs(curveOhm('S', celsius) / curveS - 1)).toBeLessThan(2e-4)
    expect(Math.abs(curveOhm('E', celsius) / curveE - 1)).toBeLessThan(2e-4)
  })
  test('T13 a 1 % / 1 % part is off by 0.41 K at 40 degC at most (D)', () => {
    const worst = { ...nominalSensor(), scale: 0.99, slope: 0.01 }
    expect(Math.abs(curveCelsius('S', sensorOhm(worst, 40)) - 40 - 0.41)).toBeLessThan(0.01)
  })
  // Section 1 fault signatures at 40 degC, curve S (D); T15 is the 500 ohm row.
  test.each([
    [100, -0.46],
    [250, -1.14],
    [500, -2.22],
    [1000, -4.23],
  ])('%d ohm in series reads %d K cold', (ohm, shiftK) => {
    const bad = { ...nominalSensor(), plugSeriesOhm: ohm }
    expect(Math.abs(curveCelsius('S', sensorOhmAtBoard(bad, 40)) - 40 - shiftK)).toBeLessThan(0.02)
  })
  test.each([
    [200_000, 0.65],
    [100_000, 1.29],
    [50_000, 2.53],
    [20_000, 5.97],
  ])('%d ohm across reads %d K hot', (ohm, shiftK) => {
    const bad = { ...nominalSensor(), plugLeakOhm: ohm }
    expect(Math.abs(curveCelsius('S', sensorOhmAtBoard(bad, 40)) - 40 - shiftK)).toBeLessThan(0.02)
  })
  test('a curve E part at 40 degC is read on curve S as 37.78 degC (D)', () => {
    expect(Math.abs(curveCelsius('S', curveOhm('E', 40)) - 37.78)).toBeLessThan(0.02)
  })
})

describe('water and air', () => {
  // IF97 rows of section 2, handbook S12 beside them: W1 and W2 are the rows at 25 and 40 degC.
  test.each([
    [5, 999.967, 4.2049],
    [10, 999.702, 4.1954],
    [15, 999.101, 4.1891],
    [20, 998.206, 4.1848],
    [25, 997.048, 4.1819],
    [30, 995.652, 4.18],
    [35, 994.039, 4.1789],
    [38, 992.973, 4.1786],
    [40, 992.224, 4.1786],
    [45, 990.223, 4.1788],
    [50, 988.047, 4.1796],
  ])('density and specific heat at %d degC', (celsius, density, specificHeat) => {
    expect(Math.abs(densityKgM3(celsius) - density)).toBeLessThan(0.02)
    expect(Math.abs(specificHeatJKgK(celsius) / 1000 / specificHeat - 1)).toBeLessThan(0.001)
  })
  test.each([
    [20, 2.3392],
    [25, 3.1697],
    [30, 4.2467],
    [38, 6.6324],
    [40, 7.3844],
  ])('P1 saturation pressure at %d degC is %d kPa (IF97)', (celsius, kpa) => {
    expect(Math.abs(saturationPressureKpa(celsius) / kpa - 1)).toBeLessThan(3e-4)
  })
  test.each([
    [25, 2441.7],
    [30, 2429.8],
    [38, 2410.8],
    [40, 2406],
  ])('latent heat at %d degC is %d kJ/kg (IF97)', (celsius, kjKg) => {
    expect(Math.abs(latentHeatKjKg(celsius) - kjKg)).toBeLessThan(0.1)
  })
  test('E3 still water of 38 degC under air of 25 degC, 50 %: 0.667 kg/(m2 h), still pool 0.494 (Carrier, S18)', () => {
    const air = { waterC: 38, airC: 25, relativeHumidity: 0.5, windMS: 0 }
    expect(Math.abs(evaporationKgSM2({ ...air, stillPool: false }) * 3600 - 0.667)).toBeLessThan(0.0067)
    expect(Math.abs(evaporationKgSM2({ ...air, stillPool: true }) * 3600 - 0.494)).toBeLessThan(0.005)
  })
  test('F1, F2 5.5 kW at 20 gpm rises 1.051 K; 10 K needs 7.96 L/min (IF97)', () => {
    expect(Math.abs(heaterRiseK({ powerW: 5500, litresPerMinute: 20 * 3.785411784, waterC: 40 }) - 1.051)).toBeLessThan(0.005)
    expect(Math.abs(heaterRiseK({ powerW: 5500, litresPerMinute: 7.96, waterC: 40 }) - 10)).toBeLessThan(0.02)
  })
  test('F1 the same rise stands across the heater of a running tub', () => {
    const tub = runningTub({ waterC: 40, flowLowLpm: 20 * 3.785411784 })
    insertFault(tub, 'relay-stuck')
    advance(tub, 300, 1)
    expect(Math.abs(tub.chamberC - tub.waterC - 1.051)).toBeLessThan(0.005)
  })
})

describe('heating water', () => {
  // S13 (published): 40 gal and 80 gal by 60 degF; losses and pump heat off.
  test.each([
    ['W3', 40, 4500, 1.3],
    ['W4', 80, 5500, 2.13],
  ])('%s %d gal, 60 degF, %d W takes %d h', (_id, gallons, watts, hours) => {
    const tub = runningTub({
      gallons,
      heaterRatedW: watts,
      uaWK: 0,
      pumpHeatShare: 0,
      waterC: fahrenheitToCelsius(60),
      volumeReadAtC: fahrenheitToCelsius(60),
    })
    insertFault(tub, 'relay-stuck')
    const took = hoursUntil(tub, (one) => one.waterC >= fahrenheitToCelsius(120))
    expect(Math.abs(took / hours - 1)).toBeLessThan(0.005)
  })
  test('W6 350 gal from 60 to 102 degF with 5.5 kW and no losses takes 6.52 h (IF97)', () => {
    const tub = runningTub({ uaWK: 0, pumpHeatShare: 0, waterC: fahrenheitToCelsius(60), volumeReadAtC: fahrenheitToCelsius(60) })
    insertFault(tub, 'relay-stuck')
    expect(Math.abs(hoursUntil(tub, (one) => one.waterC >= fahrenheitToCelsius(102)) - 6.52)).toBeLessThan(0.02)
  })
  // W7 and the table of section 2, K/h per kW at 40 degC (IF97).
  test.each([
    [250, 0.918],
    [350, 0.655],
    [400, 0.573],
    [500, 0.459],
    [800, 0.287],
  ])('W7 1 kW in %d gal: %d K/h', (gallons, rate) => {
    const tub = runningTub({ gallons, heaterRatedW: 1000, uaWK: 0, pumpHeatShare: 0, waterC: 39.75 })
    insertFault(tub, 'relay-stuck')
    advance(tub, 600)
    const startC = tub.waterC
    advance(tub, HOUR_S)
    expect(Math.abs(tub.waterC - startC - rate)).toBeLessThan(0.002)
  })
})

describe('heat balance', () => {
  test('H1-H3 standby limits: 243.6 W at 400 gal, 277.8 W inflatable at 250 gal (Washington bill text, Table G-5)', () => {
    expect(Math.abs(standbyLimitW(400) - 243.6)).toBeLessThan(0.1)
    expect(Math.abs(standbyLimitW(250, 'inflatable') - 277.8)).toBeLessThan(0.1)
  })
  test('H5 350 gal at the limit loses 11.006 W/K', () => {
    expect(Math.abs(standbyLimitUaWK(350) / 11.006 - 1)).toBeLessThan(0.001)
  })
  test('H6, H8 pump heat of 225 W, air 30 degC: 38 degC becomes 39.978 in 24 h and 40 after 24.29 h (RK4, D)', () => {
    const tub = runningTub({ meanC: 30 })
    advance(tub, 24 * HOUR_S)
    expect(Math.abs(tub.waterC - 39.978)).toBeLessThan(0.002)
    expect(Math.abs(24 + hoursUntil(tub, (one) => one.waterC >= 40) - 24.29)).toBeLessThan(0.02)
  })
  test('H7 the same tub settles at 50.44 degC (D)', () => {
    const tub = runningTub({ meanC: 30, waterC: 48 })
    advance(tub, 1000 * HOUR_S, 600)
    expect(Math.abs(tub.waterC - 50.44)).toBeLessThan(0.02)
  })
  test('H9 all off, 40 degC under air of 20 degC: 36.82 degC after 24 h (D)', () => {
    const tub = nominalTub({ waterC: 40 })
    tub.feed.isolated = true
    advance(tub, 24 * HOUR_S)
    expect(Math.abs(tub.waterC - 36.82)).toBeLessThan(0.01)
  })
  test('H10 7.19 W/K cools 40.0 to 38.9 degC in 12 h under air of 20 degC (D)', () => {
    const tub = nominalTub({ waterC: 40, uaWK: 7.19 })
    tub.feed.isolated = true
    advance(tub, 12 * HOUR_S)
    expect(Math.abs(tub.waterC - 38.9)).toBeLessThan(0.002)
  })
  test('H11 half the standby heat from the pump holds 40 degC at an air mean of 29.72 degC (D from S15)', () => {
    const tub = runningTub({ meanC: 29.72, pumpLowW: standbyLimitW(350) / 2, pumpHeatShare: 1, waterC: 39 })
    advance(tub, 1500 * HOUR_S, 600)
    expect(Math.abs(tub.waterC - 40)).toBeLessThan(0.01)
  })
  test('H12 a stuck 5.5 kW heater, 40 degC, air 25 degC, 225 W from the pump: 3.644 K/h (D)', () => {
    const tub = runningTub({ meanC: 25, waterC: 40 })
    insertFault(tub, 'relay-stuck')
    advance(tub, 300)
    // The rate falls with the loss, 0.026 K/h for each K: over 6 minutes that is far inside the tolerance.
    tub.waterC = tub.pipeC = 39.82
    tub.chamberC = 40.7
    advance(tub, 60)
    const startC = tub.waterC
    advance(tub, 360)
    expect(Math.abs((tub.waterC - startC) * 10 - 3.644)).toBeLessThan(0.005)
  })
  test('H13 two readings an hour apart give a slope to 0.141 K/h, seven to 0.113 (D)', () => {
    const slopes = Array.from({ length: 400 }, (_, at) => {
      const tub = nominalTub({ seed: at + 1, uaWK: 0, pumpHeatShare: 0, exactTools: false })
      const { points } = riseSeries(tub, { demandOff: true, minutes: 60, every: 10 })
      return { two: (points[6]?.thermometerC ?? 0) - (points[0]?.thermometerC ?? 0), seven: slopeKH(points) }
    })
    // The display step of 0.1 K adds 0.029 K to the 0.1 K of repeatability: 4 % more.
    expect(Math.abs(deviation(slopes.map(({ two }) => two)) / 0.1472 - 1)).toBeLessThan(0.12)
    expect(Math.abs(deviation(slopes.map(({ seven }) => seven)) / 0.118 - 1)).toBeLessThan(0.12)
  })
})

describe('electrical', () => {
  test('LO-1, LO-2 a four-wire feed has six pairs, a cord three', () => {
    expect(pairsOf('split-240-4wire')).toEqual(['L1-L2', 'L1-N', 'L1-G', 'L2-N', 'L2-G', 'N-G'])
    expect(pairsOf('split-240-3wire')).toEqual(['L1-L2', 'L1-G', 'L2-G'])
    expect(pairsOf('cord-120')).toEqual(['H-N', 'H-G', 'N-G'])
  })
  test('SV-8 two legs of a wye: 120 V to neutral each, 208 V between, heater at 75.1 %', () => {
    const { feed } = nominalTub({ supply: 'wye-208-4wire' })
    expect(pairVolts(feed, 'L1-N')).toBeCloseTo(120, 6)
    expect(pairVolts(feed, 'L2-N')).toBeCloseTo(120, 6)
    expect(Math.abs(pairVolts(feed, 'L1-L2') - 208)).toBeLessThan(0.2)
  })
  // A supplier table and heater notes (S26, S23; V*), HT-6 and HT-7 D.
  test.each([
    ['HT-1', 5500, 208 / (120 * Math.sqrt(3)), 'wye-208-4wire', 4131],
    ['HT-2', 1000, 208 / (120 * Math.sqrt(3)), 'wye-208-4wire', 751.1],
    ['HT-7', 5500, 220 / 240, 'split-240-4wire', 4621],
    ['HT-7', 5500, 230 / 240, 'split-240-4wire', 5051],
    ['HT-8', 4800, 1, 'split-240-4wire', 4800],
  ] as const)('%s %d W rated at 240 V', (_id, ratedW, siteLevel, supply, watts) => {
    const tub = nominalTub({ supply, heaterRatedW: ratedW, heaterRatedV: 240, siteLevel })
    insertFault(tub, 'relay-stuck')
    expect(Math.abs(heaterPowerW(tub) / watts - 1)).toBeLessThan(0.001)
  })
  test('HT-4, HT-6 4.5 kW is 12.8 ohm and 18.75 A; 5.5 kW is 10.47 ohm and 22.92 A at 240 V', () => {
    const four = nominalTub({ heaterRatedW: 4500 })
    const five = nominalTub()
    for (const tub of [four, five]) insertFault(tub, 'relay-stuck')
    expect(four.heater.elementOhm).toBeCloseTo(12.8, 6)
    expect(heaterAmps(four)).toBeCloseTo(18.75, 6)
    expect(five.heater.elementOhm).toBeCloseTo(10.47, 2)
    expect(heaterAmps(five)).toBeCloseTo(22.92, 2)
  })
  // A fault at fraction x of the element: 120 (1 - 2x) V to ground (D); 120 V over 30 and 20 kohm: 4.0 and 6.0 mA (IR-2).
  test.each([
    [0, 30_000, 4],
    [0, 20_000, 6],
    [0.25, 10_000, 6],
    [0.5, 10_000, 0],
  ])('IR-2, IR-5 at %d over %d ohm: %d mA', (leakAt, ohm, ma) => {
    const tub = nominalTub()
    insertFault(tub, 'relay-stuck')
    Object.assign(tub.heater, { leakAt, elementToGroundOhm: ohm })
    expect(leakageMa(tub)).toBeCloseTo(ma, 6)
  })
  test('a class A device holds at 4 mA and opens at 6 mA (UL 943 by S16)', () => {
    for (const [ohm, tripped] of [
      [30_100, false],
      [20_000, true],
    ] as const) {
      const tub = nominalTub()
      insertFault(tub, 'relay-stuck')
      Object.assign(tub.heater, { leakAt: 0, elementToGroundOhm: ohm })
      advance(tub, 60)
      expect(tub.feed.gfci.tripped).toBe(tripped)
    }
  })
  test('G2 the voltmeter shows 120.0 V within 1.5 V (1 % and 3 counts, S32)', () => {
    const readings = Array.from({ length: 400 }, (_, at) => readVolts(nominalTub({ seed: at, exactTools: false }), 120))
    expect(Math.max(...readings.map((volts) => Math.abs(volts - 120)))).toBeLessThanOrEqual(1.5501)
    expect(Math.max(...readings.map((volts) => Math.abs(volts - 120)))).toBeGreaterThan(1)
  })
  test('WT-4 104, 122 and 113 degF are 40, 50 and 45 degC', () => {
    expect([104, 122, 113].map(fahrenheitToCelsius)).toEqual([40, 50, 45])
    expect(celsiusToFahrenheit(40)).toBe(104)
  })
})

function slopeKH(points: readonly { minute: number; thermometerC: number }[]): number {
  const meanH = points.reduce((sum, point) => sum + point.minute / 60, 0) / points.length
  const top = points.reduce((sum, point) => sum + (point.minute / 60 - meanH) * point.thermometerC, 0)
  return top / points.reduce((sum, point) => sum + (point.minute / 60 - meanH) ** 2, 0)
}

function deviation(values: readonly number[]): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1))
}
