// Released editions for phones that run the engine, and the symptoms that a caller's words fit.
// An edition is sent byte by byte as it was released, and never changes.
import { promisify } from 'node:util'
import { gzip } from 'node:zlib'
import { z } from 'zod'
import { wordsSchema } from '#graphs/contract'
import type { App } from '../app-type.ts'
import type { StoredEdition } from '../editions.ts'
import { problemSchema, sendProblem } from '../problem-reply.ts'
import type { RouteDeps } from './deps.ts'

const packings = new Map<string, Promise<Buffer>>()

/** Half a megabyte for a phone at the end of a weak signal: packed once, a tenth of it goes out. */
async function packed({ hash, bytes }: StoredEdition): Promise<Buffer> {
  const packing = packings.get(hash) ?? promisify(gzip)(bytes)
  packings.set(hash, packing)
  return await packing
}

const matchedSchema = z.object({
  complaints: z.array(z.object({ flow: z.string(), complaint: z.string(), label: z.string(), share: z.number(), sure: z.boolean() })),
  /** Asked about, never guessed. */
  red_flags: z.array(z.object({ slug: z.string(), label: z.string(), word: z.string() })),
})

export function registerEditionRoutes(app: App, deps: RouteDeps): void {
  const { editions } = deps
  app.get(
    '/api/editions',
    {
      schema: {
        summary: 'Released editions; new jobs begin on the current one',
        response: { 200: z.object({ current: z.int(), editions: z.array(z.object({ number: z.int(), hash: z.string() })) }) },
      },
    },
    async (_request, reply) => {
      const list = editions.list.map(({ number, hash }) => ({ number, hash }))
      return reply.header('cache-control', 'no-cache').send({ current: editions.current.number, editions: list })
    },
  )
  app.get(
    '/api/editions/:number',
    {
      schema: {
        summary: 'One released edition, immutable',
        params: z.object({ number: z.coerce.number().int().positive() }),
        response: { 200: z.unknown(), default: problemSchema },
      },
    },
    async (request, reply) => {
      const edition = editions.get(request.params.number)
      if (edition === undefined) {
        return sendProblem(reply, {
          code: 'REQUEST_ROUTE_UNKNOWN',
          message: 'There is no such edition. Ask /api/editions for those there are.',
        })
      }
      reply.header('cache-control', 'public, max-age=31536000, immutable').header('etag', `"${edition.hash}"`)
      if (request.headers['if-none-match'] === `"${edition.hash}"`) return reply.code(304).send()
      reply.type('application/json; charset=utf-8').header('vary', 'accept-encoding')
      if (!/\bgzip\b/.test(request.headers['accept-encoding'] ?? '')) return reply.send(edition.bytes)
      return reply.header('content-encoding', 'gzip').send(await packed(edition))
    },
  )
  app.post(
    '/api/symptoms',
    {
      schema: {
        summary: 'Complaints that the words of a caller fit, likeliest first; nothing is written',
        body: z.object({ words: wordsSchema }),
        response: { 200: matchedSchema, default: problemSchema },
      },
    },
    async (request, reply) => {
      const { complaints, redFlags } = deps.matchSymptoms(editions.current.engine.edition, request.body.words)
      return reply.send({ complaints: [...complaints], red_flags: [...redFlags] })
    },
  )
}
