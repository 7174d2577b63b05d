// One command at a time: the server decides it, writes it and shows what comes next. Pages without an engine use this, and programs.
// What a phone decided itself comes in through events.ts.
import { z } from 'zod'
import { envelopeSchema, eventSchema, jobViewSchema } from '#graphs/contract'
import type { Envelope } from '#graphs/contract'
import { createId } from '../access/link.ts'
import type { App } from '../app-type.ts'
import type { Problem } from '../errors.ts'
import type { FoldedJob } from '../job-memory.ts'
import { problemSchema, sendProblem } from '../problem-reply.ts'
import type { Link } from '../storage/event-log.ts'
import { ackSchema, openLink, tokenParamsSchema, viewerOf } from './deps.ts'
import type { RouteDeps } from './deps.ts'
import { addMissing } from './missing.ts'

const answeredSchema = z.object({
  repeat: z.boolean(),
  /** Empty for a homeowner link. */
  events: z.array(eventSchema),
  acks: z.array(ackSchema),
  view: jobViewSchema.exactOptional(),
})

/** What a homeowner link may ask for; the engine judges it once more by role. */
const HOMEOWNER_COMMANDS: ReadonlySet<Envelope['command']['type']> = new Set([
  'answer',
  'change',
  'undo',
  'stop',
  'red-flag',
  'join',
  'leave',
  'state-fact',
  'confirm-outcome',
  'wake',
])

export function registerCommandRoutes(app: App, deps: RouteDeps): void {
  app.post(
    '/api/jobs/:token/commands',
    {
      config: { unreadable: 'JOB_COMMAND_UNREADABLE' },
      schema: {
        summary: 'Answer a step, or ask anything else of a job; a repeat with the same id is harmless',
        params: tokenParamsSchema,
        querystring: z.object({
          /** "no" leaves the view out of the reply. */
          view: z.enum(['yes', 'no']).default('yes'),
          /** The last seq the caller has: a refusal then brings the lines after it. */
          after: z.coerce.number().int().nonnegative().exactOptional(),
        }),
        body: envelopeSchema,
        response: { 200: answeredSchema, default: problemSchema },
      },
    },
    async (request, reply) => {
      const link = await openLink(deps, request.params.token, 'anyone')
      if (!link.ok) return sendProblem(reply, link.problem)
      const { job, kind } = link.value
      const envelope = request.body
      if (kind === 'homeowner') {
        const found = await deps.jobs.find(job)
        const problem = found.ok ? refuseHomeowner(found.value, envelope) : found.problem
        if (problem !== undefined) return sendProblem(reply, problem)
      }
      const decided = await deps.jobs.command(job, envelope)
      if (!decided.ok) {
        return sendProblem(reply, await addMissing(deps, link.value, decided.problem, envelope, request.query.after))
      }
      const { stored, repeat, folded } = decided.value
      return reply.send({
        repeat,
        events: kind === 'staff' ? stored.map((line) => line.event) : [],
        acks: stored.map((line) => line.ack),
        ...(request.query.view === 'yes' ? { view: viewAfter(deps, link.value, folded, envelope) } : {}),
      })
    },
  )
}

function viewAfter(deps: RouteDeps, link: Link, folded: FoldedJob, { person, device }: Envelope): z.infer<typeof jobViewSchema> {
  return folded.engine.view(folded.state, viewerOf(link, folded, person, createId()), deps.now(), device)
}

/** A homeowner link speaks for homeowners of the job, or for one who joins; never for staff, and never in place of somebody. */
function refuseHomeowner(folded: FoldedJob, envelope: Envelope): Problem | undefined {
  const { command, person, role, toldBy } = envelope
  if (!HOMEOWNER_COMMANDS.has(command.type)) {
    return { code: 'AUTH_STAFF_ONLY', message: 'This is for staff. Call the shop.', details: { command: command.type } }
  }
  const known = folded.state.people[person]
  const isOther = known !== undefined && known.role !== 'homeowner'
  if (role !== 'homeowner' || toldBy !== undefined || isOther) return NOT_YOURS
  if (command.type !== 'join') return undefined
  const joins = folded.state.people[command.person.id]
  const joinsAsStaff = command.person.role !== 'homeowner' || command.person.signed.length > 0
  return joinsAsStaff || (joins !== undefined && joins.role !== 'homeowner') || command.person.id !== person ? NOT_YOURS : undefined
}

const NOT_YOURS: Problem = {
  code: 'AUTH_PERSON_NOT_YOURS',
  message: 'This link speaks for the homeowner only. Open the staff link for anything else.',
}
