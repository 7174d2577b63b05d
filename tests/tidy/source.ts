// One file as the tidy rules see it: its text, its syntax tree and what it imports.
// No rule lives here, and nothing here reads the disk.
import { posix } from 'node:path'
import { parseSync } from 'vite'

export type Node = { readonly type: string; readonly start: number; readonly end: number; readonly [key: string]: unknown }

export type Import = {
  readonly specifier: string | null // null: an `import()` whose name is computed
  readonly form: 'static' | 'dynamic' | 're-export' | 'type'
  readonly typeOnly: boolean
  readonly inlineOnly: boolean // every name is marked `type` inside the braces, the line itself is not
  readonly start: number
}

export type Source = {
  readonly path: string
  readonly text: string
  readonly folder: string // the first part of the path: server, graphs, web, tests, or '' at the top
  readonly program: Node | null // null when the file is not TypeScript
  readonly syntaxErrors: readonly { readonly message: string; readonly start: number }[]
  readonly imports: readonly Import[]
}

export type Breach = { readonly path: string; readonly line: number; readonly message: string }

export function createSource(path: string, text: string): Source {
  const folder = path.includes('/') ? path.slice(0, path.indexOf('/')) : ''
  if (!/\.tsx?$/.test(path)) return { path, text, folder, program: null, syntaxErrors: [], imports: [] }
  const parsed = parseSync(posix.basename(path), text)
  const program = parsed.program as unknown as Node
  const syntaxErrors = parsed.errors.map((error) => ({ message: error.message, start: error.labels[0]?.start ?? 0 }))
  return { path, text, folder, program, syntaxErrors, imports: findImports(program) }
}

export function createBreach(source: Source, start: number, message: string): Breach {
  return { path: source.path, line: lineAt(source.text, start), message }
}

export function lineAt(text: string, offset: number): number {
  let line = 1
  for (let at = text.indexOf('\n'); at !== -1 && at < offset; at = text.indexOf('\n', at + 1)) line += 1
  return line
}

/** Calls `visit` for every node below and including `node`, parents first. */
export function walk(
  node: Node,
  visit: (node: Node, parent: Node | null, key: string) => void,
  parent: Node | null = null,
  key = '',
): void {
  visit(node, parent, key)
  for (const [childKey, value] of Object.entries(node)) {
    for (const child of Array.isArray(value) ? value : [value]) if (isNode(child)) walk(child, visit, node, childKey)
  }
}

export function isNode(value: unknown): value is Node {
  return typeof value === 'object' && value !== null && typeof (value as Node).type === 'string'
}

export function childNode(node: Node, key: string): Node | null {
  const value = node[key]
  return isNode(value) ? value : null
}

export function childNodes(node: Node, key: string): Node[] {
  const value = node[key]
  return Array.isArray(value) ? value.filter((child) => isNode(child)) : []
}

/** The path of the file that a relative specifier or a door of graphs/ leads to, or null for a package. */
export function resolveImport(from: string, specifier: string): string | null {
  if (specifier.startsWith('.')) return posix.join(posix.dirname(from), specifier.replace(/\?.*$/, ''))
  return DOORS[specifier] ?? null
}

export const DOORS: { readonly [specifier: string]: string } = {
  '#graphs': 'graphs/index.ts',
  '#graphs/author': 'graphs/author.ts',
  '#graphs/contract': 'graphs/contract/index.ts',
}

function findImports(program: Node): Import[] {
  const found: Import[] = []
  walk(program, (node) => {
    const from = childNode(node, 'source')
    if (from === null) return
    const specifier = typeof from['value'] === 'string' ? from['value'] : null
    const start = node.start
    if (node.type === 'ImportDeclaration') {
      found.push({
        specifier,
        form: 'static',
        typeOnly: node['importKind'] === 'type',
        inlineOnly: isInlineOnly(node, 'importKind'),
        start,
      })
    } else if (node.type === 'ExportNamedDeclaration' || node.type === 'ExportAllDeclaration') {
      found.push({
        specifier,
        form: 're-export',
        typeOnly: node['exportKind'] === 'type',
        inlineOnly: isInlineOnly(node, 'exportKind'),
        start,
      })
    } else if (node.type === 'ImportExpression') {
      found.push({ specifier, form: 'dynamic', typeOnly: false, inlineOnly: false, start })
    } else if (node.type === 'TSImportType') {
      found.push({ specifier, form: 'type', typeOnly: true, inlineOnly: false, start })
    }
  })
  return found
}

function isInlineOnly(node: Node, kind: 'importKind' | 'exportKind'): boolean {
  const specifiers = childNodes(node, 'specifiers')
  return node[kind] !== 'type' && specifiers.length > 0 && specifiers.every((specifier) => specifier[kind] === 'type')
}
