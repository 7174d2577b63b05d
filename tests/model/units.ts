// Conversions at the edge of the model. Inside, everything is SI and degrees Celsius.
// A temperature and a temperature difference are two things: no function here converts both.

export const LITRES_PER_GALLON = 3.785411784
export const SECONDS_PER_HOUR = 3600
export const SECONDS_PER_DAY = 86_400

export function celsiusToFahrenheit(readingC: number): number {
  return readingC * 1.8 + 32
}

export function fahrenheitToCelsius(readingF: number): number {
  return (readingF - 32) / 1.8
}

/** A difference: 1 K is 1.8 degF. */
export function kelvinToFahrenheitDifference(differenceK: number): number {
  return differenceK * 1.8
}

export function fahrenheitDifferenceToKelvin(differenceF: number): number {
  return differenceF / 1.8
}

/** Round to the instrument's last digit. */
export function roundTo(value: number, resolution: number): number {
  return Math.round(value / resolution) * resolution
}
