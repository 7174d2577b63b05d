// The server's app as routes and pages see it: Fastify that takes its types from zod.
// How it is put together is app.ts.
import type { IncomingMessage, ServerResponse } from 'node:http'
import type { FastifyBaseLogger, FastifyInstance, RawServerDefault } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'

export type App = FastifyInstance<RawServerDefault, IncomingMessage, ServerResponse, FastifyBaseLogger, ZodTypeProvider>
