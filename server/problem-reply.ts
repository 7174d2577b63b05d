// Problems as replies: RFC 9457 problem details with our code, for what we refuse and for what Fastify refuses before us.
// Codes and their statuses are errors.ts; the words of a problem are written where it is made.
import { STATUS_CODES } from 'node:http'
import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify'
import { z } from 'zod'
import { STATUS } from './errors.ts'
import type { ErrorCode, Problem } from './errors.ts'
import { describeStoreError } from './storage/group-commit.ts'
import { describeIssue, ShapeError } from './shape-words.ts'

export const problemSchema = z
  .object({
    type: z.literal('about:blank'),
    title: z.string(),
    status: z.int(),
    /** What to do next, in a sentence for the person. */
    detail: z.string(),
    code: z.string(),
    path: z.string().exactOptional(),
    details: z.record(z.string(), z.unknown()).exactOptional(),
    /** Opaque: leads to the line in the server's log. */
    instance: z.string().exactOptional(),
  })
  .meta({ id: 'Problem', description: 'RFC 9457 problem details with a code.' })

export const BODY_BYTES_MAX = 256 * 1024

export function sendProblem(reply: FastifyReply, problem: Problem): FastifyReply {
  return send(reply, STATUS[problem.code], problem)
}

/** For the error handler: whatever was thrown, by Fastify, by a parser or by a fault of ours. */
export function sendThrown(error: unknown, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  const thrown = error as FastifyError
  if (error instanceof ShapeError) {
    const code = request.routeOptions.config.unreadable ?? 'REQUEST_UNREADABLE'
    const { path, message } = describeIssue(error.issue)
    return sendProblem(reply, { code, message, path: [error.part, ...path].join('.') })
  }
  const known = FRAMEWORK[thrown.code]
  if (known !== undefined) return sendProblem(reply, known)
  const status = thrown.statusCode ?? 500
  if (status >= 400 && status < 500) {
    return send(reply, status, { code: 'REQUEST_UNREADABLE', message: 'The request cannot be read. Compare it with /api/openapi.json.' })
  }
  const stored = describeStoreError(error)
  if (stored !== undefined && !stored.ok) {
    request.log.error({ err: error, instance: request.id }, 'store')
    return sendProblem(reply, stored.problem)
  }
  request.log.error({ err: error, instance: request.id }, 'unexpected')
  const message = `Something went wrong in the server, and nothing was lost. Send it again; if it stays so, report number ${request.id}.`
  return send(reply, 500, { code: 'REQUEST_FAILED', message }, request.id)
}

export function notFound(): Problem {
  return { code: 'REQUEST_ROUTE_UNKNOWN', message: 'Nothing is at this address. Check it, or begin at the start page.' }
}

function send(reply: FastifyReply, status: number, problem: Problem, instance?: string): FastifyReply {
  const { code, message, path, details } = problem
  const body: z.infer<typeof problemSchema> = {
    type: 'about:blank',
    title: STATUS_CODES[status] ?? 'Error',
    status,
    detail: message,
    code,
    ...(path === undefined ? {} : { path }),
    ...(details === undefined ? {} : { details }),
    ...(instance === undefined ? {} : { instance }),
  }
  return reply
    .code(status)
    .header('content-type', 'application/problem+json')
    .header('cache-control', 'no-store')
    .serializer(JSON.stringify)
    .send(body)
}

const BROKEN_JSON: Problem = { code: 'REQUEST_NOT_JSON', message: 'The body is not JSON. Mend it, then send it again.' }
const TOO_LONG: Problem = { code: 'REQUEST_TOO_LONG', message: 'The address is too long. Copy the link again.' }
const BAD_ADDRESS: Problem = { code: 'REQUEST_UNREADABLE', message: 'The address has a broken escape. Copy the link again.' }

/** By the code of Fastify's own error. */
const FRAMEWORK: { readonly [code: string]: Problem } = {
  FST_ERR_CTP_BODY_TOO_LARGE: {
    code: 'REQUEST_TOO_LARGE',
    message: `The body is too large. Send at most ${BODY_BYTES_MAX / 1024} kB at once; split a batch in two.`,
  },
  FST_ERR_CTP_INVALID_JSON_BODY: BROKEN_JSON,
  FST_ERR_CTP_EMPTY_JSON_BODY: BROKEN_JSON,
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: { code: 'REQUEST_UNREADABLE', message: 'The body is not as long as its header says. Send it again.' },
  FST_ERR_CTP_INVALID_MEDIA_TYPE: {
    code: 'REQUEST_MEDIA_UNKNOWN',
    message: 'The body must be JSON. Send it with content-type application/json.',
  },
  FST_ERR_MAX_PARAM_LENGTH: TOO_LONG,
  FST_ERR_BAD_URL: BAD_ADDRESS,
  FST_ERR_ASYNC_CONSTRAINT: BAD_ADDRESS,
}

declare module 'fastify' {
  interface FastifyContextConfig {
    /** The code for a request that is not in the shape this route asks for. */
    unreadable?: ErrorCode
  }
}
