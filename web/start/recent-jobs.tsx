// The list of recent jobs; one whose link is not on this phone is opened by asking the server for a new one.
// The order is recent.ts.
import { useState } from 'preact/hooks'
import { clock, day } from '../job/words.ts'
import { linkJob } from '../remote/api.ts'
import { remember } from '../job/device.ts'
import type { RecentJob } from './recent.ts'

const STATE = { open: 'open', ended: 'ended, to be confirmed', confirmed: 'confirmed' } as const
const SHOWN_MOST = 12

export function RecentJobs({ jobs }: { readonly jobs: readonly RecentJob[] }) {
  const [problem, setProblem] = useState<string>()
  const open = async (job: RecentJob): Promise<void> => {
    const reply = await linkJob(job.job)
    if (!reply.ok) return setProblem(reply.problem.message)
    remember(`homeowner:${job.job}`, reply.value.homeowner_token)
    location.assign(`/job/${reply.value.staff_token}`)
  }
  return (
    <section aria-labelledby="recent">
      <h2 id="recent">Recent jobs</h2>
      <p role="alert">{problem}</p>
      <ul class="jobs">
        {jobs.slice(0, SHOWN_MOST).map((job) => (
          <li key={job.job}>
            {job.token === undefined ? (
              <button type="button" class="job-line" onClick={() => void open(job)}>
                <JobWords job={job} />
              </button>
            ) : (
              <a class="job-line" href={`/job/${job.token}`}>
                <JobWords job={job} />
              </a>
            )}
          </li>
        ))}
      </ul>
    </section>
  )
}

function JobWords({ job }: { readonly job: RecentJob }) {
  return (
    <>
      <span class="short">{job.short}</span>
      <span class="job-line-title">
        {job.title}
        {job.practice && <span class="practice-tag">invented</span>}
      </span>
      <span class="hint">
        {STATE[job.state]} · {day(job.last)} {clock(job.last)}
      </span>
    </>
  )
}
