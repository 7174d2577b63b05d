// How many years of school a text asks for: sentences, words and syllables counted, one published formula.
// Which text is read by whom is texts.ts.

export type TextCount = { readonly sentences: number; readonly words: number; readonly syllables: number }

/**
 * Grade level of a text.
 *
 * Shape:  counts above 0 in; a school grade out, not rounded; below 0 for the very shortest words.
 * Source: J. P. Kincaid, R. P. Fishburne, R. L. Rogers, B. S. Chissom, Derivation of New Readability Formulas for Navy Enlisted
 *         Personnel, Research Branch Report 8-75, 1975: 0.39 words/sentences + 11.8 syllables/words − 15.59.
 */
export function gradeOf({ sentences, words, syllables }: TextCount): number {
  return 0.39 * (words / sentences) + 11.8 * (syllables / words) - 15.59
}

/** Counts of several texts together: a step is read as a whole, a single short line says little. */
export function countText(texts: readonly string[]): TextCount {
  let sentences = 0
  let words = 0
  let syllables = 0
  for (const text of texts) {
    const plain = text.replaceAll(/\{[^}]*\}/g, 'ten')
    for (const sentence of plain.split(/(?<=[.!?:])\s+/)) {
      const found = sentence.match(/[\p{L}']+|\d+(?:\.\d+)?/gu) ?? []
      if (found.length === 0) continue
      sentences += 1
      words += found.length
      syllables += found.reduce((sum, word) => sum + syllablesOf(word), 0)
    }
  }
  return { sentences, words, syllables }
}

/** Syllables of an English word by its groups of vowels; an ending that is not spoken counts nothing. */
export function syllablesOf(word: string): number {
  const letters = word.toLowerCase().replaceAll(/[^a-z]/g, '')
  if (letters.length <= 3) return 1
  const spoken = letters.replace(/(?:[^laeiouy]es|[^td]ed|[^laeiouy]e)$/, (ending) => ending[0] ?? '').replace(/^y/, '')
  return Math.max(1, spoken.match(/[aeiouy]{1,2}/g)?.length ?? 1)
}
