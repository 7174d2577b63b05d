// Every code the server adds to those of graphs/, the HTTP status of each code of both, and the server's two ways for a call to end.
// The words a person reads stand where the problem is made; the reply itself is shaped in problem-reply.ts.
import type { ErrorCode as CoreErrorCode } from '#graphs'

export const ERRORS = {
  REQUEST_UNREADABLE: 'A field of the request is missing, or not in the shape the API description asks for.',
  REQUEST_NOT_JSON: 'The body of the request is not JSON.',
  REQUEST_MEDIA_UNKNOWN: 'The body is of a kind the server does not read.',
  REQUEST_TOO_LARGE: 'The body is larger than the server takes.',
  REQUEST_ROUTE_UNKNOWN: 'Nothing is at this address.',
  REQUEST_TOO_LONG: 'The address is longer than the server reads.',
  REQUEST_FAILED: 'The program broke a promise of its own; the opaque id leads to the line in the log.',
  AUTH_STAFF_ONLY: 'The link is a homeowner link, and this is for staff.',
  AUTH_PERSON_NOT_YOURS: 'The link does not speak for that person or role.',
  AUTH_LOOPBACK_ONLY: 'This is answered only on the machine that runs the server.',
  AUTH_FOREIGN_PAGE: 'The request was made by a page of another site.',
  SYNC_DECISION_DIFFERS: 'The server decides otherwise than the phone did, on the same log.',
  SYNC_CLOCK_AHEAD: 'The clock of the phone is more than a day ahead.',
  STORE_FULL: 'The disk is full: nothing of the request was written.',
  STORE_FAILED: 'The store could not write or read: nothing of the request was acknowledged.',
  STORE_CLOSED: 'The server is stopping.',
  NOTE_UNAVAILABLE: 'This server was started without the part that writes job notes.',
} as const

export type ServerErrorCode = keyof typeof ERRORS
export type ErrorCode = CoreErrorCode | ServerErrorCode

export const STATUS = {
  GRAPH_UNREADABLE: 503,
  GRAPH_REFERENCE_MISSING: 503,
  GRAPH_RULE_BROKEN: 503,
  GRAPH_EDITION_UNKNOWN: 503,
  GRAPH_SEMANTICS_UNKNOWN: 503,
  CALC_NOT_A_NUMBER: 422,
  CALC_INPUT_OUT_OF_RANGE: 422,
  CALC_UNIT_UNKNOWN: 422,
  CALC_READING_DOUBTFUL: 422,
  CALC_READING_MISSING: 422,
  JOB_UNKNOWN: 404,
  JOB_ENDED: 409,
  JOB_PLACE_GONE: 409,
  JOB_ANSWER_NOT_OFFERED: 422,
  JOB_ANSWER_INCOMPLETE: 422,
  JOB_NOT_FOR_ROLE: 403,
  JOB_SIGN_OFF_MISSING: 403,
  JOB_NOT_HOLDER: 409,
  JOB_TOO_EARLY: 409,
  JOB_SAFETY: 409,
  JOB_EVIDENCE_MISSING: 409,
  JOB_NOT_CARRIED: 409,
  JOB_NOTHING_TO_UNDO: 409,
  JOB_NOT_JOINED: 403,
  JOB_COMMAND_UNREADABLE: 400,
  LOG_EVENT_UNREADABLE: 503,
  LOG_EVENT_VERSION_UNKNOWN: 503,
  LOG_SEQUENCE_STALE: 409,
  LOG_CHAIN_BROKEN: 503,
  LOG_CLOCK_BACKWARDS: 409,
  REQUEST_UNREADABLE: 400,
  REQUEST_NOT_JSON: 400,
  REQUEST_MEDIA_UNKNOWN: 415,
  REQUEST_TOO_LARGE: 413,
  REQUEST_ROUTE_UNKNOWN: 404,
  REQUEST_TOO_LONG: 414,
  REQUEST_FAILED: 500,
  AUTH_STAFF_ONLY: 403,
  AUTH_PERSON_NOT_YOURS: 403,
  AUTH_LOOPBACK_ONLY: 403,
  AUTH_FOREIGN_PAGE: 403,
  SYNC_DECISION_DIFFERS: 409,
  SYNC_CLOCK_AHEAD: 409,
  STORE_FULL: 507,
  STORE_FAILED: 503,
  STORE_CLOSED: 503,
  NOTE_UNAVAILABLE: 501,
} as const satisfies Record<ErrorCode, number>

export type Problem = {
  readonly code: ErrorCode
  readonly message: string
  readonly path?: string
  readonly details?: { readonly [key: string]: unknown }
}

export type Failed = { readonly ok: false; readonly problem: Problem }
/** Wider than the Result of graphs/: the problem may also be one of the server's own. */
export type Outcome<T> = { readonly ok: true; readonly value: T } | Failed

export function ok<T>(value: T): { readonly ok: true; readonly value: T } {
  return { ok: true, value }
}

export function failed(code: ErrorCode, message: string, more: Omit<Problem, 'code' | 'message'> = {}): Failed {
  return { ok: false, problem: { code, message, ...more } }
}
