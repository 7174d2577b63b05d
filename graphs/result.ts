// The two ways a function of this folder ends: a value, or a problem said in words. Broken promises throw instead.
// Nothing about a particular subject belongs here.
import type { ErrorCode } from './errors.ts'

export type Problem = {
  readonly code: ErrorCode
  /** One or two sentences that say what to do next. */
  readonly message: string
  readonly path?: string
  readonly details?: { readonly [key: string]: unknown }
}

export type Ok<T> = { readonly ok: true; readonly value: T }
export type Failed = { readonly ok: false; readonly problem: Problem }
export type Result<T> = Ok<T> | Failed

export function ok<T>(value: T): Ok<T> {
  return { ok: true, value }
}

export function failed(code: ErrorCode, message: string, more: Omit<Problem, 'code' | 'message'> = {}): Failed {
  return { ok: false, problem: { code, message, ...more } }
}

/** A promise of our own code was broken: a fault of the program, never of the person at the tub. */
export class InvariantError extends Error {
  override readonly name = 'InvariantError'
}

export function invariant(condition: unknown, message: string): asserts condition {
  if (!condition) throw new InvariantError(message)
}
