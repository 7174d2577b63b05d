// What a person, a page or a program may ask of a job. A command is checked in shape here and in sense by engine/decide.ts.
// Nothing in a command is believed: outcomes of readings are computed, never sent.
import { z } from 'zod'
import {
  channelSchema,
  factSourceSchema,
  factValueSchema,
  formSchema,
  idSchema,
  personSchema,
  placeSchema,
  roleSchema,
  slugSchema,
  typedReadingSchema,
  wordsSchema,
} from './common.ts'

const answer = {
  /** For steps whose outcome the person picks. */
  outcome: slugSchema.exactOptional(),
  /** For steps that measure. */
  readings: z.record(slugSchema, z.union([typedReadingSchema, z.array(typedReadingSchema).max(200)])).exactOptional(),
  /** For steps that record. */
  form: formSchema.exactOptional(),
  /** A doubtful number was looked at again and is meant. */
  sure: z.boolean().exactOptional(),
  /** "I can't do this here": the slug of the reason. */
  not_done: slugSchema.exactOptional(),
  words: wordsSchema.exactOptional(),
}

const command = z.discriminatedUnion('type', [
  z.object({ type: z.literal('answer'), place: placeSchema, ...answer }),
  z.object({ type: z.literal('change'), key: placeSchema, ...answer }),
  z.object({ type: z.literal('undo') }),
  z.object({ type: z.literal('stop'), reason: slugSchema.exactOptional(), words: wordsSchema.exactOptional() }),
  z.object({ type: z.literal('red-flag'), flag: slugSchema, words: wordsSchema.exactOptional() }),
  z.object({ type: z.literal('take-test'), test: slugSchema }),
  z.object({ type: z.literal('join'), person: personSchema, on_site: z.boolean() }),
  /** A technician stands at the tub: a visit begins. */
  z.object({ type: z.literal('arrive') }),
  z.object({ type: z.literal('leave'), reason: slugSchema.exactOptional() }),
  /** The phone of this person takes the tub; said aloud to whoever held it. */
  z.object({ type: z.literal('take-tub') }),
  z.object({
    type: z.literal('state-fact'),
    slug: slugSchema,
    value: z.union([typedReadingSchema, factValueSchema, z.null()]),
    source: factSourceSchema,
  }),
  z.object({
    type: z.literal('mend'),
    what: z.enum(['power-is-on', 'cover-is-off', 'lock-is-off', 'proof-is-gone', 'hazard']),
    hazard: slugSchema.exactOptional(),
  }),
  z.object({ type: z.literal('clear-hazard'), hazard: slugSchema, how: slugSchema, words: wordsSchema.exactOptional() }),
  z.object({ type: z.literal('note-photo'), name: z.string().min(1).max(120) }),
  z.object({ type: z.literal('confirm-outcome'), held: z.boolean(), words: wordsSchema.exactOptional() }),
  /** The job goes over to a newer edition, by its recorded answers alone. */
  z.object({ type: z.literal('carry-over'), to: z.int().positive() }),
  z.object({ type: z.literal('wake') }),
])

export const openJobSchema = z.object({
  flow: slugSchema,
  complaint: slugSchema,
  words: wordsSchema,
  practice: z.boolean().exactOptional(),
  person: personSchema,
})

/** Who asks, through what, for whom. */
export const envelopeSchema = z.object({
  /** Made by the sender; a repeat with the same id is harmless. */
  id: idSchema,
  person: idSchema,
  role: roleSchema,
  device: idSchema,
  channel: channelSchema,
  toldBy: roleSchema.exactOptional(),
  command,
})

export const commandSchema = command
export type Command = z.infer<typeof command>
export type CommandOf<T extends Command['type']> = Extract<Command, { type: T }>
export type Envelope = z.infer<typeof envelopeSchema>
export type OpenJob = z.infer<typeof openJobSchema>
