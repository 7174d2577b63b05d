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

/** Matches free words against the phrases of every complaint. Shape: best first, share 0…1 of a phrase's words that were said. */
export function matchWords(edition: Edition, text: string): WordMatch {
  const said = wordsOf(text)
  const complaints = edition.symptoms
    .map((symptom) => {
      const share = Math.max(0, ...symptom.phrases.map((phrase) => shareOf(said, wordsOf(phrase))))
      return { flow: symptom.flow, complaint: symptom.complaint, label: symptom.label, share, sure: share >= 0.99 && said.size >= 3 }
    })
    .filter((match) => match.share >= 0.34)
    .toSorted((a, b) => b.share - a.share)
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

function shareOf(said: Set<string>, phrase: Set<string>): number {
  if (phrase.size === 0) return 0
  let hits = 0
  for (const word of phrase) if (said.has(word)) hits += 1
  return hits / phrase.size
}
