// The shape of the library's YAML files, as authors write them: short, with defaults left out.
// What they become is compiled.ts; how, is compile.ts.
import { z } from 'zod'
import { HAZARD_SLUGS } from './compiled.ts'

const slug = z.string().regex(/^[a-z0-9][a-z0-9-]*$/, 'a slug: lower-case letters, digits and hyphens')
const target = z.string().regex(/^(exit:)?[a-z0-9][a-z0-9-]*$/, 'a step of this block or exit:<name>')
const text = z.string().min(1)
const role = z.enum(['homeowner', 'dispatcher', 'technician', 'electrician'])
const signOff = z.enum(['absence-of-voltage', 'energized-work'])
const part = z.enum(['phone', 'arrive', 'make-dead', 'find', 'mend', 'prove', 'close'])
const need = z.enum(['talk', 'shut', 'live-shut', 'proving', 'dead', 'live-open'])
const hands = z.enum(['none', 'outside', 'string', 'water', 'inside'])
const place = z.enum(['terminals', 'board', 'heater', 'pump'])
const kind = z.enum(['ask', 'read', 'do', 'record', 'wait', 'decide', 'call', 'refer', 'fit', 'finish'])
const ending = z.enum([
  'solved-by-phone',
  'normal',
  'repaired',
  'repaired-to-confirm',
  'made-safe',
  'for-electrician',
  'second-visit',
  'declined',
  'specialist',
  'not-proved',
])
const tubState = z.enum(['safe-to-use', 'usable-with-limits', 'off-out-of-service-lock', 'off', 'not-checked-on-site'])
const hazardSlug = z.enum(HAZARD_SLUGS)
const scalar = z.union([z.string(), z.number(), z.boolean()])

const condition = z.union([
  z.strictObject({ result: slug, is: z.array(slug).min(1) }),
  z.strictObject({ result: slug, not: z.array(slug).min(1) }),
  z.strictObject({ flag: slug }),
  z.strictObject({ no_flag: slug }),
  z.strictObject({ hazard: hazardSlug }),
  z.strictObject({ no_hazard: hazardSlug }),
  z.strictObject({ mark: slug }),
  z.strictObject({ no_mark: slug }),
  z.strictObject({ fact: slug, is: z.array(scalar).min(1) }),
  z.strictObject({ fact: slug, at_least: z.number() }),
  z.strictObject({ fact: slug, below: z.number() }),
  z.strictObject({ energy: z.array(z.enum(['on', 'off', 'unknown'])).min(1) }),
  z.strictObject({ covers: z.enum(['on', 'off']) }),
  z.strictObject({ locked: z.boolean() }),
  z.strictObject({ lock: z.enum(['own', 'shop', 'others']) }),
  z.strictObject({ no_lock: z.enum(['own', 'shop', 'others']) }),
  z.strictObject({ on_site: z.boolean() }),
  z.strictObject({ signed: signOff }),
  z.strictObject({ resets_used: z.boolean() }),
  z.strictObject({ water_above: z.number() }),
])

// oxlint-disable-next-line unicorn/no-thenable -- `then` is the authors' word for the way out; a schema is never awaited
const again = z.strictObject({ most: z.int().positive().max(9), then: target })
const effects = z.array(z.string())
const outcome = z.strictObject({
  label: text.optional(),
  to: target.optional(),
  effects: effects.optional(),
  again: again.optional(),
  odds: z.number().min(0).max(1).optional(),
})
/** `exits: {same: {…}}` or the short form `exits: {same: next-step}`. */
const arrow = z.union([target, z.strictObject({ to: target, effects: effects.optional(), again: again.optional() })])

const readingSpec = z.strictObject({
  name: slug,
  quantity: text,
  label: text,
  units: z.array(text).min(1),
  instrument: slug.optional(),
  optional: z.boolean().optional(),
  choices: z
    .array(z.strictObject({ typed: text, label: text }))
    .min(2)
    .optional(),
  series: z
    .strictObject({
      least: z.int().min(2),
      span_minutes: z.number().positive(),
      every_minutes: z.number().positive(),
      enough_at: z.number().optional(),
    })
    .optional(),
})

const form = z.discriminatedUnion('form', [
  z.strictObject({ form: z.literal('facts'), facts: z.array(slug).min(1) }),
  z.strictObject({ form: z.literal('pairs') }),
  z.strictObject({ form: z.literal('switches'), which: z.enum(['old', 'new']) }),
  z.strictObject({ form: z.literal('conductors') }),
  z.strictObject({ form: z.literal('loads') }),
  z.strictObject({ form: z.literal('settings'), which: z.enum(['found', 'left']) }),
  z.strictObject({ form: z.literal('checklist'), items: z.array(text).min(1) }),
  z.strictObject({ form: z.literal('text'), fields: z.array(z.strictObject({ name: slug, label: text })).min(1) }),
])

const evidence = z.strictObject({
  one_of: z.array(text).default([]),
  all_of: z.array(text).default([]),
  rivals: z.array(z.strictObject({ fault: slug, by: z.array(text) })).default([]),
})

const stepFields = {
  kind,
  part: part.optional(),
  who: z.array(role).min(1).optional(),
  signed: z.array(signOff).optional(),
  needs: need.optional(),
  at: z.array(place).optional(),
  hands: hands.optional(),
  starts: text.optional(),
  minutes: z.number().nonnegative().optional(),
  tools: z.array(text).optional(),
  title: text.optional(),
  says: z.array(text).optional(),
  ask_aloud: text.optional(),
  why: text.optional(),
  hazard: z.strictObject({ word: z.enum(['danger', 'warning', 'caution', 'notice']), text }).optional(),
  outcomes: z.record(slug, outcome).optional(),
  'not-done': z
    .strictObject({ to: target.optional(), effects: effects.optional(), again: again.optional(), label: text.optional() })
    .optional(),
  otherwise: target.optional(),
  readings: z.array(readingSpec).min(1).optional(),
  evaluator: slug.optional(),
  form: form.optional(),
  wait: z.strictObject({ minutes: z.number().positive(), meanwhile: z.array(text).default([]) }).optional(),
  cases: z
    .array(
      z.strictObject({
        when: z.array(condition).min(1).optional(),
        to: target,
        outcome: slug.optional(),
        effects: effects.optional(),
        again: again.optional(),
      }),
    )
    .min(1)
    .optional(),
  call: slug.optional(),
  fresh: z.boolean().optional(),
  with: z.record(slug, scalar).optional(),
  exits: z.record(slug, arrow).optional(),
  fit: z
    .strictObject({ part: z.string(), evidence: evidence.optional(), trial: z.boolean().optional(), consumable: z.boolean().optional() })
    .optional(),
  finish: z.strictObject({ ending, tub: tubState, reason: text.optional(), guard: text.optional() }).optional(),
  refer: z.strictObject({ to: slug, ending, tub: tubState, guard: text.optional() }).optional(),
}

export const stepSchema = z.strictObject(stepFields)
const exitSpec = z.strictObject({ ensures: need.optional(), label: text.optional() }).nullable()

export const blockSchema = z.strictObject({
  block: slug,
  kind: z.enum(['flow', 'procedure']),
  title: text,
  about: text.optional(),
  start: slug,
  arrive: slug.optional(),
  part: part.optional(),
  who: z.array(role).min(1).optional(),
  exits: z.record(slug, exitSpec).optional(),
  /** Defaults of constants that a caller may set by `with`. */
  with: z.record(slug, scalar).optional(),
  steps: z.record(slug, stepSchema),
})

const lasts = z.union([z.enum(['job', 'visit', 'until-power-up', 'until-part-fitted']), z.number().positive()])

export const testSchema = z.strictObject({
  ...stepFields,
  kind: kind.optional(),
  exits: z.record(slug, exitSpec).optional(),
  test: slug,
  title: text,
  about: text.optional(),
  lasts,
  group: slug.optional(),
  start: slug.optional(),
  steps: z.record(slug, stepSchema).optional(),
})

const afterPut = z.union([z.enum(['return', 'not-done']), z.strictObject({ put: slug })])
const standing = z.strictObject({ block: slug, exits: z.record(slug, afterPut) })

export const interruptsSchema = z.strictObject({
  standing: z.strictObject({ dead: standing, prove: standing, live_shut: standing, live_open: standing, water_clear: standing }),
  interrupts: z.strictObject({ stop: standing, leave: standing }),
  red_flags: z.array(
    z.strictObject({
      slug,
      label: text,
      words: z.array(text),
      hazard: hazardSlug.optional(),
      put: slug,
      ends: z.boolean(),
    }),
  ),
  not_done: z.array(z.strictObject({ slug, label: text })),
})

export const symptomsSchema = z.array(z.strictObject({ flow: slug, complaint: slug, label: text, phrases: z.array(text).min(1) }))
export const faultsSchema = z.record(
  slug,
  z.strictObject({ label: text, plain: text, repair: text, parts: z.array(slug), minutes: z.number().nonnegative() }),
)
export const partsSchema = z.record(slug, z.strictObject({ label: text, consumable: z.boolean(), matched: z.boolean() }))
export const historySchema = z.record(
  slug,
  z.strictObject({ label: text, question: text, multiply: z.record(slug, z.number().positive()) }),
)
export const suppliesSchema = z.record(
  slug,
  z.strictObject({ label: text, conductors: z.array(text).min(2), pairs: z.array(text).min(1), plug: z.boolean() }),
)
const probabilities = z.record(slug, z.number().min(0).max(1))
export const familySchema = z.strictObject({
  slug,
  priors: z.record(slug, probabilities),
  tests: z.array(z.strictObject({ test: slug, group: slug.optional(), table: z.record(slug, probabilities) })),
})

const typed = z.string().min(1)
/** An invented tub to learn on: what a person standing there would answer, by `block.step`. Readings are "106.8 degF"; a series is a list of [minutes ago, reading]. */
export const practiceSchema = z.strictObject({
  about: text,
  answers: z.record(
    z.string().regex(/^[a-z0-9-]+\.[a-z0-9-]+$/, 'block.step'),
    z.strictObject({
      says: text.optional(),
      pick: slug.optional(),
      read: z.record(slug, z.union([typed, z.array(z.tuple([z.number().nonnegative(), typed])).min(2)])).optional(),
      facts: z.record(slug, z.union([z.string(), z.boolean()])).optional(),
      settings: z.record(slug, z.string()).optional(),
      switches: z.strictObject({ positions: z.string().regex(/^[01-]*$/), jumpers: z.string() }).optional(),
      conductors: z.array(z.strictObject({ from: typed, to: typed, colour: typed, meter: typed.optional() })).optional(),
      loads: z.array(z.strictObject({ load: typed, outlet: typed, volts: typed })).optional(),
      fields: z.record(slug, z.string()).optional(),
    }),
  ),
})

export type RawStep = z.infer<typeof stepSchema>
export type RawBlock = z.infer<typeof blockSchema>
export type RawTest = z.infer<typeof testSchema>
export type RawOutcome = z.infer<typeof outcome>
