// The invented jobs, driven once for all tests of the notes, and their notes.
// The scripts stand in tests/jobs.
import { noteData } from '#graphs'
import type { NoteData } from '#graphs'
import { driveJob } from '../../jobs/drive-job.ts'
import type { DrivenJob } from '../../jobs/drive-job.ts'
import { changedJob, completeJob, creepJob, declinedJob, handOverJob, SHOP, voltageJob } from '../../jobs/invented-jobs.ts'
import { libraryEngine } from '../../laws/library.ts'

export const SCRIPTS = {
  complete: completeJob,
  voltage: voltageJob,
  'heat-creep': creepJob,
  'hand-over': handOverJob,
  changed: changedJob,
  declined: declinedJob,
} as const
export type JobName = keyof typeof SCRIPTS
export const JOB_NAMES = Object.keys(SCRIPTS) as JobName[]

export const EXTRA = { shop: SHOP, editionHash: 'a'.repeat(64), head: 'invented-head', link: 'https://tubs.example/job/invented' } as const

const engine = libraryEngine()
const driven = new Map<JobName, DrivenJob>()

export function jobOf(name: JobName): DrivenJob {
  const job = driven.get(name) ?? driveJob(engine, SCRIPTS[name])
  driven.set(name, job)
  return job
}

export function noteOf(name: JobName): NoteData {
  const { state, events } = jobOf(name)
  return noteData(engine.edition, state, events, EXTRA)
}

export { engine }
