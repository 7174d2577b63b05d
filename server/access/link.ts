// Job links: a random token that opens one job, for staff or for the homeowner. Only its hash is kept.
// What a kind of link may do is said by the routes.
import { hash, randomBytes } from 'node:crypto'
import { createRecent } from '../job-memory.ts'
import type { EventLog, Link, NewLink } from '../storage/event-log.ts'

/** 192 random bits, 32 signs. */
const TOKEN_BYTES = 24
const TOKEN_PATTERN = /^[A-Za-z0-9_-]{32}$/
const RECENT_MOST = 2000

export type Tokens = { readonly staff: string; readonly homeowner: string }
export type NewTokens = { readonly tokens: Tokens; readonly links: readonly NewLink[] }

export function createTokens(): NewTokens {
  const tokens = { staff: createToken(), homeowner: createToken() }
  return {
    tokens,
    links: [
      { hash: hashToken(tokens.staff), kind: 'staff' },
      { hash: hashToken(tokens.homeowner), kind: 'homeowner' },
    ],
  }
}

/** Ids of events, commands and jobs: 128 random bits, URL-safe. */
export function createId(): string {
  return randomBytes(16).toString('base64url')
}

export type FindLink = (token: string) => Promise<Link | undefined>

export function createLinkFinder(log: EventLog): FindLink {
  const recent = createRecent<Link>(RECENT_MOST)
  return async (token) => {
    if (!TOKEN_PATTERN.test(token)) return undefined
    const key = hashToken(token)
    const known = recent.get(key)
    if (known !== undefined) return known
    const link = await log.findLink(key)
    if (link !== undefined) recent.set(key, link)
    return link
  }
}

function createToken(): string {
  return randomBytes(TOKEN_BYTES).toString('base64url')
}

/** The token is long and random, so a plain hash is enough: there is nothing to guess. */
function hashToken(token: string): string {
  return hash('sha256', token, 'base64url')
}
