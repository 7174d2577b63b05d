// Opening a job, looking at it, listing recent ones, and erasing names and words.
// Answering is commands.ts, the log itself events.ts.
import { z } from 'zod'
import { eventSchema, idSchema, jobViewSchema, openJobSchema, channelSchema } from '#graphs/contract'
import { createId, createTokens } from '../access/link.ts'
import { isLocal } from '../access/origin.ts'
import type { App } from '../app-type.ts'
import { ok } from '../errors.ts'
import { problemSchema, sendProblem } from '../problem-reply.ts'
import type { Problem } from '../errors.ts'
import type { JobRow } from '../storage/event-log.ts'
import { ackSchema, openLink, sendOutcome, tokenParamsSchema, viewerOf } from './deps.ts'
import type { RouteDeps } from './deps.ts'

const LISTED_MOST = 100
const ONLY_HERE: Problem = {
  code: 'AUTH_LOOPBACK_ONLY',
  message: 'The list of jobs is shown only on the machine that runs the server. Use the job link.',
}

const openBodySchema = openJobSchema.extend({
  /** Made by the sender, 128 random bits or more: sending it again opens no second job. */
  id: idSchema.min(22).exactOptional(),
  device: idSchema.exactOptional(),
  channel: channelSchema.exactOptional(),
})
const linksSchema = z.object({ job: z.string(), staff_token: z.string(), homeowner_token: z.string() })
const openedSchema = linksSchema.extend({
  short: z.string(),
  edition: z.int(),
  repeat: z.boolean(),
  events: z.array(eventSchema),
  acks: z.array(ackSchema),
  view: jobViewSchema,
})
const rowSchema = z.object({
  job: z.string(),
  short: z.string(),
  flow: z.string(),
  complaint: z.string(),
  title: z.string(),
  practice: z.boolean(),
  edition: z.int(),
  state: z.enum(['open', 'ended', 'confirmed']),
  ending: z.string().exactOptional(),
  opened: z.number(),
  last: z.number(),
})

export function registerJobRoutes(app: App, deps: RouteDeps): void {
  registerOpening(app, deps)
  registerLooking(app, deps)
  registerList(app, deps)
}

function registerOpening(app: App, deps: RouteDeps): void {
  app.post(
    '/api/jobs',
    { schema: { summary: 'Open a job', body: openBodySchema, response: { 201: openedSchema, default: problemSchema } } },
    async (request, reply) => {
      const { id, device, channel, ...order } = request.body
      const { tokens, links } = createTokens()
      const opening = { order, device: device ?? 'server', channel: channel ?? 'api', links, ...(id === undefined ? {} : { id }) } as const
      const opened = await deps.jobs.open(opening)
      if (!opened.ok) return sendProblem(reply, opened.problem)
      const { folded, stored, repeat } = opened.value
      return reply.code(201).send({
        job: folded.job,
        short: folded.state.short,
        edition: folded.engine.edition.number,
        staff_token: tokens.staff,
        homeowner_token: tokens.homeowner,
        repeat,
        events: stored.map((line) => line.event),
        acks: stored.map((line) => line.ack),
        view: folded.engine.view(folded.state, order.person.id, deps.now()),
      })
    },
  )
}

function registerLooking(app: App, deps: RouteDeps): void {
  app.get(
    '/api/jobs/:token/view',
    {
      schema: {
        summary: 'What a person sees and may do now',
        params: tokenParamsSchema,
        querystring: z.object({
          person: idSchema.exactOptional(),
          /** Of the phone that asks: what is done on the phone that holds the tub is shown on that one only. */
          device: idSchema.exactOptional(),
        }),
        response: { 200: jobViewSchema, default: problemSchema },
      },
    },
    async (request, reply) => {
      const link = await openLink(deps, request.params.token, 'anyone')
      if (!link.ok) return sendProblem(reply, link.problem)
      const found = await deps.jobs.find(link.value.job)
      if (!found.ok) return sendProblem(reply, found.problem)
      const viewer = viewerOf(link.value, found.value, request.query.person, createId())
      reply.header('cache-control', 'no-store')
      return sendOutcome(reply, await deps.jobs.view(link.value.job, viewer, request.query.device))
    },
  )
  app.delete(
    '/api/jobs/:token/content',
    {
      schema: {
        summary: 'Erase the names, words and other personal texts of a job; its steps and readings stay',
        params: tokenParamsSchema,
        response: { 200: z.object({ erased: z.int().nonnegative() }), default: problemSchema },
      },
    },
    async (request, reply) => {
      const link = await openLink(deps, request.params.token, 'staff')
      if (!link.ok) return sendProblem(reply, link.problem)
      const erased = await deps.log.content.erase(link.value.job)
      deps.jobs.forget(link.value.job)
      return sendOutcome(reply, erased.ok ? ok({ erased: erased.value }) : erased)
    },
  )
}

function registerList(app: App, deps: RouteDeps): void {
  app.get(
    '/api/jobs',
    {
      schema: {
        summary: 'Recent jobs, on the machine that runs the server',
        response: { 200: z.object({ jobs: z.array(rowSchema) }), default: problemSchema },
      },
    },
    async (request, reply) => {
      if (!isLocal(request)) return sendProblem(reply, ONLY_HERE)
      const rows = await deps.log.jobs(LISTED_MOST)
      return reply.header('cache-control', 'no-store').send({ jobs: rows.map((row) => titledRow(deps, row)) })
    },
  )
  app.post(
    '/api/jobs/:job/links',
    {
      schema: {
        summary: 'New links to a listed job, on the machine that runs the server; older links stay good',
        params: z.object({ job: idSchema }),
        response: { 201: linksSchema, default: problemSchema },
      },
    },
    async (request, reply) => {
      if (!isLocal(request)) return sendProblem(reply, ONLY_HERE)
      const { job } = request.params
      const found = await deps.jobs.find(job)
      if (!found.ok) return sendProblem(reply, found.problem)
      const { tokens, links } = createTokens()
      const added = await deps.log.addLinks(job, links)
      const value = { job, staff_token: tokens.staff, homeowner_token: tokens.homeowner }
      return sendOutcome(reply, added.ok ? ok(value) : added, 201)
    },
  )
}

function titledRow(deps: RouteDeps, row: JobRow): z.infer<typeof rowSchema> {
  const { openedAt, lastAt, events: _, ...rest } = row
  const edition = deps.editions.get(row.edition)?.engine.edition
  return { ...rest, title: edition?.blocks[row.flow]?.title ?? row.flow, opened: openedAt, last: lastAt }
}
