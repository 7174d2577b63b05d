// What is wrong with the shape of a request, in our own words: zod's are not for people, and none of them is passed on.
// Which code and status go with it is problem-reply.ts.
import type { z } from 'zod'

export type IssueWords = { readonly path: readonly string[]; readonly message: string }
type Issue = z.core.$ZodIssue

/** A part of a request is not in the shape its route asks for. */
export class ShapeError extends Error {
  override readonly name = 'ShapeError'
  readonly part: string
  readonly issue: Issue | undefined
  constructor(part: string, issue: Issue | undefined) {
    super('The request is not in the shape asked for.')
    this.part = part
    this.issue = issue
  }
}

export function describeIssue(issue: Issue | undefined): IssueWords {
  if (issue === undefined) return { path: [], message: 'The request cannot be read. Compare it with /api/openapi.json.' }
  // Of a union, the branch that came furthest tells most.
  if (issue.code === 'invalid_union' && issue.errors.length > 0) {
    const furthest = issue.errors
      .map((branch) => branch[0])
      .reduce((best, one) => ((one?.path.length ?? 0) > (best?.path.length ?? -1) ? one : best))
    if (furthest !== undefined) {
      return describeIssue({ ...furthest, path: [...issue.path, ...furthest.path] })
    }
  }
  const path = issue.path.map(String)
  return { path, message: `${path.length === 0 ? 'The request' : `"${path.join('.')}"`} ${describeFault(issue)}` }
}

function describeFault(issue: Issue): string {
  switch (issue.code) {
    case 'invalid_type':
      return `must be ${article(issue.expected)}. Compare it with /api/openapi.json.`
    case 'too_small':
      return `is too short or too small: ${String(issue.minimum)} at least.`
    case 'too_big':
      return `is too long or too large: ${String(issue.maximum)} at most.`
    case 'invalid_value':
      return `must be one of: ${issue.values.map(String).join(', ')}.`
    case 'unrecognized_keys':
      return `has fields that are not known: ${issue.keys.join(', ')}. Leave them out.`
    case 'invalid_union':
      return 'is of a kind that is not known. Compare it with /api/openapi.json.'
    default:
      return 'is not in the shape asked for. Compare it with /api/openapi.json.'
  }
}

function article(expected: string): string {
  return /^[aeio]/.test(expected) ? `an ${expected}` : `a ${expected}`
}
