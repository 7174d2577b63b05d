// What every route may use, and how a route finds the job that a link opens.
// What a route does with it stands in the file of that route.
import type { FastifyReply, FastifyRequest } from 'fastify'
import { z } from 'zod'
import type { Edition, WordMatch } from '#graphs'
import type { FindLink } from '../access/link.ts'
import type { Editions } from '../editions.ts'
import { failed, ok } from '../errors.ts'
import type { Outcome } from '../errors.ts'
import type { FoldedJob } from '../job-memory.ts'
import type { Jobs } from '../jobs.ts'
import type { Metrics } from '../metrics.ts'
import type { WriteNote } from '../note-order.ts'
import { sendProblem } from '../problem-reply.ts'
import type { EventLog, Link } from '../storage/event-log.ts'

export type MatchSymptoms = (edition: Edition, text: string) => WordMatch

export type RouteDeps = {
  readonly log: EventLog
  readonly jobs: Jobs
  readonly editions: Editions
  readonly pictures?: string
  readonly findLink: FindLink
  readonly matchSymptoms: MatchSymptoms
  readonly writeNote?: WriteNote
  readonly metrics: Metrics
  readonly now: () => number
}

export const tokenParamsSchema = z.object({ token: z.string().min(1).max(128) })
export const ackSchema = z.object({ seq: z.int().positive(), hash: z.string() }).meta({ id: 'Ack' })

/** JOB_UNKNOWN for a link that opens nothing; AUTH_STAFF_ONLY for a homeowner link where staff is asked for. */
export async function openLink(deps: RouteDeps, token: string, who: 'staff' | 'anyone'): Promise<Outcome<Link>> {
  const link = await deps.findLink(token)
  if (link === undefined) return unknownLink()
  if (who === 'staff' && link.kind !== 'staff')
    return failed('AUTH_STAFF_ONLY', 'This link is for the homeowner. Open the staff link of the job.')
  return ok(link)
}

export function unknownLink(): Outcome<never> {
  return failed('JOB_UNKNOWN', 'There is no such job. Check the link, or open a new job.')
}

/**
 * Whose eyes a link sees with. A homeowner link shows what a homeowner sees, whoever is named:
 * a name that is not a homeowner of this job is looked at as an unknown person.
 */
export function viewerOf(link: Link, folded: FoldedJob, person: string | undefined, unknownPerson: string): string {
  if (person === undefined) return unknownPerson
  if (link.kind === 'staff') return person
  return folded.state.people[person]?.role === 'homeowner' ? person : unknownPerson
}

/** Sends the value, or the problem in its place. */
export function sendOutcome<T>(reply: FastifyReply, outcome: Outcome<T>, status = 200): FastifyReply {
  return outcome.ok ? reply.code(status).send(outcome.value) : sendProblem(reply, outcome.problem)
}

export type Tokened = FastifyRequest & { readonly params: z.infer<typeof tokenParamsSchema> }
