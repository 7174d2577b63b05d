// The nearest known word to one that is not known, for the likely mend of an error.
// Where it is said is checks.ts, step.ts and schema-words.ts.

/** The nearest known word, for "did you mean": at most two letters away. */
export function nearest(word: string, known: Iterable<string>): string | undefined {
  let best: string | undefined
  let bestDistance = 3
  for (const candidate of known) {
    const distance = editDistance(word, candidate, bestDistance)
    if (distance < bestDistance) {
      best = candidate
      bestDistance = distance
    }
  }
  return best
}

function editDistance(a: string, b: string, limit: number): number {
  if (Math.abs(a.length - b.length) >= limit) return limit
  let previous = Array.from({ length: b.length + 1 }, (_, index) => index)
  for (let i = 1; i <= a.length; i += 1) {
    const row = [i]
    for (let j = 1; j <= b.length; j += 1) {
      const swap = (previous[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1)
      row.push(Math.min((previous[j] ?? 0) + 1, (row[j - 1] ?? 0) + 1, swap))
    }
    previous = row
  }
  return previous[b.length] ?? limit
}
