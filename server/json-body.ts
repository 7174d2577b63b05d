// Bodies as JSON, read once for all routes. What cannot be kept in the log is refused here, before any route sees it.
// The shape of a body is checked by its route's schema.
import type { FastifyRequest } from 'fastify'

type Done = (error: Error | null, body?: unknown) => void
export type JsonParser = (request: FastifyRequest, text: string, done: Done) => void

/** Half a sign of a pair, as an escape: no UTF-8 text can hold it, so it could never be hashed. */
const HALF_SIGN = /\\u[dD][89a-fA-F]/

/** `parse` is Fastify's own, which also refuses keys that would change a prototype. */
export function createJsonParser(parse: JsonParser): JsonParser {
  return (request, text, done) => {
    parse(request, text, (error, body) => {
      const isHalf = error === null && HALF_SIGN.test(text) && HALF_SIGN.test(JSON.stringify(body))
      if (isHalf) done(Object.assign(new Error('Half a sign.'), { statusCode: 400, code: 'FST_ERR_CTP_INVALID_JSON_BODY' }))
      else done(error, body)
    })
  }
}
