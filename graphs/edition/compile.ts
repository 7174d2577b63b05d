// A whole library becomes one edition: files read, constants put in, steps compiled, references checked.
// What makes an edition safe to release is judged by checks.ts and the audit, not here.
import { failed, ok } from '../result.ts'
import type { Result } from '../result.ts'
import { checkEdition } from './checks.ts'
import type { z } from 'zod'
import type { Block, Edition, PracticeAnswer, Step } from './compiled.ts'
import {
  blockSchema,
  familySchema,
  faultsSchema,
  historySchema,
  interruptsSchema,
  partsSchema,
  practiceSchema,
  suppliesSchema,
  symptomsSchema,
  testSchema,
} from './library-schema.ts'
import type { RawBlock, RawStep, RawTest } from './library-schema.ts'
import { readYaml } from './source.ts'
import type { LibraryProblem, ParsedFile, SourceFile } from './source.ts'
import { compileExits, compileStep } from './step.ts'

export type { LibraryProblem, SourceFile } from './source.ts'

type Constants = { readonly [name: string]: string | number | boolean }
type RawSource = {
  readonly file: ParsedFile<RawBlock | RawTest>
  readonly raw: RawBlock
  readonly isTest: boolean
  readonly test?: RawTest
}

/**
 * Compiles library files to an edition.
 * Shape:  `files` with paths relative to the library folder; `number` of the edition to be.
 * Errors: GRAPH_UNREADABLE, GRAPH_REFERENCE_MISSING, GRAPH_RULE_BROKEN with `details.problems`: file, line, step, message, mend.
 */
export function compileLibrary(files: readonly SourceFile[], number = 0): Result<Edition> {
  const problems: LibraryProblem[] = []
  const sources = readBlocks(files, problems)
  const tables = readTables(files, problems)
  if (problems.length > 0 || tables === undefined) return unreadable(problems)
  const blocks = compileBlocks(sources, problems)
  const edition: Edition = { number, semantics: 1, blocks, ...tables }
  checkEdition(edition, (block) => placesOf(sources, block), problems)
  if (problems.length > 0) {
    return failed('GRAPH_REFERENCE_MISSING', `The library has ${count(problems.length)} to mend before it can be an edition.`, {
      details: { problems },
    })
  }
  return ok(edition)
}

function unreadable(problems: readonly LibraryProblem[]): Result<Edition> {
  return failed('GRAPH_UNREADABLE', `The library cannot be read: ${count(problems.length)} to mend.`, { details: { problems } })
}

function count(problems: number): string {
  return problems === 1 ? '1 place' : `${problems} places`
}

function readBlocks(files: readonly SourceFile[], problems: LibraryProblem[]): Map<string, RawSource> {
  const sources = new Map<string, RawSource>()
  for (const file of files) {
    const isTest = file.path.startsWith('tests/')
    if (!isTest && !file.path.startsWith('flows/') && !file.path.startsWith('procedures/')) continue
    const source = isTest ? readTest(file, problems) : readBlock(file, problems)
    if (source === undefined) continue
    const expected = file.path.replace(/^.*\//, '').replace(/\.ya?ml$/, '')
    if (source.raw.block !== expected) {
      problems.push({ file: file.path, line: 1, message: `is named "${source.raw.block}"`, mend: `name it "${expected}", as its file` })
    }
    sources.set(source.raw.block, source)
  }
  return sources
}

function readBlock(file: SourceFile, problems: LibraryProblem[]): RawSource | undefined {
  const parsed = readYaml(file, blockSchema, problems)
  return parsed === undefined ? undefined : { file: parsed, raw: parsed.data, isTest: false }
}

/** A single-step card is a block of one step named "test" whose outcomes are its exits. */
function readTest(file: SourceFile, problems: LibraryProblem[]): RawSource | undefined {
  const parsed = readYaml(file, testSchema, problems)
  if (parsed === undefined) return undefined
  const { test, about, lasts: _lasts, group: _group, start, steps, exits, part, who, title, ...step } = parsed.data
  const single = steps === undefined
  if (single && step.kind === undefined) problems.push({ file: file.path, line: 1, message: 'a card of one step has a `kind:`' })
  const named = single ? Object.keys(step.outcomes ?? {}) : Object.keys(exits ?? {})
  const labels = Object.fromEntries(named.map((name) => [name, { label: step.outcomes?.[name]?.label ?? exits?.[name]?.label ?? name }]))
  const raw: RawBlock = {
    block: test,
    kind: 'procedure',
    title,
    about,
    start: single ? 'test' : (start ?? Object.keys(steps)[0] ?? 'test'),
    part: part ?? 'find',
    who: who ?? ['technician'],
    exits: { ...labels, 'not-done': { label: 'Not done' } },
    steps: single ? { test: { ...step, kind: step.kind ?? 'ask', title } as RawStep } : steps,
  }
  return { file: parsed, raw, isTest: true, test: parsed.data }
}

function readTables(
  files: readonly SourceFile[],
  problems: LibraryProblem[],
): Omit<Edition, 'number' | 'semantics' | 'blocks'> | undefined {
  const at = (path: string) => files.find((file) => file.path === path) ?? { path, text: '' }
  const interrupts = readYaml(at('interrupts.yaml'), interruptsSchema, problems)
  const symptoms = readYaml(at('symptoms.yaml'), symptomsSchema, problems)
  const faults = readYaml(at('faults.yaml'), faultsSchema, problems)
  const parts = readYaml(at('parts.yaml'), partsSchema, problems)
  const history = readYaml(at('history.yaml'), historySchema, problems)
  const supplies = readYaml(at('supplies.yaml'), suppliesSchema, problems)
  const practice = readYaml(at('practice.yaml'), practiceSchema, problems)
  const families = files
    .filter((file) => file.path.startsWith('likelihoods/'))
    .map((file) => readYaml(file, familySchema, problems))
    .filter((file) => file !== undefined)
  if (!interrupts || !symptoms || !faults || !parts || !history || !supplies || !practice) return undefined
  const plain = <T>(value: unknown) => JSON.parse(JSON.stringify(value)) as T
  return {
    standing: interrupts.data.standing,
    interrupts: interrupts.data.interrupts,
    red_flags: plain(interrupts.data.red_flags),
    not_done: interrupts.data.not_done,
    symptoms: symptoms.data,
    faults: withSlugs(faults.data),
    parts: withSlugs(parts.data),
    history: withSlugs(history.data),
    supplies: withSlugs(supplies.data),
    practice: { about: practice.data.about, answers: practiceAnswers(practice.data.answers) },
    families: Object.fromEntries(families.map((file) => [file.data.slug, plain(file.data)])),
  }
}

type RawPractice = z.infer<typeof practiceSchema>['answers']

/** "106.8 degF" becomes its number and unit; a single reading is a series of one, taken now. */
function practiceAnswers(raw: RawPractice): { [step: string]: PracticeAnswer } {
  const split = (minutes: number, words: string): [number, string, string] => {
    const [number = '', unit = '1'] = words.split(' ')
    return [minutes, number, unit]
  }
  return Object.fromEntries(
    Object.entries(raw).map(([step, { read, ...rest }]) => {
      const series = Object.entries(read ?? {}).map(([name, given]) => [
        name,
        typeof given === 'string' ? [split(0, given)] : given.map(([minutes, words]) => split(minutes, words)),
      ])
      const answer = read === undefined ? rest : { ...rest, read: Object.fromEntries(series) as PracticeAnswer['read'] }
      return [step, JSON.parse(JSON.stringify(answer)) as PracticeAnswer]
    }),
  )
}

function withSlugs<T extends object>(table: { readonly [slug: string]: T }): { [slug: string]: T & { slug: string } } {
  return Object.fromEntries(Object.entries(table).map(([slug, row]) => [slug, { slug, ...row }]))
}

/** Compiles every block, and a copy of a called block for every distinct set of constants. */
function compileBlocks(sources: Map<string, RawSource>, problems: LibraryProblem[]): { [id: string]: Block } {
  const blocks: { [id: string]: Block } = {}
  const wanted: { source: RawSource; constants: Constants; id: string }[] = []
  for (const [id, source] of sources) wanted.push({ source, constants: {}, id })
  for (let next = wanted.pop(); next !== undefined; next = wanted.pop()) {
    if (blocks[next.id] !== undefined) continue
    const { source, id } = next
    const defaults = source.isTest ? {} : source.raw.with
    const raw = putConstants(source.raw, { ...defaults, ...next.constants })
    const calls = (name: string, constants: Constants): string => {
      const called = sources.get(name)
      const calledId = blockId(name, constants)
      if (called !== undefined && blocks[calledId] === undefined) wanted.push({ source: called, constants, id: calledId })
      return calledId
    }
    blocks[id] = compileBlock(id, raw, source, calls, problems)
  }
  return Object.fromEntries(Object.entries(blocks).toSorted(([a], [b]) => (a < b ? -1 : 1)))
}

export function blockId(name: string, constants: Constants): string {
  const parts = Object.entries(constants).toSorted(([a], [b]) => (a < b ? -1 : 1))
  return parts.length === 0 ? name : `${name}~${parts.map(([key, value]) => `${key}=${value}`).join('~')}`
}

function putConstants(raw: RawBlock, constants: Constants): RawBlock {
  if (Object.keys(constants).length === 0) return raw
  const put = (value: unknown): unknown => {
    if (typeof value === 'string') return value.replaceAll(/\{\{([a-z-]+)\}\}/g, (whole, name: string) => String(constants[name] ?? whole))
    if (Array.isArray(value)) return value.map(put)
    if (typeof value === 'object' && value !== null)
      return Object.fromEntries(Object.entries(value).map(([key, part]) => [put(key), put(part)]))
    return value
  }
  return put(raw) as RawBlock
}

function compileBlock(
  id: string,
  raw: RawBlock,
  source: RawSource,
  calls: (name: string, constants: Constants) => string,
  problems: LibraryProblem[],
): Block {
  const steps: { [id: string]: Step } = {}
  for (const [stepId, rawStep] of Object.entries(raw.steps)) {
    const complain = (message: string, mend?: string) => {
      const line = source.file.lineOf(source.test !== undefined && source.test.steps === undefined ? [] : ['steps', stepId])
      problems.push({ file: source.file.path, line, step: stepId, message, ...(mend === undefined ? {} : { mend }) })
    }
    const isTest = source.isTest && source.test?.steps === undefined
    const step = compileStep(stepId, rawStep, { part: raw.part ?? 'find', who: raw.who ?? ['technician'], isTest }, complain)
    steps[stepId] =
      rawStep.call === undefined
        ? step
        : {
            ...step,
            call: {
              block: calls(rawStep.call, rawStep.with ?? {}),
              fresh: rawStep.fresh ?? false,
              exits: Object.fromEntries(Object.entries(step.outcomes).map(([exit, outcome]) => [exit, outcome.to])),
            },
          }
  }
  const lasts = source.test?.lasts
  return {
    id,
    kind: source.isTest ? 'test' : raw.kind,
    title: raw.title,
    about: raw.about ?? '',
    start: raw.start,
    exits: compileExits(raw.exits as never),
    lasts: typeof lasts === 'number' ? { minutes: lasts } : (lasts ?? 'job'),
    steps,
    ...(raw.arrive === undefined ? {} : { arrive: raw.arrive }),
    ...(source.test?.group === undefined ? {} : { group: source.test.group }),
  }
}

function placesOf(sources: Map<string, RawSource>, block: string): { file: string; lineOf: (step: string) => number } {
  const source = sources.get(block.split('~')[0] ?? block)
  if (source === undefined) return { file: block, lineOf: () => 1 }
  const single = source.test !== undefined && source.test.steps === undefined
  return { file: source.file.path, lineOf: (step) => source.file.lineOf(single ? [] : ['steps', step]) }
}
