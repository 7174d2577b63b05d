// Who may import whom: graphs stands alone, server and web each know graphs and never each other.
// The layout it guards is told in DEVELOPERS.md; the narrow compiler settings of each folder guard it a second time.
import { isBuiltin } from 'node:module'
import { createBreach, resolveImport } from './source.ts'
import type { Breach, Import, Source } from './source.ts'

const ONLY_GRAPHS = ['xstate', 'yaml']
const ONLY_WEB = ['preact', 'idb']
const ONLY_SERVER = ['fastify', '@fastify/static', '@fastify/swagger', 'fastify-type-provider-zod', 'handlebars', 'pino', 'zod']
const ONLY_TOOLS = ['vite', 'typescript']

export function checkImportRule(source: Source, libraries: readonly string[]): Breach[] {
  const judge = JUDGES[source.folder]
  if (judge === undefined || isToolConfig(source.path)) return []
  return source.imports.flatMap((item) => {
    const reason = item.specifier === null ? COMPUTED : judge(source, item, item.specifier, libraries)
    return reason === null
      ? []
      : [createBreach(source, item.start, `${item.form} import of ${item.specifier ?? 'a computed name'}: ${reason}`)]
  })
}

const COMPUTED = 'the name must be a plain string, or nobody can see what is imported.'

type Judge = (source: Source, item: Import, specifier: string, libraries: readonly string[]) => string | null

const JUDGES: { readonly [folder: string]: Judge } = {
  graphs: judgeGraphs,
  server: judgeServer,
  web: judgeWeb,
}

function judgeGraphs(source: Source, _item: Import, specifier: string): string | null {
  if (specifier.startsWith('.')) return staysIn('graphs', source, specifier)
  if (specifier.startsWith('#')) return 'inside graphs/ import the file itself, or a circle comes about.'
  const name = packageName(specifier)
  if (name === 'xstate') return null
  if (name === 'zod') return isUnder(source, 'contract', 'edition') ? null : 'zod belongs in graphs/contract and graphs/edition only.'
  if (name === 'yaml') return isUnder(source, 'edition') ? null : 'yaml belongs in graphs/edition only.'
  return 'graphs/ imports only its own files and xstate; let the caller hand in what is needed.'
}

function judgeServer(source: Source, _item: Import, specifier: string, libraries: readonly string[]): string | null {
  if (specifier.startsWith('.')) return staysIn('server', source, specifier)
  if (specifier.startsWith('#')) return resolveImport(source.path, specifier) === null ? UNKNOWN_DOOR : null
  if (isBuiltin(specifier)) return null
  // Pictures are laid out on the author's machine, which has the development dependencies; a server that runs has not.
  if (packageName(specifier) === 'elkjs')
    return source.path.startsWith('server/commands/') ? null : 'elkjs belongs in server/commands only.'
  return judgeLibrary(specifier, libraries, [...ONLY_GRAPHS, ...ONLY_WEB, ...ONLY_TOOLS], 'server/')
}

function judgeWeb(source: Source, item: Import, specifier: string, libraries: readonly string[]): string | null {
  if (specifier.startsWith('.')) return staysIn('web', source, specifier)
  if (specifier === '#graphs') return null
  if (specifier === '#graphs/contract') return item.typeOnly ? null : 'web/ takes only types from the contract: write `import type`.'
  if (specifier.startsWith('#')) return 'web/ uses #graphs, and the types of #graphs/contract.'
  if (isBuiltin(specifier)) return 'a browser has no Node modules.'
  return judgeLibrary(specifier, libraries, [...ONLY_GRAPHS, ...ONLY_SERVER, ...ONLY_TOOLS], 'web/')
}

const UNKNOWN_DOOR = 'graphs/ has three doors: #graphs, #graphs/author, #graphs/contract.'

function judgeLibrary(specifier: string, libraries: readonly string[], elsewhere: readonly string[], folder: string): string | null {
  const name = packageName(specifier)
  if (elsewhere.includes(name)) return `${name} is not for ${folder}`
  return libraries.includes(name) ? null : `${name} is not among the dependencies in package.json.`
}

function staysIn(folder: string, source: Source, specifier: string): string | null {
  const target = resolveImport(source.path, specifier) ?? ''
  if (target.startsWith(`${folder}/`)) return null
  return target.startsWith('graphs/') ? 'use a door: #graphs, #graphs/author or #graphs/contract.' : `${folder}/ does not know that folder.`
}

function isUnder(source: Source, ...folders: string[]): boolean {
  return folders.some((folder) => source.path.startsWith(`graphs/${folder}/`))
}

function packageName(specifier: string): string {
  return specifier
    .split('/')
    .slice(0, specifier.startsWith('@') ? 2 : 1)
    .join('/')
}

function isToolConfig(path: string): boolean {
  return path === 'web/vite.config.ts'
}
