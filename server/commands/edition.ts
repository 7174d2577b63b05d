// `npm run edition -- check | release | diff A B | draw FLOW | schema`: the library read from disk, checked, compiled, released.
// Nothing of a running server is touched.
import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import canonicalize from 'canonicalize'
import { compileLibrary, diffEditions, drawFlow, librarySchemas } from '#graphs/author'
import type { LibraryProblem, SourceFile } from '#graphs/author'
import type { Edition, Result } from '#graphs'

const GRAPHS = join(import.meta.dirname, '..', '..', 'graphs')
const LIBRARY = join(GRAPHS, 'library')
const EDITIONS = join(GRAPHS, 'editions')
const INDEX = join(EDITIONS, 'index.json')

/** Every YAML file of the library, paths relative to it, in order of name. */
export function readLibrary(folder = LIBRARY): SourceFile[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.ya?ml$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
    .toSorted()
    .map((path) => ({ path: relative(folder, path).replaceAll('\\', '/'), text: readFileSync(path, 'utf8') }))
}

export function releasedIndex(): { [number: string]: string } {
  return existsSync(INDEX) ? (JSON.parse(readFileSync(INDEX, 'utf8')) as { [number: string]: string }) : {}
}

export function releasedEdition(number: number): Edition {
  return JSON.parse(readFileSync(join(EDITIONS, `${number}.json`), 'utf8')) as Edition
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
  const steps = Object.values(result.value.blocks).reduce((sum, block) => sum + Object.keys(block.steps).length, 0)
  say(`The library is sound: ${Object.keys(result.value.blocks).length} blocks, ${steps} steps.`)
  return 0
}

function release(): number {
  const index = releasedIndex()
  const number = Math.max(0, ...Object.keys(index).map(Number)) + 1
  const result = compileLibrary(readLibrary(), number)
  if (!result.ok) {
    printProblems(problemsOf(result))
    say(`Not released. ${result.problem.message}`)
    return 1
  }
  const { text, hash } = editionBytes(result.value)
  const latest = index[String(number - 1)]
  if (latest !== undefined && editionBytes({ ...result.value, number: number - 1 }).hash === latest) {
    say(`Nothing has changed since edition ${number - 1}.`)
    return 0
  }
  mkdirSync(EDITIONS, { recursive: true })
  writeFileSync(join(EDITIONS, `${number}.json`), text, { flag: 'wx' })
  writeFileSync(INDEX, `${JSON.stringify({ ...index, [number]: hash }, undefined, 2)}\n`)
  say(`Released edition ${number}, ${hash}.`)
  return 0
}

function compiledOrReleased(name: string | undefined): Edition | undefined {
  if (name !== undefined && name !== 'library') return releasedEdition(Number(name))
  const result = compileLibrary(readLibrary())
  printProblems(problemsOf(result))
  return result.ok ? result.value : undefined
}

function diff(before: string | undefined, after: string | undefined): number {
  const [old, fresh] = [compiledOrReleased(before), compiledOrReleased(after)]
  if (old === undefined || fresh === undefined) return 1
  const lines = diffEditions(old, fresh)
  for (const line of lines.length === 0 ? ['No difference.'] : lines) say(line)
  return 0
}

function draw(flow: string | undefined): number {
  const edition = compiledOrReleased(undefined)
  const block = edition?.blocks[flow ?? 'overheating']
  if (block === undefined) {
    say('Name a block of the library, for example: draw overheating')
    return 1
  }
  say(drawFlow(block))
  return 0
}

export function main(args: readonly string[]): number {
  const [verb, first, second] = args
  switch (verb) {
    case 'check':
      return check()
    case 'release':
      return release()
    case 'diff':
      return diff(first, second)
    case 'draw':
      return draw(first)
    case 'schema':
      say(JSON.stringify(librarySchemas(), undefined, 2))
      return 0
    default:
      say('Use: check | release | diff A B | draw BLOCK | schema')
      return 2
  }
}

if (import.meta.main) process.exitCode = main(process.argv.slice(2))
