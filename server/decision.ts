// Whether a phone and the server decided the same.
// What is decided is the engine's; what follows from a difference is jobs.ts.
import canonicalize from 'canonicalize'
import type { JobEvent } from '#graphs/contract'

/** Same events in sense. Times may differ: the server's follow the device's own log, where they never run back. */
export function isSameDecision(mine: readonly JobEvent[], theirs: readonly JobEvent[]): boolean {
  return mine.length === theirs.length && mine.every((event, index) => sense(event) === sense(theirs[index]))
}

function sense(event: JobEvent | undefined): string {
  if (event === undefined) return ''
  const { at: _at, seq: _seq, receivedAt: _receivedAt, ...kept } = event
  return canonicalize(kept) ?? ''
}
