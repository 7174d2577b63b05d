// Reading library files: YAML text to checked raw data, with the file, line and path of everything that is wrong.
// Meaning (references, arrows, gates) is judged in compile.ts and checks.ts.
import { LineCounter, parseDocument } from 'yaml'
import type { Document } from 'yaml'
import type { z } from 'zod'
import { wordsOf } from './schema-words.ts'

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

/** A file that people review is far shorter; a longer one is a mistake, or meant to choke the reader. */
const LENGTH_MOST = 1_000_000

const YAML_WORDS: { readonly [code: string]: string } = {
  TAB_AS_INDENT: 'is indented with a tab: use spaces',
  DUPLICATE_KEY: 'names the same thing twice in one table',
  MULTIPLE_DOCS: 'begins a second document: one file holds one',
  BAD_INDENT: 'is indented by more or less than its neighbours',
  MISSING_CHAR: 'lacks a bracket, a quote or a comma',
  BLOCK_AS_IMPLICIT_KEY: 'has two tables on one line: begin a new line',
  KEY_OVER_1024_CHARS: 'has a name longer than 1024 characters',
}

/** Reads one file against its schema; pushes what is wrong onto `problems` and returns undefined then. */
export function readYaml<T>(file: SourceFile, schema: z.ZodType<T>, problems: LibraryProblem[]): ParsedFile<T> | undefined {
  if (file.text.length > LENGTH_MOST) {
    problems.push({
      file: file.path,
      line: 1,
      message: `is ${file.text.length} characters long; ${LENGTH_MOST} is the most`,
      mend: 'split it',
    })
    return undefined
  }
  const counter = new LineCounter()
  const document = parseDocument(file.text, { lineCounter: counter, uniqueKeys: true })
  if (document.errors.length > 0) {
    for (const error of document.errors) {
      problems.push({ file: file.path, line: counter.linePos(error.pos[0]).line, message: YAML_WORDS[error.code] ?? 'is not YAML here' })
    }
    return undefined
  }
  const lineOf = (path: readonly (string | number)[]) => lineAt(document, counter, path)
  const plain = plainOf(document)
  if (!plain.ok) {
    problems.push({ file: file.path, line: 1, message: plain.message })
    return undefined
  }
  const parsed = schema.safeParse(plain.value, { reportInput: true })
  if (parsed.success) return { path: file.path, data: parsed.data, lineOf }
  for (const issue of parsed.error.issues) {
    const { path, message, mend } = wordsOf(issue, schema)
    const step = path[0] === 'steps' && typeof path[1] === 'string' ? path[1] : undefined
    problems.push({
      file: file.path,
      line: lineOf(path),
      ...(step === undefined ? {} : { step }),
      message,
      ...(mend === undefined ? {} : { mend }),
    })
  }
  return undefined
}

/** The document as plain values. An alias without its anchor is found only here, and by a throw. */
function plainOf(document: Document): { readonly ok: true; readonly value: unknown } | { readonly ok: false; readonly message: string } {
  try {
    return { ok: true, value: document.toJS() }
  } catch (error) {
    const isBomb = error instanceof Error && error.message.includes('alias count')
    return { ok: false, message: isBomb ? 'repeats itself too often through aliases' : 'points at an anchor that is not there' }
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
