// The job note over HTTP: who may read which voice, and in which format it goes out.
// What a note says is written by server/notes.
import { z } from 'zod'
import type { App } from '../app-type.ts'
import type { Problem } from '../errors.ts'
import { noteFormatSchema, noteVoiceSchema } from '../note-order.ts'
import type { NoteFormat } from '../note-order.ts'
import { problemSchema, sendProblem } from '../problem-reply.ts'
import { openLink, tokenParamsSchema } from './deps.ts'
import type { RouteDeps } from './deps.ts'

const CONTENT_TYPES: { readonly [format in NoteFormat]: string } = {
  html: 'text/html; charset=utf-8',
  md: 'text/markdown; charset=utf-8',
  txt: 'text/plain; charset=utf-8',
  json: 'application/json; charset=utf-8',
}
/** A note runs nothing and fetches nothing but the one style sheet of this server; printing or saving it as PDF keeps its look. */
const NOTE_POLICY = "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
const NO_WRITER: Problem = { code: 'NOTE_UNAVAILABLE', message: 'This server writes no notes. Read the log page in its place.' }

export function registerNoteRoutes(app: App, deps: RouteDeps): void {
  app.get(
    '/api/jobs/:token/note',
    {
      schema: {
        summary: 'The job note for one reader; homeowner links get the customer voice only',
        params: tokenParamsSchema,
        querystring: z.object({ voice: noteVoiceSchema.default('customer'), format: noteFormatSchema.default('html') }),
        response: { 200: z.unknown(), default: problemSchema },
      },
    },
    async (request, reply) => {
      const { voice, format } = request.query
      const link = await openLink(deps, request.params.token, voice === 'customer' ? 'anyone' : 'staff')
      if (!link.ok) return sendProblem(reply, link.problem)
      if (deps.writeNote === undefined) return sendProblem(reply, NO_WRITER)
      const found = await deps.jobs.find(link.value.job)
      if (!found.ok) return sendProblem(reply, found.problem)
      const read = await deps.log.read(link.value.job)
      if (!read.ok) return sendProblem(reply, read.problem)
      const { engine, state } = found.value
      const events = read.value.map((line) => line.event)
      const ownLink = link.value.kind === 'homeowner' ? { link: `${request.protocol}://${request.host}/h/${request.params.token}` } : {}
      const note = await deps.writeNote({ engine, state, events, voice, format, now: deps.now(), head: found.value.hash, ...ownLink })
      reply.header('content-security-policy', NOTE_POLICY).header('cache-control', 'no-store').type(CONTENT_TYPES[format])
      return reply.serializer(String).send(note)
    },
  )
}
