// Rules about the tree as a whole: what stands at the top, which files nobody uses, and circles of imports.
// Rules about a single file stand in the files beside this one.
import { createBreach, resolveImport } from './source.ts'
import type { Breach, Source } from './source.ts'
import type { Tree } from './tree.ts'

const TOP = ['README.md', 'DEVELOPERS.md', 'package.json', 'package-lock.json', 'tsconfig.json', 'server', 'graphs', 'web', 'tests']

export function checkTopLevel(tree: Tree): Breach[] {
  return tree.top
    .filter((name) => !name.startsWith('.') && !TOP.includes(name))
    .map((path) => ({
      path,
      line: 1,
      message: `the top level holds only ${TOP.join(', ')} and dot files: put it in the folder it serves.`,
    }))
}

/** Every source file is reached from something that is run: see `isEntry`. */
export function checkDeadFiles(tree: Tree): Breach[] {
  const code = new Map(tree.files.filter((file) => file.program !== null).map((file) => [file.path, file]))
  const reached = new Set([...code.keys()].filter((path) => isEntry(path, tree)))
  // A set that grows while it is walked: what a reached file names is reached as well.
  for (const path of reached) {
    const file = code.get(path)
    if (file === undefined) continue
    for (const target of [...importedPaths(file), ...urlPaths(file)]) if (code.has(target)) reached.add(target)
  }
  const dead = [...code.values()].filter((file) => !reached.has(file.path) && file.folder !== '')
  return dead.map((file) => createBreach(file, 0, 'nothing imports this file, and it is no entry: remove it or use it.'))
}

function isEntry(path: string, tree: Tree): boolean {
  if (path.startsWith('tests/') || path === 'server/main.ts' || path === 'web/vite.config.ts' || path.endsWith('.d.ts')) return true
  if (/^server\/commands\/[^/]+\.ts$/.test(path)) return true
  if (['graphs/index.ts', 'graphs/author.ts', 'graphs/contract/index.ts'].includes(path)) return true
  return path.startsWith('web/') && tree.files.some((file) => namesWebEntry(file, path))
}

/** A page names its script, and the build names what has no page of its own (the service worker). */
function namesWebEntry(file: Source, path: string): boolean {
  if (file.folder !== 'web' || !/\.html$|vite\.config\.ts$/.test(file.path)) return false
  const inside = path.slice('web/'.length)
  return [`"/${inside}"`, `"./${inside}"`, `"${inside}"`, `'./${inside}'`, `'${inside}'`, `'web/${inside}'`].some((name) =>
    file.text.includes(name),
  )
}

function importedPaths(file: Source): string[] {
  return file.imports.flatMap((item) => (item.specifier === null ? [] : (resolveImport(file.path, item.specifier) ?? [])))
}

function urlPaths(file: Source): string[] {
  const urls = file.text.matchAll(/new URL\(\s*['"](\.[^'"]+\.tsx?)['"],\s*import\.meta\.url/g)
  return [...urls].flatMap((match) => resolveImport(file.path, match[1] ?? '') ?? [])
}

/** Types count too: a circle of types says as well that two files are one subject. */
export function checkCircles(tree: Tree): Breach[] {
  const code = new Map(tree.files.filter((file) => file.program !== null).map((file) => [file.path, file]))
  const found: Breach[] = []
  const done = new Set<string>()
  const visit = (path: string, trail: readonly string[]): void => {
    const file = code.get(path)
    const start = trail.indexOf(path)
    if (file === undefined) return
    if (start !== -1) {
      const circle = [...trail.slice(start), path].join(' → ')
      found.push(createBreach(file, 0, `a circle of imports: ${circle}. Move what both need into a file below them.`))
    }
    if (start !== -1 || done.has(path)) return
    for (const target of new Set(importedPaths(file))) visit(target, [...trail, path])
    done.add(path)
  }
  for (const path of code.keys()) visit(path, [])
  return found
}
