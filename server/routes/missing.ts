// What goes with a refusal, so that the caller can go on at once: the lines it did not know, and what is offered now.
// Whether something is refused is said by jobs.ts and the engine.
import type { Envelope, JobEvent, JobView } from '#graphs/contract'
import { createId } from '../access/link.ts'
import type { Problem } from '../errors.ts'
import { STATUS } from '../errors.ts'
import type { Ack, Link } from '../storage/event-log.ts'
import { viewerOf } from './deps.ts'
import type { RouteDeps } from './deps.ts'

export type Missing = { readonly events?: readonly JobEvent[]; readonly acks?: readonly Ack[]; readonly view?: JobView }

type Speaker = Pick<Envelope, 'person' | 'device'>

/** Only for conflicts (409): the job is not where the caller thought. Homeowner links get the view, never the log. */
export async function addMissing(
  deps: RouteDeps,
  link: Link,
  problem: Problem,
  speaker: Speaker,
  after: number | undefined,
): Promise<Problem> {
  if (STATUS[problem.code] !== 409) return problem
  return { ...problem, details: { ...problem.details, ...(await readMissing(deps, link, speaker, after)) } }
}

export async function readMissing(deps: RouteDeps, link: Link, { person, device }: Speaker, after: number | undefined): Promise<Missing> {
  const found = await deps.jobs.find(link.job)
  if (!found.ok) return {}
  const view = await deps.jobs.view(link.job, viewerOf(link, found.value, person, createId()), device)
  const read = link.kind === 'staff' && after !== undefined ? await deps.log.read(link.job, after) : undefined
  return {
    ...(read?.ok === true ? { events: read.value.map((line) => line.event), acks: read.value.map((line) => line.ack) } : {}),
    ...(view.ok ? { view: view.value } : {}),
  }
}
