// An answer that stands, with its controls filled in as it was given: what a change begins with, for pages without an engine.
// The change itself is a command (commands.ts), judged by the engine once more.
import { z } from 'zod'
import { pastStep } from '#graphs'
import { formSchema, idSchema, placeSchema, slugSchema, stepViewSchema, typedReadingSchema, wordsSchema } from '#graphs/contract'
import { createId } from '../access/link.ts'
import type { App } from '../app-type.ts'
import type { Problem } from '../errors.ts'
import { problemSchema, sendProblem } from '../problem-reply.ts'
import { openLink, tokenParamsSchema, viewerOf } from './deps.ts'
import type { RouteDeps } from './deps.ts'

const pastSchema = z
  .object({
    step: stepViewSchema,
    answer: z.object({
      outcome: slugSchema.exactOptional(),
      readings: z.record(slugSchema, z.union([typedReadingSchema, z.array(typedReadingSchema)])).exactOptional(),
      form: formSchema.exactOptional(),
      words: wordsSchema.exactOptional(),
    }),
  })
  .meta({ id: 'PastStep' })

const NOT_STANDING: Problem = { code: 'JOB_PLACE_GONE', message: 'That answer no longer stands. Look at the log and change one that does.' }
const NOT_THEIRS: Problem = { code: 'JOB_NOT_FOR_ROLE', message: 'Somebody else corrects this answer. Call the shop if it is wrong.' }

export function registerPastRoutes(app: App, deps: RouteDeps): void {
  app.get(
    '/api/jobs/:token/past',
    {
      schema: {
        summary: 'A standing answer with its controls, for the person who may change it; the change is a command with the same key',
        params: tokenParamsSchema,
        querystring: z.object({ key: placeSchema, person: idSchema.exactOptional() }),
        response: { 200: pastSchema, default: problemSchema },
      },
    },
    async (request, reply) => {
      const link = await openLink(deps, request.params.token, 'anyone')
      if (!link.ok) return sendProblem(reply, link.problem)
      const found = await deps.jobs.find(link.value.job)
      if (!found.ok) return sendProblem(reply, found.problem)
      const { engine, state } = found.value
      const { key, person } = request.query
      // What is not in this person's own log is not shown to them here either.
      const view = engine.view(state, viewerOf(link.value, found.value, person, createId()), deps.now())
      const item = view.trail.find((one) => one.key === key)
      if (item?.can_change !== true) return sendProblem(reply, item?.struck === false ? NOT_THEIRS : NOT_STANDING)
      const past = pastStep(engine.edition, state, key)
      if (past === undefined) return sendProblem(reply, NOT_STANDING)
      return reply.header('cache-control', 'no-store').send(past)
    },
  )
}
