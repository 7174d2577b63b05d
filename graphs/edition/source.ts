// Reading library files: YAML text to checked raw data, with the file, line and path of everything that is wrong.
// Meaning (references, arrows, gates) is judged in compile.ts and checks.ts.
import { LineCounter, parseDocument } from 'yaml'
import type { Document } from 'yaml'
import type { z } from 'zod'

export type SourceFile = { readonly path: string; readonly text: string }

export type LibraryProblem = {
  readonly file: string
  readonly line: number
  readonly step?: string
  readonly message: string
  /** The likely mend, where one can be guessed. */
  readonly mend?: string
}

export type ParsedFile<T> = { readonly path: string; readonly data: T; readonly lineOf: (path: readonly (string | number)[]) => number }

/** Reads one file against its schema; pushes what is wrong onto `problems` and returns undefined then. */
export function readYaml<T>(file: SourceFile, schema: z.ZodType<T>, problems: LibraryProblem[]): ParsedFile<T> | undefined {
  const counter = new LineCounter()
  const document = parseDocument(file.text, { lineCounter: counter, uniqueKeys: true })
  if (document.errors.length > 0) {
    for (const error of document.errors) {
      problems.push({ file: file.path, line: counter.linePos(error.pos[0]).line, message: error.message.split('\n')[0] ?? 'not YAML' })
    }
    return undefined
  }
  const lineOf = (path: readonly (string | number)[]) => lineAt(document, counter, path)
  const plain = plainOf(document)
  if (!plain.ok) {
    problems.push({ file: file.path, line: 1, message: plain.message })
    return undefined
  }
  const parsed = schema.safeParse(plain.value)
  if (parsed.success) return { path: file.path, data: parsed.data, lineOf }
  for (const issue of parsed.error.issues) {
    const path = issue.path.filter((part): part is string | number => typeof part !== 'symbol')
    const step = path[0] === 'steps' && typeof path[1] === 'string' ? path[1] : undefined
    problems.push({
      file: file.path,
      line: lineOf(path),
      ...(step === undefined ? {} : { step }),
      message: `${path.join('.')}: ${issue.message}`,
    })
  }
  return undefined
}

/** The document as plain values. An alias without its anchor is found only here, and by a throw. */
function plainOf(document: Document): { readonly ok: true; readonly value: unknown } | { readonly ok: false; readonly message: string } {
  try {
    return { ok: true, value: document.toJS() }
  } catch (error) {
    return { ok: false, message: error instanceof Error ? error.message : 'not YAML' }
  }
}

/** The line of the nearest node that exists on the way to `path`. */
function lineAt(document: Document, counter: LineCounter, path: readonly (string | number)[]): number {
  for (let length = path.length; length >= 0; length -= 1) {
    const node = length === 0 ? document.contents : document.getIn(path.slice(0, length), true)
    const range = (node as { range?: readonly [number, number, number] } | null | undefined)?.range
    if (range) return counter.linePos(range[0]).line
  }
  return 1
}

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
