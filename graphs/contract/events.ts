// The log of a job: every event that can stand in it. A stored event is believed, never judged again.
// How events come about is engine/decide.ts; what they do is engine/evolve.ts.
import { z } from 'zod'
import {
  channelSchema,
  factSourceSchema,
  factValueSchema,
  formSchema,
  idSchema,
  instantSchema,
  personSchema,
  placeSchema,
  roleSchema,
  slugSchema,
  typedReadingSchema,
  verdictSchema,
  wordsSchema,
} from './common.ts'

const readingsSchema = z.record(slugSchema, z.union([typedReadingSchema, z.array(typedReadingSchema).max(200)]))

/** What an answer holds, given or changed. */
const answerBody = {
  /** The key under which it stands: place without what happens on top of it. */
  key: placeSchema,
  step: z.string(),
  outcome: slugSchema,
  /** Why it was not done, when the outcome is not-done. */
  reason: slugSchema.exactOptional(),
  readings: readingsSchema.exactOptional(),
  form: formSchema.exactOptional(),
  verdict: verdictSchema.exactOptional(),
  /** Answered by the program: a decide step, a result that still stands, a shut hand gate. */
  auto: z.enum(['decided', 'still-stands', 'gate-shut']).exactOptional(),
  /** Free words of the person (comment, reason). */
  words: wordsSchema.exactOptional(),
}

const bodies = {
  'job-opened': z.object({
    flow: slugSchema,
    complaint: slugSchema,
    short: z.string().max(12),
    words: wordsSchema,
    /** A made-up job to learn on. */
    practice: z.boolean(),
  }),
  'person-joined': z.object({ person: personSchema, on_site: z.boolean() }),
  'person-left': z.object({ person: idSchema, reason: slugSchema }),
  arrived: z.object({ visit: z.int().positive(), entry: z.string() }),
  'tub-handed': z.object({ to: idSchema, device: idSchema }),
  'answer-given': z.object(answerBody),
  'answer-changed': z.object(answerBody),
  'answer-withdrawn': z.object({ key: placeSchema }),
  'verdict-revised': z.object({ key: placeSchema, outcome: slugSchema, verdict: verdictSchema, fact: slugSchema }),
  'procedure-put': z.object({
    key: placeSchema,
    block: z.string(),
    /** Why: a need of the step, an interruption, or a test taken out of turn. */
    cause: z.enum(['dead', 'prove', 'live-shut', 'live-open', 'water-clear', 'stop', 'leave', 'red-flag', 'test']),
    flag: slugSchema.exactOptional(),
  }),
  'wait-begun': z.object({ key: placeSchema, until: instantSchema }),
  'fact-stated': z.object({
    slug: slugSchema,
    /** null takes a fact back: not known. */
    value: factValueSchema.nullable(),
    uncertainty: z.number().nonnegative().exactOptional(),
    source: factSourceSchema,
    typed: z.string().max(80).exactOptional(),
    key: placeSchema.exactOptional(),
  }),
  powered: z.object({ to: z.enum(['on', 'off', 'unknown']), key: placeSchema.exactOptional() }),
  covered: z.object({ to: z.enum(['on', 'off']), key: placeSchema.exactOptional() }),
  'lock-put': z.object({ owner: z.string(), point: z.string() }),
  'lock-taken': z.object({ owner: z.string(), by_order_of: idSchema.exactOptional() }),
  'proof-made': z.object({ prover: idSchema, places: z.array(z.string()), witnesses: z.array(idSchema) }),
  'proof-lapsed': z.object({
    reason: z.enum(['energized', 'left', 'handed-over', 'paused', 'withdrawn', 'lock-off']),
    limit_minutes: z.number().exactOptional(),
  }),
  'leads-set': z.object({ to: z.enum(['on', 'capped']) }),
  'part-removed': z.object({ part: slugSchema, where: z.string().max(120).exactOptional() }),
  'part-fitted': z.object({ part: slugSchema, trial: z.boolean() }),
  'hazard-seen': z.object({ hazard: slugSchema, words: wordsSchema.exactOptional() }),
  'hazard-cleared': z.object({ hazard: slugSchema, how: slugSchema }),
  'reset-used': z.object({ role: roleSchema }),
  'gfci-tested': z.object({ result: z.enum(['passed', 'failed']) }),
  'water-cleared': z.object({ key: placeSchema }),
  marked: z.object({ mark: slugSchema }),
  unmarked: z.object({ mark: slugSchema }),
  'approval-given': z.object({ what: z.string().max(80), words: wordsSchema.exactOptional() }),
  'photo-taken': z.object({ name: z.string().max(120), key: placeSchema.exactOptional() }),
  'note-written': z.object({ voice: slugSchema, hash: z.string().max(80) }),
  'job-ended': z.object({
    ending: z.string(),
    tub: z.string(),
    step: z.string(),
    reason: z.string().max(400).exactOptional(),
    guard: z.string().max(400).exactOptional(),
  }),
  'outcome-confirmed': z.object({ held: z.boolean(), words: wordsSchema.exactOptional() }),
  'job-reopened': z.object({ why: slugSchema }),
  'job-carried-over': z.object({
    from: z.int().positive(),
    to: z.int().positive(),
    /** Answers that the way of the new edition does not come by. */
    off: z.array(placeSchema),
  }),
} as const

export type EventType = keyof typeof bodies
export type EventBodies = { [T in EventType]: z.infer<(typeof bodies)[T]> }

const frame = {
  /** Made where the event happened; a repeat is known by it. */
  id: idSchema,
  job: idSchema,
  v: z.literal(1),
  /** Clock of the device, never running back within a device. */
  at: instantSchema,
  by: z.object({ person: idSchema, role: roleSchema }),
  toldBy: roleSchema.exactOptional(),
  channel: channelSchema,
  device: idSchema,
  visit: z.int().nonnegative(),
  edition: z.int().positive(),
  /** Set by the store. */
  seq: z.int().positive().exactOptional(),
  receivedAt: instantSchema.exactOptional(),
}

type Frame = {
  id: string
  job: string
  v: 1
  at: number
  by: { person: string; role: z.infer<typeof roleSchema> }
  toldBy?: z.infer<typeof roleSchema>
  channel: z.infer<typeof channelSchema>
  device: string
  visit: number
  edition: number
  seq?: number
  receivedAt?: number
}

export type JobEvent = { [T in EventType]: Frame & { type: T; body: EventBodies[T] } }[EventType]
export type JobEventOf<T extends EventType> = Extract<JobEvent, { type: T }>

const members = (Object.keys(bodies) as EventType[]).map((type) =>
  z.object({ ...frame, type: z.literal(type), body: bodies[type] as z.ZodType }),
)
export const eventSchema = z.discriminatedUnion(
  'type',
  members as unknown as [(typeof members)[number], ...typeof members],
) as unknown as z.ZodType<JobEvent>
