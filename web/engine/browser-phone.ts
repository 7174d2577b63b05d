// A job on this phone, joined with what the browser gives: its store, its clock, its locks and its moments to try again.
// How the job works is phone-job.ts.
import { createTableEngine } from '#graphs'
import type { Edition } from '#graphs'
import { deviceId, newId, recallPerson, rememberPerson } from '../job/device.ts'
import { api } from '../remote/api.ts'
import { createBrowserStore } from './browser-store.ts'
import { createPhoneJob } from './phone-job.ts'
import type { PhoneJob } from './phone-job.ts'

export const store = createBrowserStore()

export function createBrowserPhone(token: string): PhoneJob {
  return createPhoneJob(token, {
    store,
    api,
    createEngine: (edition) => createTableEngine(edition as Edition),
    now: Date.now,
    newId,
    device: deviceId(),
    recallPerson,
    rememberPerson,
    later: (ms, work) => {
      const timer = setTimeout(work, ms)
      return () => clearTimeout(timer)
    },
    exclusive,
  })
}

/** A lock for each exchange only: one held by a page that sleeps would stop all others. Being harmless twice is the server's part. */
async function exclusive(name: string, work: () => Promise<void>): Promise<boolean> {
  if (!('locks' in navigator)) {
    await work()
    return true
  }
  return await navigator.locks.request(name, { ifAvailable: true }, async (lock) => {
    if (lock === null) return false
    await work()
    return true
  })
}
