// The start page: recent jobs, a new job from the customer's words, and on an empty store a practice job first.
// Opening needs the server; going on with a job does not.
import { useEffect, useState } from 'preact/hooks'
import type { Edition } from '#graphs'
import type { PhoneStore } from '../engine/store.ts'
import { api, currentEdition, listJobs } from '../remote/api.ts'
import { NewJob } from './new-job.tsx'
import { PracticeOffer } from './practice-offer.tsx'
import { RecentJobs } from './recent-jobs.tsx'
import { mergeJobs } from './recent.ts'
import type { RecentJob } from './recent.ts'

type Loaded = {
  readonly jobs: readonly RecentJob[] | undefined
  readonly edition: Edition | undefined
  readonly trouble: string | undefined
}

export function StartPage({ store }: { readonly store: PhoneStore }) {
  const [{ jobs, edition, trouble }, setLoaded] = useState<Loaded>({ jobs: undefined, edition: undefined, trouble: undefined })
  useEffect(() => {
    void Promise.all([loadJobs(store), loadEdition(store)]).then(([found, { edition: loaded, trouble: problem }]) =>
      setLoaded({ jobs: found, edition: loaded, trouble: problem }),
    )
  }, [store])
  const isEmpty = jobs?.length === 0
  return (
    <>
      <header class="job-header start-header">
        <h1>Backwrench</h1>
        <p>Step by step to the fault of a hot tub, in a safe order, with a note at the end.</p>
      </header>
      <main class="start">
        {trouble !== undefined && (
          <p class="bar strong" role="status">
            {trouble}
          </p>
        )}
        {isEmpty && <PracticeOffer isFirst />}
        <NewJob edition={edition} />
        {jobs !== undefined && !isEmpty && <RecentJobs jobs={jobs} />}
        {jobs !== undefined && !isEmpty && <PracticeOffer isFirst={false} />}
        <p class="hint defer">
          Local codes and the maker’s instructions come first. Work on the feed, breaker and bonding belongs to a licensed electrician.
        </p>
      </main>
    </>
  )
}

async function loadJobs(store: PhoneStore): Promise<readonly RecentJob[]> {
  const [here, listed] = await Promise.all([store.jobs().catch(() => []), listJobs()])
  return mergeJobs(here, listed.ok ? listed.value.jobs : [])
}

/** The newest edition is fetched once and kept, so that the page works on without a signal. */
async function loadEdition(store: PhoneStore): Promise<{ readonly edition: Edition | undefined; readonly trouble: string | undefined }> {
  const current = await currentEdition()
  if (!current.ok) return { edition: undefined, trouble: current.problem.message }
  const number = current.value.current
  const kept = await store.edition(number).catch(() => undefined)
  if (kept !== undefined) return { edition: kept as Edition, trouble: undefined }
  const fetched = await api.edition(number)
  if (!fetched.ok) return { edition: undefined, trouble: fetched.problem.message }
  await store.keepEdition(number, fetched.value).catch(() => undefined)
  return { edition: fetched.value as Edition, trouble: undefined }
}
