// A bare Fastify that sends back the body it was sent: the yardstick for what the server does beyond HTTP.
// It is started as a process of its own, as the server is.
import Fastify from 'fastify'

const app = Fastify()
app.post('/', (request, reply) => reply.send(request.body))
await app.listen({ host: '127.0.0.1', port: 0 })
const address = app.server.address()
process.stdout.write(`Open http://127.0.0.1:${typeof address === 'object' && address !== null ? address.port : 0} in\n`)
