// What one person may see and do now: made by engine/view.ts, drawn by the pages, handed out over HTTP.
// A homeowner's page gets nothing else: no edition, no log.
import { z } from 'zod'
import { formSchema, placeSchema, roleSchema, signOffSchema, slugSchema, typedReadingSchema, verdictSchema } from './common.ts'

export const powerStateSchema = z.enum(['closed', 'live-shut', 'proving', 'locked', 'live-open'])

const outcomeSchema = z.object({ outcome: slugSchema, label: z.string() })

const readingFieldSchema = z.object({
  name: slugSchema,
  quantity: z.string(),
  label: z.string(),
  units: z.array(z.string()),
  instrument: slugSchema.exactOptional(),
  optional: z.boolean(),
  /** Picked instead of typed. */
  choices: z.array(z.object({ typed: z.string(), label: z.string() })).exactOptional(),
  /** `enough_at`, SI: a last reading from here on ends the series early, two readings are then enough. */
  series: z
    .object({ least: z.int(), span_minutes: z.number(), every_minutes: z.number(), enough_at: z.number().exactOptional() })
    .exactOptional(),
})

const formFieldSchema = z.discriminatedUnion('form', [
  z.object({
    form: z.literal('facts'),
    facts: z.array(
      z.object({
        slug: slugSchema,
        label: z.string(),
        question: z.string(),
        quantity: z.string().exactOptional(),
        units: z.array(z.string()).exactOptional(),
        choices: z.array(z.object({ value: z.union([z.string(), z.boolean()]), label: z.string() })).exactOptional(),
        /** Already known, as typed or chosen. */
        known: z.string().exactOptional(),
      }),
    ),
  }),
  z.object({
    form: z.literal('pairs'),
    places: z.array(
      z.object({
        place: z.string(),
        label: z.string(),
        /** Hands go there next; other places may be proved in one go. */ needed: z.boolean(),
        pairs: z.array(z.string()),
      }),
    ),
  }),
  z.object({
    form: z.literal('switches'),
    which: z.enum(['old', 'new']),
    old: z.object({ positions: z.string(), jumpers: z.string() }).exactOptional(),
  }),
  z.object({ form: z.literal('conductors') }),
  z.object({ form: z.literal('loads') }),
  z.object({ form: z.literal('settings'), which: z.enum(['found', 'left']), found: z.record(z.string(), z.string()).exactOptional() }),
  z.object({ form: z.literal('checklist'), items: z.array(z.string()) }),
  z.object({ form: z.literal('text'), fields: z.array(z.object({ name: slugSchema, label: z.string() })) }),
])

export const stepViewSchema = z.object({
  place: placeSchema,
  key: placeSchema,
  block: z.string(),
  step: z.string(),
  kind: z.enum(['ask', 'read', 'do', 'record', 'wait', 'refer', 'fit', 'finish']),
  title: z.string(),
  /** Instructions, in order. For homeowner and caller: the question as said aloud comes first. */
  says: z.array(z.string()),
  aloud: z.string().exactOptional(),
  why: z.string(),
  minutes: z.number(),
  tools: z.array(z.string()),
  hazard: z.object({ word: z.enum(['danger', 'warning', 'caution', 'notice']), text: z.string() }).exactOptional(),
  starts: z.string().exactOptional(),
  /** Outcomes to pick; empty when readings or a form decide. */
  outcomes: z.array(outcomeSchema),
  readings: z.array(readingFieldSchema),
  form: formFieldSchema.exactOptional(),
  /** A wait: when it is over (ms since 1970). */
  until: z.number().exactOptional(),
  /** What to do while waiting. */
  meanwhile: z.array(z.string()).exactOptional(),
  can_not_do: z.boolean(),
  /** What was answered here before and no longer lasts: "still so?" */
  before: z.string().exactOptional(),
  /** On a practice job: what the invented tub answers, ready to be sent. */
  practice: z
    .object({
      says: z.string(),
      outcome: slugSchema.exactOptional(),
      readings: z.record(slugSchema, z.union([typedReadingSchema, z.array(typedReadingSchema)])).exactOptional(),
      form: formSchema.exactOptional(),
    })
    .exactOptional(),
})

export const trailItemSchema = z.object({
  key: placeSchema,
  at: z.number(),
  by: z.object({ name: z.string(), role: roleSchema }),
  title: z.string(),
  /** The answer in words. */
  answer: z.string(),
  typed: z.array(z.object({ label: z.string(), value: z.string() })),
  verdict: verdictSchema.exactOptional(),
  why: z.string(),
  power: powerStateSchema,
  auto: z.string().exactOptional(),
  reason: z.string().exactOptional(),
  words: z.string().exactOptional(),
  can_change: z.boolean(),
  /** No longer on the path: kept, shown struck through. */
  struck: z.boolean(),
})

export const jobViewSchema = z.object({
  job: z.string(),
  short: z.string(),
  practice: z.boolean(),
  flow: z.string(),
  title: z.string(),
  complaint: z.string(),
  edition: z.int(),
  opened: z.number(),
  visit: z.int(),
  power: powerStateSchema,
  /** The state in words, e.g. "Locked, proved 09:55": `since` is when it began. */
  since: z.number(),
  part: z.string(),
  /** At most this many more steps in this part. */
  at_most: z.int().nonnegative(),
  step: stepViewSchema.exactOptional(),
  /** Nothing can be done by this person now: who can, and what is awaited. */
  waiting: z
    .object({ says: z.string(), roles: z.array(roleSchema), signed: z.array(signOffSchema), holder: z.boolean(), step: z.string() })
    .exactOptional(),
  ended: z
    .object({ ending: z.string(), tub: z.string(), says: z.array(z.string()), guard: z.string().exactOptional(), at: z.number() })
    .exactOptional(),
  hazards: z.array(z.object({ hazard: slugSchema, label: z.string(), sticky: z.boolean() })),
  holder: z.string().exactOptional(),
  holds: z.boolean(),
  people: z.array(z.object({ id: z.string(), name: z.string(), role: roleSchema, signed: z.array(signOffSchema), here: z.boolean() })),
  can_undo: z.boolean(),
  can_arrive: z.boolean(),
  /** Facts in words. */
  facts: z.array(z.object({ slug: z.string(), label: z.string(), value: z.string(), source: z.string() })),
  red_flags: z.array(z.object({ slug: slugSchema, label: z.string() })),
  not_done: z.array(z.object({ slug: slugSchema, label: z.string() })),
  trail: z.array(trailItemSchema),
  /** The rail: power state from each moment on. */
  rail: z.array(z.object({ at: z.number(), power: powerStateSchema })),
})

export type PowerState = z.infer<typeof powerStateSchema>
export type StepView = z.infer<typeof stepViewSchema>
export type TrailItem = z.infer<typeof trailItemSchema>
export type JobView = z.infer<typeof jobViewSchema>
