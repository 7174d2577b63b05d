// Recent jobs: those this phone knows and those the server lists, each once, newest first.
// Only shapes and order.
import type { KeptJob } from '../engine/store.ts'
import type { JobRow } from '../remote/api.ts'

export type RecentJob = {
  readonly job: string
  readonly short: string
  readonly title: string
  readonly practice: boolean
  readonly state: 'open' | 'ended' | 'confirmed'
  readonly last: number
  /** Known when this phone has the link; otherwise the server is asked for one. */
  readonly token: string | undefined
}

export function mergeJobs(here: readonly KeptJob[], listed: readonly JobRow[]): RecentJob[] {
  const jobs = new Map<string, RecentJob>()
  for (const row of listed) jobs.set(row.job, { ...row, token: undefined })
  for (const { job, short, title, practice, ended, at, token } of here) {
    const known = jobs.get(job)
    jobs.set(
      job,
      known === undefined ? { job, short, title, practice, state: ended ? 'ended' : 'open', last: at, token } : { ...known, token },
    )
  }
  return [...jobs.values()].toSorted((a, b) => b.last - a.last)
}
