// The library as it stands, compiled once for all laws; released editions are tested apart.
// The engine over it is the server's own, with machines.
import { createEngine } from '#graphs'
import type { Edition } from '#graphs'
import { compileLibrary } from '#graphs/author'
import { readLibrary } from '../../server/commands/edition.ts'

let compiled: Edition | undefined

/** Compiles the YAML library; throws with its problems in words when it is not sound. */
export function libraryEdition(): Edition {
  if (compiled === undefined) {
    const result = compileLibrary(readLibrary(), 1)
    if (!result.ok) throw new Error(`${result.problem.message}\n${JSON.stringify(result.problem.details, undefined, 1)}`)
    compiled = result.value
  }
  return compiled
}

export function libraryEngine() {
  return createEngine(libraryEdition())
}
