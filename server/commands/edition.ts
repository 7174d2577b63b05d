// `npm run edition -- check | release | pictures N | diff A B | draw BLOCK | figures | schema`: the library read from disk, checked, compiled, released.
// Nothing of a running server is touched.
import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import canonicalize from 'canonicalize'
import { auditEdition, breachInWords, compileLibrary, diffEditions, flowVersions, librarySchemas } from '#graphs/author'
import type { Audit, LibraryProblem, SourceFile } from '#graphs/author'
import type { Edition, Result } from '#graphs'
import { draw, figures, writePictures } from './drawing.ts'

const GRAPHS = join(import.meta.dirname, '..', '..', 'graphs')
const LIBRARY = join(GRAPHS, 'library')
const EDITIONS = join(GRAPHS, 'editions')

/** Every YAML file of the library, paths relative to it, in order of name. */
export function readLibrary(folder = LIBRARY): SourceFile[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.ya?ml$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
    .toSorted()
    .map((path) => ({ path: relative(folder, path).replaceAll('\\', '/'), text: readFileSync(path, 'utf8') }))
}

export function releasedIndex(folder = EDITIONS): { [number: string]: string } {
  const index = join(folder, 'index.json')
  return existsSync(index) ? (JSON.parse(readFileSync(index, 'utf8')) as { [number: string]: string }) : {}
}

export function releasedEdition(number: number, folder = EDITIONS): Edition {
  return JSON.parse(readFileSync(join(folder, `${number}.json`), 'utf8')) as Edition
}

/** Bytes of an edition: RFC 8785 JSON, and their SHA-256. */
export function editionBytes(edition: Edition): { text: string; hash: string } {
  const text = canonicalize(edition) ?? ''
  return { text, hash: createHash('sha256').update(text).digest('hex') }
}

function say(line: string): void {
  process.stdout.write(`${line}\n`)
}

function printProblems(problems: readonly LibraryProblem[]): void {
  for (const problem of problems) {
    const step = problem.step === undefined ? '' : ` ${problem.step}:`
    const mend = problem.mend === undefined ? '' : ` (${problem.mend})`
    say(`library/${problem.file}:${problem.line}:${step} ${problem.message}${mend}`)
  }
}

function problemsOf(result: Result<Edition>): readonly LibraryProblem[] {
  return result.ok ? [] : ((result.problem.details?.problems ?? []) as readonly LibraryProblem[])
}

function check(): number {
  const result = compileLibrary(readLibrary())
  printProblems(problemsOf(result))
  if (!result.ok) {
    say(result.problem.message)
    return 1
  }
  const audit = auditEdition(result.value, () => performance.now())
  printAudit(audit)
  const steps = Object.values(result.value.blocks).reduce((sum, block) => sum + Object.keys(block.steps).length, 0)
  const size = `${Object.keys(result.value.blocks).length} blocks, ${steps} steps`
  const open = audit.rules.reduce((sum, rule) => sum + rule.open.length, 0)
  const left = open === 0 ? '' : ` The audit left ${count(open, 'place')} open: neither shown to be safe nor walked to a breach.`
  if (audit.breaches.length > 0) say(`The library breaks a rule in ${count(audit.breaches.length, 'place')}: ${size}.${left}`)
  else say(`The library is sound: ${size}.${left}`)
  return audit.breaches.length === 0 ? 0 : 1
}

/** One line for each rule, then every breach with its way, then what the search could settle neither way. */
function printAudit({ rules, breaches }: Audit): void {
  for (const { rule, name, places, milliseconds, open } of rules) {
    const left = open.length === 0 ? '' : `, ${open.length} left open`
    say(
      `Rule ${String(rule).padStart(2)}  ${String(places).padStart(7)} places ${(milliseconds / 1000).toFixed(2).padStart(6)} s  ${name}${left}`,
    )
  }
  for (const breach of breaches) for (const line of breachInWords(breach)) say(line)
  for (const { rule, open } of rules) for (const { block, step, says } of open) say(`Open, rule ${rule}: ${block}.${step}: ${says}`)
}

function count(number: number, what: string): string {
  return number === 1 ? `1 ${what}` : `${number} ${what}s`
}

/** What forbids a release although the library compiles; the audit, unless a caller knows better. */
export type Judge = (edition: Edition) => readonly string[]

const byAudit: Judge = (edition) => auditEdition(edition, () => performance.now()).breaches.flatMap((breach) => [...breachInWords(breach)])

/** Writes the next edition, or nothing at all. */
export function release(folder = EDITIONS, library = LIBRARY, judge = byAudit): number {
  const index = releasedIndex(folder)
  const altered = Object.entries(index).filter(([each, hash]) => fileHash(folder, each) !== hash)
  if (altered.length > 0)
    return refuseRelease(`Edition ${altered.map(([each]) => each).join(', ')} is not what was released. Put the released file back.`)
  const last = Math.max(0, ...Object.keys(index).map(Number))
  const result = compileLibrary(readLibrary(library), last + 1)
  if (!result.ok) {
    printProblems(problemsOf(result))
    return refuseRelease(result.problem.message)
  }
  const breaches = judge(result.value)
  for (const line of breaches) say(line)
  if (breaches.length > 0) return refuseRelease('A safety rule can be broken: close every way that is printed above.')
  const before = last === 0 ? undefined : releasedEdition(last, folder)
  const edition = { ...result.value, versions: flowVersions(result.value, before) }
  if (before !== undefined && editionBytes(withoutNumbers(before)).hash === editionBytes(withoutNumbers(edition)).hash) {
    say(`Nothing has changed since edition ${last}.`)
    return 0
  }
  const { text, hash } = editionBytes(edition)
  const file = join(folder, `${last + 1}.json`)
  if (existsSync(file)) return refuseRelease(`${last + 1}.json is there and not in the index. Take it away, then release again.`)
  mkdirSync(folder, { recursive: true })
  try {
    writeFileSync(`${file}.new`, text)
    renameSync(`${file}.new`, file)
    writeFileSync(join(folder, 'index.json.new'), `${JSON.stringify({ ...index, [last + 1]: hash }, undefined, 2)}\n`)
    renameSync(join(folder, 'index.json.new'), join(folder, 'index.json'))
  } catch (error) {
    for (const left of [`${file}.new`, file, join(folder, 'index.json.new')]) rmSync(left, { recursive: true, force: true })
    return refuseRelease(`The edition cannot be written: ${error instanceof Error ? error.message : String(error)}`)
  }
  say(`Released edition ${last + 1}, ${hash}.`)
  for (const [flow, version] of Object.entries(edition.versions)) say(`  ${flow}, version ${version}`)
  return 0
}

function refuseRelease(why: string): number {
  say(`Not released. ${why}`)
  return 1
}

function fileHash(folder: string, number: string): string {
  const file = join(folder, `${number}.json`)
  return existsSync(file) ? createHash('sha256').update(readFileSync(file)).digest('hex') : ''
}

/** What an edition says, whatever its number. */
function withoutNumbers(edition: Edition): Edition {
  const { versions: _versions, ...rest } = edition
  return { ...rest, number: 0 }
}

function compiledOrReleased(name: string | undefined): Edition | undefined {
  if (name !== undefined && name !== 'library') return releasedEdition(Number(name))
  const result = compileLibrary(readLibrary())
  printProblems(problemsOf(result))
  if (!result.ok) return undefined
  const last = Math.max(0, ...Object.keys(releasedIndex()).map(Number))
  return { ...result.value, versions: flowVersions(result.value, last === 0 ? undefined : releasedEdition(last)) }
}

function diff(before: string | undefined, after: string | undefined): number {
  const [old, fresh] = [compiledOrReleased(before), compiledOrReleased(after)]
  if (old === undefined || fresh === undefined) return 1
  const { lines, stays } = diffEditions(old, fresh)
  for (const line of lines.length === 0 ? ['No difference.'] : lines) say(line)
  say('')
  say(stays.length === 0 ? 'Every job under way can go over.' : 'Jobs under way can go over, unless they have come by what is gone:')
  for (const place of stays) say(`  ${place}`)
  return 0
}

/** The pictures of a released edition, beside it: not part of its hash, and drawn anew whenever they are wanted. */
async function pictures(number: string | undefined, folder = EDITIONS): Promise<number> {
  const wanted = number ?? String(Math.max(0, ...Object.keys(releasedIndex(folder)).map(Number)))
  if (releasedIndex(folder)[wanted] === undefined) {
    say('Name a released edition, for example: pictures 1')
    return 1
  }
  return await writePictures(releasedEdition(Number(wanted), folder), join(folder, `${wanted}.pictures`), say)
}

async function releaseWithPictures(): Promise<number> {
  const before = Object.keys(releasedIndex()).length
  const code = release()
  return code === 0 && Object.keys(releasedIndex()).length > before ? await pictures(undefined) : code
}

async function onEdition(act: (edition: Edition) => number | Promise<number>): Promise<number> {
  const edition = compiledOrReleased(undefined)
  return edition === undefined ? 1 : await act(edition)
}

export async function main(args: readonly string[]): Promise<number> {
  const [verb, first, second] = args
  switch (verb) {
    case 'check':
      return check()
    case 'release':
      return await releaseWithPictures()
    case 'pictures':
      return await pictures(first)
    case 'diff':
      return diff(first, second)
    case 'draw':
      return await onEdition(async (edition) => await draw(edition, args.slice(1), say))
    case 'figures':
      return await onEdition((edition) => figures(edition, args.slice(1), say))
    case 'schema':
      say(JSON.stringify(librarySchemas(), undefined, 2))
      return 0
    default:
      say('Use: check | release | pictures N | diff A B | draw BLOCK | figures | schema')
      return 2
  }
}

if (import.meta.main) {
  // Whoever reads only the first lines of it has heard enough.
  process.stdout.on('error', () => process.exit())
  process.exitCode = await main(process.argv.slice(2))
}
