// The customer's first words matched to complaints, and red words that are asked about, never guessed.
// The person confirms; nothing is decided here.
import type { Edition } from '../edition/compiled.ts'

export type SymptomMatch = {
  readonly flow: string
  readonly complaint: string
  readonly label: string
  readonly share: number
  readonly sure: boolean
}
export type WordMatch = {
  readonly complaints: readonly SymptomMatch[]
  readonly redFlags: readonly { readonly slug: string; readonly label: string; readonly word: string }[]
}

const EMPTY_WORDS = new Set([
  'a',
  'the',
  'it',
  'is',
  'its',
  'my',
  'our',
  'we',
  'and',
  'to',
  'of',
  'in',
  'on',
  'at',
  'was',
  'so',
  'that',
  'this',
  'but',
  'i',
  'has',
  'have',
  'be',
  'than',
  'then',
  'keeps',
])

/** Matches free words against the phrases of every complaint. Shape: best first; `share` is how much of the best phrase was said. */
export function matchWords(edition: Edition, text: string): WordMatch {
  const said = wordsOf(text)
  const found = edition.symptoms
    .map((symptom) => ({ symptom, ...bestPhrase(said, symptom.phrases) }))
    .filter((match) => match.share >= 0.34)
    .toSorted((a, b) => b.score - a.score)
  const lead = (found[0]?.score ?? 0) - (found[1]?.score ?? 0)
  const complaints = found.map(({ symptom, share, score }) => ({
    flow: symptom.flow,
    complaint: symptom.complaint,
    label: symptom.label,
    share,
    sure: score === found[0]?.score && share >= 0.99 && lead >= 0.3,
  }))
  const lower = ` ${text.toLowerCase().replaceAll(/[^a-z0-9 ]/g, ' ')} `
  const redFlags = edition.red_flags.flatMap(({ slug, label, words }) => {
    const word = words.find((one) => lower.includes(` ${one.toLowerCase()}`))
    return word === undefined ? [] : [{ slug, label, word }]
  })
  return { complaints, redFlags }
}

function wordsOf(text: string): Set<string> {
  const words = text
    .toLowerCase()
    .split(/[^a-z0-9]+/)
    .filter((word) => word !== '' && !EMPTY_WORDS.has(word))
  return new Set(words.map((word) => word.replace(/(ing|ed|es|s)$/, '')))
}

/** The phrase that fits best: long phrases that were said whole beat short ones. */
function bestPhrase(said: Set<string>, phrases: readonly string[]): { share: number; score: number } {
  let best = { share: 0, score: 0 }
  for (const phrase of phrases) {
    const words = wordsOf(phrase)
    const hits = [...words].filter((word) => said.has(word)).length
    const share = words.size === 0 ? 0 : hits / words.size
    const score = share * (1 + hits / 4)
    if (score > best.score) best = { share, score }
  }
  return best
}
