// The pictures of a released edition's blocks, as they were drawn at its release.
// They hold what the edition holds, and nothing of any job.
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { gzip } from 'node:zlib'
import { z } from 'zod'
import type { App } from '../app-type.ts'
import { problemSchema, sendProblem } from '../problem-reply.ts'
import type { RouteDeps } from './deps.ts'

type Picture = { readonly plain: Buffer; readonly packed: Buffer }

export function registerPictureRoutes(app: App, deps: RouteDeps): void {
  const found = new Map<string, Picture>()

  /** Only a block of that edition names a file. */
  async function pictureOf(number: number, block: string): Promise<Picture | undefined> {
    const blocks = deps.editions.get(number)?.engine.edition.blocks
    if (blocks === undefined || deps.pictures === undefined || !Object.hasOwn(blocks, block)) return undefined
    const path = join(deps.pictures, `${number}.pictures`, `${block}.svg`)
    const held = found.get(path)
    if (held !== undefined) return held
    const plain = await readFile(path).catch(() => undefined)
    if (plain === undefined) return undefined
    const picture = { plain, packed: await promisify(gzip)(plain) }
    found.set(path, picture)
    return picture
  }

  app.get(
    '/api/editions/:number/pictures/:block',
    {
      schema: {
        summary: 'The flow picture of one block of a released edition, as SVG',
        params: z.object({ number: z.coerce.number().int().positive(), block: z.string().max(100) }),
        response: { 200: z.unknown(), default: problemSchema },
      },
    },
    async (request, reply) => {
      const { number, block } = request.params
      const picture = await pictureOf(number, block)
      if (picture === undefined) {
        const message = 'There is no picture of that block. Draw the edition with "npm run edition -- pictures", or ask for another block.'
        return sendProblem(reply, { code: 'REQUEST_ROUTE_UNKNOWN', message })
      }
      // A picture may be drawn better later, so it is asked for again after a day.
      reply.type('image/svg+xml; charset=utf-8').header('cache-control', 'public, max-age=86400').header('vary', 'accept-encoding')
      if (!/\bgzip\b/.test(request.headers['accept-encoding'] ?? '')) return reply.send(picture.plain)
      return reply.header('content-encoding', 'gzip').send(picture.packed)
    },
  )
}
