// Verdicts of a job that today's computations would give otherwise: for whoever mends a formula and wants to know whom it touches.
// Nothing of the job is changed; what counts as otherwise is the core's.
import { z } from 'zod'
import { recheck } from '#graphs'
import { placeSchema, verdictSchema } from '#graphs/contract'
import type { App } from '../app-type.ts'
import { problemSchema, sendProblem } from '../problem-reply.ts'
import { openLink, tokenParamsSchema } from './deps.ts'
import type { RouteDeps } from './deps.ts'

const recheckedSchema = z
  .object({
    verdicts: z.array(z.object({ key: placeSchema, title: z.string(), given: verdictSchema, today: verdictSchema.exactOptional() })),
  })
  .meta({ id: 'Rechecked' })

export function registerRecheckRoutes(app: App, deps: RouteDeps): void {
  app.get(
    '/api/jobs/:token/recheck',
    {
      schema: {
        summary: 'Verdicts as given that this program would give otherwise today; they stand as they were given',
        params: tokenParamsSchema,
        response: { 200: recheckedSchema, default: problemSchema },
      },
    },
    async (request, reply) => {
      const link = await openLink(deps, request.params.token, 'staff')
      if (!link.ok) return sendProblem(reply, link.problem)
      const found = await deps.jobs.find(link.value.job)
      if (!found.ok) return sendProblem(reply, found.problem)
      const { engine, state } = found.value
      return reply.header('cache-control', 'no-store').send({ verdicts: recheck(engine.edition, state) })
    },
  )
}
