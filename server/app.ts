// The server as one object that does not listen: tests ask it directly, main.ts gives it a port.
// It joins parts and sets the rules that hold for every request; routes and pages stand in files of their own.
import { randomUUID } from 'node:crypto'
import Fastify, { LogController } from 'fastify'
import type { FastifyBaseLogger, FastifyInstance, FastifyRequest, FastifySchemaCompiler } from 'fastify'
import { serializerCompiler } from 'fastify-type-provider-zod'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import type { z } from 'zod'
import { createId, createLinkFinder } from './access/link.ts'
import { isForeignPage } from './access/origin.ts'
import type { App } from './app-type.ts'
import type { Editions } from './editions.ts'
import { ShapeError } from './shape-words.ts'
import { createJobs } from './jobs.ts'
import { createJsonParser } from './json-body.ts'
import type { JsonParser } from './json-body.ts'
import { createMetrics } from './metrics.ts'
import type { WriteNote } from './note-order.ts'
import { registerOpenApi } from './openapi.ts'
import { isPageRequest, registerPages, sendLostPage, setPageHeaders } from './pages.ts'
import { BODY_BYTES_MAX, notFound, sendProblem, sendThrown } from './problem-reply.ts'
import { registerCommandRoutes } from './routes/commands.ts'
import type { MatchSymptoms, RouteDeps } from './routes/deps.ts'
import { registerEditionRoutes } from './routes/editions.ts'
import { registerEventRoutes } from './routes/events.ts'
import { registerHealthRoutes } from './routes/health.ts'
import { registerJobRoutes } from './routes/jobs.ts'
import { registerNoteRoutes } from './routes/notes.ts'
import { registerPictureRoutes } from './routes/pictures.ts'
import { registerPastRoutes } from './routes/past.ts'
import { registerRecheckRoutes } from './routes/recheck.ts'
import type { EventLog } from './storage/event-log.ts'

export type AppDeps = {
  readonly log: EventLog
  readonly editions: Editions
  readonly matchSymptoms: MatchSymptoms
  readonly writeNote?: WriteNote
  readonly logger: FastifyBaseLogger
  readonly now: () => number
  /** Where the pictures lie, a folder `<number>.pictures` for each edition. */
  readonly pictures?: string
  /** Where the built pages lie. */
  readonly pages: string
  /** Every reply is compared with its schema: for tests, it costs time. */
  readonly checkReplies?: boolean
}

export async function buildApp(deps: AppDeps): Promise<App> {
  const app = Fastify({
    loggerInstance: deps.logger,
    // Addresses hold tokens: our own line names the route instead.
    logController: new LogController({ disableRequestLogging: true }),
    // Seen only in a reply to something unexpected and in our log: different is enough.
    genReqId: () => randomUUID(),
    // A logger for each request would be made only to say its number: the lines that need it say it.
    childLoggerFactory: (logger) => logger,
    bodyLimit: BODY_BYTES_MAX,
    routerOptions: { maxParamLength: 128 },
    forceCloseConnections: 'idle',
    requestTimeout: 30_000,
    frameworkErrors: (error, request, reply) => void sendThrown(error, request as FastifyRequest, reply),
  }).withTypeProvider<ZodTypeProvider>() as unknown as App
  const metrics = createMetrics()
  const jobs = createJobs({
    log: deps.log,
    engines: { current: deps.editions.current.engine, get: (number) => deps.editions.get(number)?.engine },
    now: deps.now,
    newId: createId,
  })
  setCompilers(app, deps.checkReplies === true)
  setHooks(app, metrics)
  await registerOpenApi(app as unknown as FastifyInstance)
  await registerPages(app, deps.pages)
  const routes: RouteDeps = { ...deps, jobs, metrics, findLink: createLinkFinder(deps.log) }
  // Registered as a plugin, so that the description of the API, loaded before, sees every route.
  await app.register(async (scope) => {
    const api = scope as unknown as App
    registerJobRoutes(api, routes)
    registerCommandRoutes(api, routes)
    registerPastRoutes(api, routes)
    registerRecheckRoutes(api, routes)
    registerEventRoutes(api, routes)
    registerNoteRoutes(api, routes)
    registerEditionRoutes(api, routes)
    registerPictureRoutes(api, routes)
    registerHealthRoutes(api, routes)
    api.get('/api/openapi.json', { schema: { hide: true } }, () => app.swagger())
  })
  return app
}

const compileValidator: FastifySchemaCompiler<z.ZodType> = ({ schema, httpPart }) => {
  return (data: unknown) => {
    const parsed = schema.safeParse(data)
    return parsed.success ? { value: parsed.data } : { error: new ShapeError(httpPart ?? 'body', parsed.error.issues[0]) }
  }
}

function setCompilers(app: App, checkReplies: boolean): void {
  app.setValidatorCompiler(compileValidator)
  app.setSerializerCompiler(checkReplies ? serializerCompiler : () => (data) => JSON.stringify(data))
  app.removeAllContentTypeParsers()
  const parseJson = createJsonParser(app.getDefaultJsonParser('error', 'error') as unknown as JsonParser)
  app.addContentTypeParser<string>('application/json', { parseAs: 'string' }, parseJson)
  app.setErrorHandler((error, request, reply) => sendThrown(error, request, reply))
  app.setNotFoundHandler((request, reply) => (isPageRequest(request) ? sendLostPage(reply) : sendProblem(reply, notFound())))
}

function setHooks(app: App, metrics: ReturnType<typeof createMetrics>): void {
  // Both run at each request: a promise for each would cost more than what they do.
  app.addHook('onRequest', (request, reply, done) => {
    setPageHeaders(request, reply)
    if (request.method === 'GET' || request.method === 'HEAD' || !isForeignPage(request)) return done()
    return sendProblem(reply, { code: 'AUTH_FOREIGN_PAGE', message: 'Another site made this request. Open the job link itself.' })
  })
  app.addHook('onResponse', (request, reply, done) => {
    const route = request.routeOptions.url ?? 'none'
    metrics.countRequest(request.method, route, reply.statusCode, reply.elapsedTime / 1000)
    request.log.debug({ method: request.method, route, status: reply.statusCode, ms: Math.round(reply.elapsedTime) }, 'answered')
    done()
  })
}
