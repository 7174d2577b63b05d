// The job list as a fold over events: what a row becomes when an event is added.
// Where rows are kept is the store's; titles are put in by the route, which knows the edition.
import type { JobEvent } from '#graphs/contract'
import type { JobRow } from './event-log.ts'

export function projectJob(row: JobRow | undefined, event: JobEvent): JobRow | undefined {
  if (event.type === 'job-opened') {
    const { short, flow, complaint, practice } = event.body
    return {
      job: event.job,
      short,
      flow,
      complaint,
      practice,
      edition: event.edition,
      state: 'open',
      openedAt: event.at,
      lastAt: event.at,
      events: 1,
    }
  }
  if (row === undefined) return undefined
  const next = { ...row, edition: event.edition, lastAt: Math.max(row.lastAt, event.at), events: row.events + 1 }
  if (event.type === 'job-ended') return { ...next, state: 'ended', ending: event.body.ending }
  if (event.type === 'outcome-confirmed') return { ...next, state: 'confirmed' }
  if (event.type === 'job-reopened') {
    const { ending: _, ...open } = next
    return { ...open, state: 'open' }
  }
  return next
}
