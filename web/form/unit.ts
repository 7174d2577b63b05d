// Units as they are shown beside a field. Their meaning is the engine's.
// Nothing is converted here.
const LABELS: { readonly [unit: string]: string } = {
  degF: '°F',
  degC: '°C',
  dF: '°F',
  dK: '°C',
  'degF/h': '°F/h',
  'K/h': '°C/h',
  ohm: 'Ω',
  kohm: 'kΩ',
  Mohm: 'MΩ',
  uF: 'µF',
  '1': '',
}

const SPOKEN: { readonly [unit: string]: string } = {
  degF: 'degrees Fahrenheit',
  degC: 'degrees Celsius',
  ohm: 'ohms',
  kohm: 'kilo-ohms',
  Mohm: 'mega-ohms',
  V: 'volts',
  A: 'amps',
  W: 'watts',
  kW: 'kilowatts',
}

export function unitLabel(unit: string): string {
  return LABELS[unit] ?? unit
}

export function unitSpoken(unit: string): string {
  return SPOKEN[unit] ?? unitLabel(unit)
}
