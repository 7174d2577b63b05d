// For those who run the server: is it alive, can it write, and what has it done.
// No job is named here.
import { z } from 'zod'
import type { App } from '../app-type.ts'
import { problemSchema, sendProblem } from '../problem-reply.ts'
import type { RouteDeps } from './deps.ts'

export function registerHealthRoutes(app: App, deps: RouteDeps): void {
  app.get(
    '/livez',
    { schema: { summary: 'Alive; touches no store', response: { 200: z.object({ alive: z.literal(true) }) } } },
    async () => ({
      alive: true as const,
    }),
  )
  app.get(
    '/readyz',
    {
      schema: {
        summary: 'Ready: a write was made durable just now',
        response: { 200: z.object({ ready: z.literal(true), edition: z.int() }), default: problemSchema },
      },
    },
    async (_request, reply) => {
      const probed = await deps.log.probe()
      if (!probed.ok) return sendProblem(reply, probed.problem)
      return reply.send({ ready: true as const, edition: deps.editions.current.number })
    },
  )
  app.get('/metrics', { schema: { summary: 'Counters as plain text' } }, async (_request, reply) => {
    const { answers, repeats, refused, stale, replays } = deps.jobs.counts
    const store = deps.log.counts()
    const gauges = {
      answers_total: answers,
      repeats_total: repeats,
      refusals_total: refused,
      stale_retries_total: stale,
      replays_total: replays,
      store_commits_total: store.commits,
      store_writes_total: store.writes,
      resident_bytes: process.memoryUsage.rss(),
      uptime_seconds: Math.round(process.uptime()),
    }
    return reply.type('text/plain; version=0.0.4; charset=utf-8').serializer(String).send(deps.metrics.print(gauges))
  })
}
