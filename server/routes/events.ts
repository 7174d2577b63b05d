// The log of a job for staff phones: reading it, and taking in what a phone decided on its own copy.
// Homeowner links never come here; one command at a time is commands.ts.
import { z } from 'zod'
import { envelopeSchema, eventSchema } from '#graphs/contract'
import type { App } from '../app-type.ts'
import { STATUS } from '../errors.ts'
import type { Outcome, Problem } from '../errors.ts'
import type { Decided, PhoneItem } from '../jobs.ts'
import { problemSchema, sendProblem } from '../problem-reply.ts'
import { ackSchema, openLink, tokenParamsSchema } from './deps.ts'
import type { RouteDeps } from './deps.ts'
import { readMissing } from './missing.ts'

const ITEMS_MOST = 50
const EVENTS_MOST = 60

const logSchema = z.object({
  job: z.string(),
  edition: z.int(),
  events: z.array(eventSchema),
  /** One for each event, in the same order. */
  acks: z.array(ackSchema),
  head: ackSchema,
})

const batchSchema = z.object({
  /** The last seq of the server that the phone has. */
  after: z.int().nonnegative(),
  items: z
    .array(z.object({ envelope: envelopeSchema, events: z.array(eventSchema).min(1).max(EVENTS_MOST) }))
    .min(1)
    .max(ITEMS_MOST),
})

const itemSchema = z.object({
  /** Id of the command. */
  id: z.string(),
  taken: z.boolean(),
  repeat: z.boolean().exactOptional(),
  /** False: the server's own events stand in the log in place of the phone's; fold again from `events`. */
  agreed: z.boolean().exactOptional(),
  acks: z.array(ackSchema).exactOptional(),
  /** As stored, when they are not the phone's own. */
  events: z.array(eventSchema).exactOptional(),
  /** Why it was refused. */
  code: z.string().exactOptional(),
  detail: z.string().exactOptional(),
})
const takenSchema = z.object({ items: z.array(itemSchema), head: ackSchema })

export function registerEventRoutes(app: App, deps: RouteDeps): void {
  registerReading(app, deps)
  registerTaking(app, deps)
}

function registerReading(app: App, deps: RouteDeps): void {
  app.get(
    '/api/jobs/:token/events',
    {
      schema: {
        summary: 'Events after a seq, for staff links',
        params: tokenParamsSchema,
        querystring: z.object({ after: z.coerce.number().int().nonnegative().default(0) }),
        response: { 200: logSchema, default: problemSchema },
      },
    },
    async (request, reply) => {
      const link = await openLink(deps, request.params.token, 'staff')
      if (!link.ok) return sendProblem(reply, link.problem)
      const found = await deps.jobs.find(link.value.job)
      if (!found.ok) return sendProblem(reply, found.problem)
      const { seq, hash, engine } = found.value
      // Nothing new is the usual answer to a phone that asks again and again: the store is left alone.
      const read = request.query.after >= seq ? { ok: true as const, value: [] } : await deps.log.read(link.value.job, request.query.after)
      if (!read.ok) return sendProblem(reply, read.problem)
      const last = read.value.at(-1)?.ack ?? { seq, hash }
      return reply.header('cache-control', 'no-store').send({
        job: link.value.job,
        edition: engine.edition.number,
        events: read.value.map((line) => line.event),
        acks: read.value.map((line) => line.ack),
        head: last,
      })
    },
  )
}

function registerTaking(app: App, deps: RouteDeps): void {
  app.post(
    '/api/jobs/:token/events',
    {
      config: { unreadable: 'JOB_COMMAND_UNREADABLE' },
      schema: {
        summary: 'Take in commands that a phone decided, with the events it made; each is decided again before it is accepted',
        params: tokenParamsSchema,
        body: batchSchema,
        response: { 200: takenSchema, default: problemSchema },
      },
    },
    async (request, reply) => {
      const link = await openLink(deps, request.params.token, 'staff')
      if (!link.ok) return sendProblem(reply, link.problem)
      const { job } = link.value
      const { items, after } = request.body
      const fault = findFault(job, items)
      if (fault !== undefined) return sendProblem(reply, fault)
      const results = await deps.jobs.takePhone(job, items, after)
      const replies = results.map((result, index) => describeItem(items[index], result))
      const refused = results.find((result) => !result.ok)
      if (refused !== undefined) {
        const { problem } = refused
        const speaker = items[results.indexOf(refused)]?.envelope ?? { person: '', device: '' }
        const missing = STATUS[problem.code] < 500 ? await readMissing(deps, link.value, speaker, after) : {}
        return sendProblem(reply, { ...problem, details: { ...problem.details, items: replies, ...missing } })
      }
      const found = await deps.jobs.find(job)
      if (!found.ok) return sendProblem(reply, found.problem)
      return reply.send({ items: replies, head: { seq: found.value.seq, hash: found.value.hash } })
    },
  )
}

/** A batch that cannot be meant: events of another job, or not begun with the id of their command, or one id twice. */
function findFault(job: string, items: readonly PhoneItem[]): Problem | undefined {
  const ids = new Set<string>()
  for (const [index, { envelope, events }] of items.entries()) {
    const path = `body.items.${index}.events`
    if (events.some((event) => event.job !== job)) return fault(path, 'An event belongs to another job. Send it with the link of that job.')
    if (events[0]?.id !== envelope.id) return fault(path, 'The first event must carry the id of its command.')
    for (const { id } of events) {
      if (ids.has(id)) return fault(path, 'Two events carry the same id. Give each its own.')
      ids.add(id)
    }
  }
  return undefined
}

function fault(path: string, message: string): Problem {
  return { code: 'JOB_COMMAND_UNREADABLE', message, path }
}

function describeItem(item: PhoneItem | undefined, result: Outcome<Decided>): z.infer<typeof itemSchema> {
  const id = item?.envelope.id ?? ''
  if (!result.ok) return { id, taken: false, code: result.problem.code, detail: result.problem.message }
  const { stored, repeat, agreed } = result.value
  const isOwn = agreed && !repeat
  const acks = stored.map((line) => line.ack)
  return { id, taken: true, repeat, agreed, acks, ...(isOwn ? {} : { events: stored.map((line) => line.event) }) }
}
