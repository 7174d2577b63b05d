// The description of the API, made from the same zod schemas that check each request.
// Routes say what they take and give; here the shared shapes get their names.
import swagger from '@fastify/swagger'
import type { FastifyInstance } from 'fastify'
import { jsonSchemaTransform, jsonSchemaTransformObject } from 'fastify-type-provider-zod'
import { z } from 'zod'
import {
  commandSchema,
  envelopeSchema,
  eventSchema,
  formSchema,
  jobViewSchema,
  openJobSchema,
  personSchema,
  stepViewSchema,
} from '#graphs/contract'

const NAMED: readonly (readonly [string, z.ZodType])[] = [
  ['Command', commandSchema],
  ['Envelope', envelopeSchema],
  ['JobEvent', eventSchema],
  ['Form', formSchema],
  ['JobView', jobViewSchema],
  ['StepView', stepViewSchema],
  ['OpenJob', openJobSchema],
  ['Person', personSchema],
]
for (const [id, schema] of NAMED) z.globalRegistry.add(schema, { id })

export async function registerOpenApi(app: FastifyInstance): Promise<void> {
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Backwrench',
        version: '1',
        description:
          'Step-by-step troubleshooting of portable hot tubs. Every refusal is RFC 9457 problem details with a code. ' +
          'Work on electrical parts follows local codes and is for licensed or qualified persons where those codes say so.',
      },
    },
    transform: jsonSchemaTransform,
    transformObject: jsonSchemaTransformObject,
  })
}
