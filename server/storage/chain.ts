// The chain: each stored line names the hash of the line before it, so a lost, altered or cut line is seen.
// Pure but for the hash; where lines are kept is the store's.
import { hash } from 'node:crypto'
import canonicalize from 'canonicalize'
import { eventSchema } from '#graphs/contract'
import type { JobEvent } from '#graphs/contract'
import { failed, ok } from '../errors.ts'
import type { Outcome } from '../errors.ts'
import { contentRefs, joinEvent } from './content.ts'
import type { SplitEvent } from './content.ts'
import type { Ack, Verified } from './event-log.ts'

/** `prev` of the first line. */
export const FIRST_PREV = ''
/** As it stands in the store. */
export type Line = { readonly seq: number; readonly hash: string; readonly json: string }

/** The line of an event: RFC 8785 JSON with its seq, the time it came in and the hash before it; SHA-256 over those bytes. */
export function createLine(event: SplitEvent, seq: number, receivedAt: number, prev: string): Line {
  const json = canonicalize({ ...event, seq, receivedAt, prev })
  if (json === undefined) throw new Error('An event has no JSON form.')
  return { seq, hash: hashLine(json), json }
}

export function hashLine(json: string): string {
  return hash('sha256', json, 'base64url')
}

/** Parsed again on reading: a store is not believed any more than a caller. */
export function readLine(line: Line, find: (id: string) => string | undefined): Outcome<JobEvent> {
  const raw = parseRecord(line.json)
  if (raw === undefined) return unreadable(line)
  const { prev: _, ...event } = raw
  if (event['v'] !== 1) {
    return failed('LOG_EVENT_VERSION_UNKNOWN', `Line ${line.seq} was written by a newer Backwrench. Start that version to read it.`, {
      details: { seq: line.seq },
    })
  }
  const parsed = eventSchema.safeParse(line.json.includes('"$content"') ? joinEvent(event, find) : event)
  return parsed.success ? ok(parsed.data) : unreadable(line)
}

export type ChainCheck = {
  readonly lines: readonly Line[]
  /** What the store wrote down as the last line, apart from the lines themselves. */
  readonly head: Ack | undefined
  /** An acknowledgement that somebody kept. */
  readonly known: Ack | undefined
  /** Says whether a text still is what was hashed; erased texts count as fit. */
  readonly isContentFit: (id: string, hash: string) => boolean
}

export function verifyChain(check: ChainCheck): Outcome<Verified> {
  let prev = FIRST_PREV
  for (const [index, line] of check.lines.entries()) {
    const seq = index + 1
    if (line.seq !== seq) return broken(seq, 'is lost')
    if (hashLine(line.json) !== line.hash) return broken(seq, 'was altered')
    const raw = parseRecord(line.json)
    if (raw === undefined) return broken(seq, 'is not JSON')
    if (raw['prev'] !== prev || raw['seq'] !== seq) return broken(seq, 'does not follow the line before it')
    for (const ref of contentRefs(raw)) if (!check.isContentFit(ref.$content, ref.$hash)) return broken(seq, 'has a text that was altered')
    prev = line.hash
  }
  const last = check.lines.at(-1)
  const head = last === undefined ? undefined : { seq: last.seq, hash: last.hash }
  if ((check.head?.seq ?? 0) !== (head?.seq ?? 0) || (check.head?.hash ?? FIRST_PREV) !== (head?.hash ?? FIRST_PREV))
    return broken((head?.seq ?? 0) + 1, 'was cut off')
  const known = check.known
  if (known !== undefined) {
    const line = check.lines[known.seq - 1]
    if (line === undefined) return broken(known.seq, 'was acknowledged and is lost')
    if (line.hash !== known.hash) return broken(known.seq, 'is not the one that was acknowledged')
  }
  return ok({ lines: check.lines.length, head })
}

function parseRecord(json: string): { [key: string]: unknown } | undefined {
  try {
    const value: unknown = JSON.parse(json)
    return typeof value === 'object' && value !== null ? (value as { [key: string]: unknown }) : undefined
  } catch {
    return undefined
  }
}

function broken(seq: number, what: string): Outcome<never> {
  return failed('LOG_CHAIN_BROKEN', `Line ${seq} of the job's log ${what}. Restore the last backup, and send the phones' answers again.`, {
    details: { seq },
  })
}

function unreadable(line: Line): Outcome<never> {
  return failed('LOG_EVENT_UNREADABLE', `Line ${line.seq} of the job's log cannot be read. Restore the last backup.`, {
    details: { seq: line.seq },
  })
}
