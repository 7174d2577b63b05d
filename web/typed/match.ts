// What a typed line may mean at a step: numbers for its fields, one of its answers, or nothing. It proposes, the person confirms.
// Steps that can hurt somebody are never answered from here (step/guard.ts).
import type { StepView } from '#graphs/contract'
import { unitLabel } from '../form/unit.ts'

export type Filled = { readonly name: string; readonly typed: string; readonly unit: string }
export type Match =
  | { readonly kind: 'fill'; readonly readings: readonly Filled[]; readonly says: string }
  | { readonly kind: 'outcome'; readonly outcome: string; readonly label: string; readonly sure: boolean }
  | { readonly kind: 'which'; readonly outcomes: StepView['outcomes'] }
  | { readonly kind: 'cannot' }
  | { readonly kind: 'nothing' }

export function matchTyped(text: string, step: Pick<StepView, 'outcomes' | 'readings' | 'can_not_do'>): Match {
  const said = text.trim()
  if (said === '') return { kind: 'nothing' }
  const numbers = matchNumbers(said, step.readings)
  if (numbers !== undefined) return numbers
  if (/^(i )?(can'?t|cannot|can not|not possible|no tool|skip)\b/i.test(said))
    return step.can_not_do ? { kind: 'cannot' } : { kind: 'nothing' }
  if (NOT_SURE.test(said)) return matchNotSure(step)
  return matchLabels(said, step.outcomes)
}

const NOT_SURE = /^(i('?m| am)? )?(really )?(not sure|unsure|don'?t know|do not know|dunno|no idea|can'?t tell|cannot tell|maybe|idk|\?+)$/i

function matchNotSure(step: Pick<StepView, 'outcomes' | 'can_not_do'>): Match {
  const own = step.outcomes.find(
    ({ outcome, label }) =>
      /not-sure|unknown|cannot-tell|unclear|not-known/.test(outcome) || /not sure|not known|cannot tell|don.t know/i.test(label),
  )
  if (own !== undefined) return { kind: 'outcome', ...own, sure: true }
  return step.can_not_do ? { kind: 'cannot' } : { kind: 'nothing' }
}

type Token = { readonly typed: string; readonly unit: string | undefined }

const TOKEN =
  /([+-]?\d[\d.,]*)\s*(°?\s*[fc]\b|k(?:\s*ohms?|Ω)?\b|kilo-?ohms?|m(?:eg)?\s*ohms?|ohms?|Ω|v(?:olts?)?\b|ma\b|a(?:mps?)?\b|kw\b|w(?:atts?)?\b|%)?|\b(o\.?l\.?|open)\b/giu

function matchNumbers(text: string, fields: StepView['readings']): Match | undefined {
  const open = fields.filter((field) => field.series === undefined)
  const tokens = tokensOf(text)
  if (tokens.length === 0 || fields.length === 0) return undefined
  const series = fields.find((field) => field.series !== undefined)
  if (open.length === 0 && series !== undefined && tokens.length === 1) return fill([[series, tokens[0] as Token]])
  if (tokens.length > open.length) return undefined
  const pairs: [StepView['readings'][number], Token][] = []
  const left = [...open]
  for (const token of tokens) {
    const fitting = left.filter((field) => fits(field, token))
    // A bare number could belong to any field: it is taken only when the order leaves no doubt.
    const field = fitting.length === 1 || tokens.length === left.length || tokens.length === open.length ? fitting[0] : undefined
    if (field === undefined) return undefined
    pairs.push([field, token])
    left.splice(left.indexOf(field), 1)
  }
  return fill(pairs)
}

function tokensOf(text: string): Token[] {
  return [...text.matchAll(TOKEN)].map(([, number, unit, open]) => ({
    typed: open === undefined ? (number ?? '').replace(/[.,]$/, '') : 'OL',
    unit: open === undefined ? unitOf(unit) : 'open',
  }))
}

function unitOf(words: string | undefined): string | undefined {
  const unit = words?.toLowerCase().replaceAll(/[\s°-]/g, '')
  if (unit === undefined) return undefined
  if (unit === 'f') return 'degF'
  if (unit === 'c') return 'degC'
  if (/^(k|kilo)(ohms?|ω)?$/.test(unit)) return 'kohm'
  if (/^m(eg)?ohms?$/.test(unit)) return 'Mohm'
  if (/^(ohms?|ω)$/.test(unit)) return 'ohm'
  return { v: 'V', volt: 'V', volts: 'V', a: 'A', amp: 'A', amps: 'A', ma: 'mA', w: 'W', watt: 'W', watts: 'W', kw: 'kW' }[unit] ?? 'other'
}

function fits(field: StepView['readings'][number], token: Token): boolean {
  if (token.unit === undefined) return true
  if (token.unit === 'open') return field.quantity === 'resistance'
  return field.units.includes(token.unit) || (token.unit === 'kohm' && field.units.includes('kW') && /k$/i.test(token.typed))
}

function fill(pairs: readonly (readonly [StepView['readings'][number], Token])[]): Match {
  const readings = pairs.map(([field, token]) => ({
    name: field.name,
    typed: token.typed,
    unit: token.unit === undefined || token.unit === 'open' ? (field.units[0] ?? '') : token.unit,
  }))
  const says = pairs
    .map(([field], index) => `${field.label} ${readings[index]?.typed ?? ''} ${unitLabel(readings[index]?.unit ?? '')}`.trim())
    .join(', ')
  return { kind: 'fill', readings, says }
}

function matchLabels(text: string, outcomes: StepView['outcomes']): Match {
  const said = wordsOf(text)
  if (said.length === 0) return { kind: 'nothing' }
  const scored = outcomes
    .map((outcome) => ({ outcome, score: likeness(said, wordsOf(`${outcome.label}`)) }))
    .filter(({ score }) => score > 0)
    .toSorted((a, b) => b.score - a.score)
  const [first, second] = scored
  if (first === undefined) return { kind: 'nothing' }
  const isAlone = second === undefined || first.score - second.score >= 0.2
  if (isAlone && first.score >= 0.5) return { kind: 'outcome', ...first.outcome, sure: first.score >= 0.99 }
  return { kind: 'which', outcomes: scored.slice(0, 4).map(({ outcome }) => outcome) }
}

const SMALL = new Set([
  'the',
  'a',
  'an',
  'is',
  'it',
  'its',
  'are',
  'was',
  'of',
  'to',
  'at',
  'and',
  'or',
  'by',
  'i',
  'we',
  'they',
  'that',
  'this',
  'has',
  'have',
])
const SAME: { readonly [word: string]: string } = {
  yeah: 'yes',
  yep: 'yes',
  y: 'yes',
  nope: 'no',
  n: 'no',
  ok: 'yes',
  none: 'no',
  nothing: 'no',
  never: 'no',
  done: 'done',
}

function wordsOf(text: string): string[] {
  const words = text
    .toLowerCase()
    .split(/[^a-z0-9°.]+/)
    .filter((word) => word !== '')
  const kept = words.filter((word) => !SMALL.has(word))
  return (kept.length === 0 ? words : kept).map((word) => SAME[word] ?? word.replace(/(?<=\w{3})(ing|ed|es|s)$/, ''))
}

/** 1 when everything said stands in the label and the label says little more. */
function likeness(said: readonly string[], label: readonly string[]): number {
  const hits = said.filter((word) => label.some((other) => other === word || (word.length >= 4 && isClose(word, other)))).length
  if (hits === 0) return 0
  const share = hits / said.length
  return share === 1 && hits === label.length ? 1 : share * 0.7 + (hits / Math.max(label.length, 1)) * 0.29
}

/** One slip of the finger apart. */
function isClose(a: string, b: string): boolean {
  if (Math.abs(a.length - b.length) > 1) return false
  let [i, j, slips] = [0, 0, 0]
  while (i < a.length && j < b.length) {
    if (a[i] === b[j]) {
      i += 1
      j += 1
      continue
    }
    slips += 1
    if (slips > 1) return false
    if (a.length >= b.length) i += 1
    if (b.length >= a.length) j += 1
  }
  return slips + (a.length - i) + (b.length - j) <= 1
}
