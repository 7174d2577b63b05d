// The small shapes that commands, events and views share. zod is the one source: types are inferred from it.
// No command, event or view lives here.
import { z } from 'zod'

export const roleSchema = z.enum(['homeowner', 'dispatcher', 'technician', 'electrician'])
export const signOffSchema = z.enum(['absence-of-voltage', 'energized-work'])
export const channelSchema = z.enum(['page', 'phone', 'site', 'api'])

export const idSchema = z.string().regex(/^[A-Za-z0-9_-]{6,64}$/)
export const slugSchema = z.string().regex(/^[a-z0-9][a-z0-9-]{0,63}$/)
/** Milliseconds since 1970. */
export const instantSchema = z.int().nonnegative().max(8_640_000_000_000_000)
/** Where in the edition a job stands: its frames as text. See engine/place.ts. */
export const placeSchema = z.string().min(3).max(2000)
/** Free words of a person: kept beside the log, never inside it. */
export const wordsSchema = z.string().max(2000)

export const personSchema = z.object({
  id: idSchema,
  name: z.string().min(1).max(80),
  role: roleSchema,
  /** Self-declared at joining; printed as such. */
  signed: z.array(signOffSchema).max(2),
})

export const typedReadingSchema = z.object({
  typed: z.string().max(64),
  unit: z.string().max(16),
  at: instantSchema.exactOptional(),
  instrument: slugSchema.exactOptional(),
})

export const factValueSchema = z.union([z.number().finite(), z.string().max(500), z.boolean()])
export const factSourceSchema = z.enum(['measured', 'label', 'told', 'assumed'])

export const conductorSchema = z.object({
  from: z.string().min(1).max(60),
  to: z.string().min(1).max(60),
  colour: z.string().max(40),
  meter: z.string().max(60).exactOptional(),
})

/** What the form of a `record` step holds; which one is said by the step. */
export const formSchema = z.discriminatedUnion('form', [
  z.object({
    form: z.literal('facts'),
    /** null = not known. Numbers as typed with their unit. */
    facts: z.record(slugSchema, z.union([typedReadingSchema, z.string().max(500), z.boolean(), z.null()])),
  }),
  z.object({
    form: z.literal('pairs'),
    tester_before: z.boolean(),
    tester_after: z.boolean(),
    /** "place:pair" → volts as typed. */
    volts: z.record(z.string().max(80), typedReadingSchema),
  }),
  z.object({ form: z.literal('switches'), positions: z.string().regex(/^[01-]{0,24}$/), jumpers: z.string().max(200) }),
  z.object({ form: z.literal('conductors'), conductors: z.array(conductorSchema).max(60) }),
  z.object({
    form: z.literal('loads'),
    loads: z.array(z.object({ load: z.string().min(1).max(60), outlet: z.string().max(60), volts: z.string().max(20) })).max(20),
  }),
  z.object({ form: z.literal('settings'), settings: z.record(slugSchema, z.string().max(120)) }),
  z.object({ form: z.literal('checklist'), ticked: z.array(z.string().max(200)).max(40) }),
  z.object({ form: z.literal('text'), fields: z.record(slugSchema, wordsSchema) }),
])

export const verdictSchema = z.object({
  outcome: slugSchema,
  mark: z.enum(['in', 'out', 'cannot-tell']),
  direction: z.enum(['high', 'low']).exactOptional(),
  quantity: z.string(),
  /** Infinity (an open circuit) is written as null. */
  value: z.number().nullable(),
  error: z.number().nullable(),
  bands: z.array(z.object({ low: z.number().exactOptional(), high: z.number().exactOptional(), label: z.string(), good: z.boolean() })),
  reason: z.string(),
  basis: z.string(),
  settle: z.string().exactOptional(),
  evaluator: z.string(),
  uses: z.array(z.string()),
})

export type Person = z.infer<typeof personSchema>
export type Role = z.infer<typeof roleSchema>
export type SignOff = z.infer<typeof signOffSchema>
export type Channel = z.infer<typeof channelSchema>
export type TypedReading = z.infer<typeof typedReadingSchema>
export type Form = z.infer<typeof formSchema>
export type StoredVerdict = z.infer<typeof verdictSchema>
