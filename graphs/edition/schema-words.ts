// What is wrong with the shape of a library file, in words an author can act on, and the likely mend.
// Where it stands in the file is source.ts; the shapes are library-schema.ts.
import type { z } from 'zod'
import { nearest } from './nearest.ts'

type Issue = z.core.$ZodIssue
type Schema = z.core.$ZodType
export type Worded = { readonly path: readonly (string | number)[]; readonly message: string; readonly mend?: string }

export function wordsOf(issue: Issue, schema: Schema): Worded {
  const furthest = furthestOf(issue)
  const path = furthest.path.filter((part): part is string | number => typeof part !== 'symbol')
  const { message, mend } = faultOf(furthest, fieldsAt(schema, path))
  return { path, message: `${path.length === 0 ? 'the file' : path.join('.')} ${message}`, ...(mend === undefined ? {} : { mend }) }
}

/** Of a union, the branch that came furthest tells most. */
function furthestOf(issue: Issue): Issue {
  if (issue.code !== 'invalid_union' || issue.errors.length === 0) return issue
  const inner = issue.errors.flatMap((branch) => branch[0] ?? []).reduce((best, one) => (one.path.length > best.path.length ? one : best))
  return furthestOf({ ...inner, path: [...issue.path, ...inner.path] })
}

function faultOf(issue: Issue, fields: readonly string[]): { message: string; mend?: string } {
  switch (issue.code) {
    case 'unrecognized_keys':
      return {
        message: `has ${issue.keys.map((key) => `"${key}"`).join(', ')}, which nothing reads`,
        ...meant(issue.keys[0] ?? '', fields, `one of: ${fields.join(', ')}`),
      }
    case 'invalid_value': {
      const values = issue.values.map(String)
      if (issue.input === undefined) return { message: `is missing: one of ${values.join(', ')} is wanted` }
      return { message: `is "${String(issue.input)}", not one of: ${values.join(', ')}`, ...meant(String(issue.input), values) }
    }
    case 'invalid_type':
      return issue.input === undefined
        ? { message: `is missing: ${KINDS[issue.expected] ?? issue.expected} is wanted` }
        : { message: `is not ${KINDS[issue.expected] ?? issue.expected}` }
    case 'too_small':
      return { message: `is too short or too small: ${String(issue.minimum)} at least` }
    case 'too_big':
      return { message: `is too long or too large: ${String(issue.maximum)} at most` }
    case 'invalid_format':
    case 'custom':
      return { message: `is not ${issue.message}` }
    default:
      return { message: 'is not in the shape of this file', mend: 'compare it with `npm run edition -- schema`' }
  }
}

const KINDS: { readonly [type: string]: string } = {
  string: 'text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list, as [one, two]',
  object: 'a table of names and values',
  record: 'a table of names and values',
}

function meant(word: string, known: readonly string[], otherwise?: string): { mend?: string } {
  const near = nearest(word, known)
  if (near !== undefined) return { mend: `did you mean "${near}"?` }
  return otherwise === undefined ? {} : { mend: otherwise }
}

/** Names that the table at this place may hold; none where any name may stand. */
function fieldsAt(schema: Schema, path: readonly (string | number)[]): readonly string[] {
  return tablesAt(schema, path).flatMap((shape) => Object.keys(shape))
}

type Def = {
  readonly shape?: { readonly [field: string]: Schema }
  readonly innerType?: Schema
  readonly valueType?: Schema
  readonly element?: Schema
  readonly in?: Schema
  readonly options?: readonly Schema[]
}

function tablesAt(schema: Schema, path: readonly (string | number)[]): { readonly [field: string]: Schema }[] {
  const { shape, innerType, valueType, element, in: input, options } = schema._zod.def as Def
  if (options !== undefined) return options.flatMap((option) => tablesAt(option, path))
  const wrapped = innerType ?? input
  if (wrapped !== undefined) return tablesAt(wrapped, path)
  const [first, ...rest] = path
  if (first === undefined) return shape === undefined ? [] : [shape]
  const next = shape?.[String(first)] ?? valueType ?? element
  return next === undefined ? [] : tablesAt(next, rest)
}
