// The built pages as files, and the headers that go with every reply. The pages themselves are made by web/.
// Where they are missing, a sentence says how to make them.
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import staticFiles from '@fastify/static'
import type { FastifyReply, FastifyRequest } from 'fastify'
import type { App } from './app-type.ts'

const STAFF_PAGE = 'index.html'
const HOMEOWNER_PAGE = 'homeowner.html'

/** One origin, nothing inline, never inside another page. */
const POLICY =
  "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

export async function registerPages(app: App, folder: string): Promise<void> {
  if (existsSync(folder)) {
    await app.register(staticFiles, {
      root: folder,
      index: false,
      // The build lays a packed copy beside each text file: a third of it goes out to whoever can unpack it.
      preCompressed: true,
      // Names of built files carry a hash of what is in them; the others are asked for again each time.
      cacheControl: false,
      setHeaders: (reply, path) => {
        const isHashed = path.startsWith(join(folder, 'assets'))
        reply.header('cache-control', isHashed ? 'public, max-age=31536000, immutable' : 'no-cache')
      },
    })
  }
  const send = (page: string) => (_request: FastifyRequest, reply: FastifyReply) =>
    existsSync(join(folder, page)) ? reply.sendFile(page) : sendSentence(reply, 503, UNBUILT)
  app.get('/', { schema: { hide: true } }, send(STAFF_PAGE))
  app.get('/job/:token', { schema: { hide: true } }, send(STAFF_PAGE))
  app.get('/h/:token', { schema: { hide: true } }, send(HOMEOWNER_PAGE))
}

const UNBUILT = 'The pages are not built yet. Run "npm run prepare" in the folder of Backwrench, then start it again.'

/** For every reply: addresses hold job links, so none is passed on as a referrer or taken up by a search engine. */
export function setPageHeaders(_request: FastifyRequest, reply: FastifyReply): void {
  reply.header('content-security-policy', POLICY)
  reply.header('x-content-type-options', 'nosniff')
  reply.header('referrer-policy', 'no-referrer')
  reply.header('x-robots-tag', 'noindex')
  reply.header('cross-origin-opener-policy', 'same-origin')
  reply.header('cross-origin-resource-policy', 'same-origin')
}

/** A person looked for a page, rather than a program for an answer. */
export function isPageRequest(request: FastifyRequest): boolean {
  return !request.url.startsWith('/api/') && (request.headers.accept ?? '').includes('text/html')
}

export function sendLostPage(reply: FastifyReply): FastifyReply {
  return sendSentence(reply, 404, 'Nothing is at this address. Check the link, or begin at the start page: /')
}

function sendSentence(reply: FastifyReply, status: number, sentence: string): FastifyReply {
  const html = `<!doctype html><html lang="en"><meta charset="utf-8"><title>Backwrench</title><p>${sentence.replaceAll('"', '&quot;')}</p></html>\n`
  return reply.code(status).type('text/html; charset=utf-8').serializer(String).send(html)
}
