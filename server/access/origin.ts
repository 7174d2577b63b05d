// Where a request comes from: this machine, or a page of another site. Both are told from the connection and its headers alone.
// Job links are link.ts; which routes ask is said by the routes.
import type { FastifyRequest } from 'fastify'

const LOCAL_ADDRESS = /^(127\.\d+\.\d+\.\d+|::1|::ffff:127\.\d+\.\d+\.\d+)$/
const LOCAL_HOST = /^(localhost|127\.\d+\.\d+\.\d+|\[::1\])(:\d+)?$/i

/**
 * True for a person at the machine itself. The name in the Host header counts too: a page of another site can make its own name point here.
 * A request that a proxy passed on counts as coming from elsewhere.
 */
export function isLocal(request: FastifyRequest): boolean {
  const { headers } = request
  const passedOn = headers['x-forwarded-for'] !== undefined || headers['forwarded'] !== undefined || headers['x-real-ip'] !== undefined
  return !passedOn && LOCAL_ADDRESS.test(request.ip) && LOCAL_HOST.test(headers.host ?? '')
}

/** True when a browser says that another site made the request. Programs send neither header, and are let through. */
export function isForeignPage(request: FastifyRequest): boolean {
  const { headers } = request
  const site = headers['sec-fetch-site']
  if (site !== undefined) return site !== 'same-origin' && site !== 'none'
  const origin = headers.origin
  if (origin === undefined) return false
  try {
    // Both go through URL, which leaves out the usual port of the scheme.
    const { protocol, host } = new URL(origin)
    return host === '' || new URL(`${protocol}//${headers.host ?? ''}`).host !== host
  } catch {
    return true
  }
}
