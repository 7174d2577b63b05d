// Rules about one file and its form: length, names, header, how it imports, and whether Node can run it as it stands.
// Rules that need more than one file stand in tree-rules.ts.
import { stripTypeScriptTypes } from 'node:module'
import { posix } from 'node:path'
import { childNode, childNodes, createBreach, lineAt, walk } from './source.ts'
import type { Breach, Node, Source } from './source.ts'

const FILE_LINES_MAX = 400
const TEST_FILE_LINES_MAX = 800
const FUNCTION_LINES_MAX = 70
const NAMES_THAT_SAY_NOTHING = ['util', 'utils', 'helper', 'helpers', 'type', 'types', 'misc']

export function checkFileLength(source: Source): Breach[] {
  if (source.program === null) return []
  const lines = source.text.replace(/\n$/, '').split('\n').length
  const most = source.folder === 'tests' ? TEST_FILE_LINES_MAX : FILE_LINES_MAX
  return lines <= most ? [] : [createBreach(source, 0, `${lines} lines, ${most} at most: give one of its subjects a file of its own.`)]
}

export function checkFunctionLength(source: Source): Breach[] {
  const found: Breach[] = []
  if (source.program === null) return found
  walk(source.program, (node, parent) => {
    if (!/^(FunctionDeclaration|FunctionExpression|ArrowFunctionExpression)$/.test(node.type) || isDescribe(parent)) return
    const lines = lineAt(source.text, node.end) - lineAt(source.text, node.start) + 1
    if (lines > FUNCTION_LINES_MAX) {
      found.push(createBreach(source, node.start, `a function of ${lines} lines, ${FUNCTION_LINES_MAX} at most: take a step out of it.`))
    }
  })
  return found
}

export function checkFileName(source: Source): Breach[] {
  if (source.folder === '' || source.folder.startsWith('.') || !/\.(tsx?|ya?ml)$/.test(source.path)) return []
  const name = posix.basename(source.path).replace(/\..*$/, '')
  if (NAMES_THAT_SAY_NOTHING.includes(name)) return [createBreach(source, 0, `"${name}" says nothing: name the file by the noun it holds.`)]
  return /^[a-z0-9]+(-[a-z0-9]+)*$/.test(name) ? [] : [createBreach(source, 0, 'write the name in small letters with hyphens.')]
}

export function checkHeader(source: Source): Breach[] {
  if (source.program === null || source.path.endsWith('.d.ts')) return []
  const opening = source.text.split('\n', 2)
  if (opening.length === 2 && opening.every((line) => /^(\/\/|\/\*| \*)/.test(line))) return []
  return [createBreach(source, 0, 'begin with two lines of comment: what lives here, and what must not.')]
}

export function checkImportForm(source: Source): Breach[] {
  return source.imports.flatMap((item) => {
    const found: Breach[] = []
    if (item.inlineOnly)
      found.push(createBreach(source, item.start, 'only types: write `import type { … }` for the whole line, or Node keeps it.'))
    const reason = judgeEnding(source, item.specifier)
    if (reason !== null) found.push(createBreach(source, item.start, `${item.specifier}: ${reason}`))
    return found
  })
}

function judgeEnding(source: Source, specifier: string | null): string | null {
  if (specifier === null || !specifier.startsWith('.')) return null
  if (/\.(m|c)?jsx?$/.test(specifier)) return 'there is no such file when Node runs it: write `.ts`.'
  // The bundler of web/ also takes style sheets and pictures; a question mark tells it how.
  if (source.folder === 'web' && /\.(css|svg|png|woff2|webmanifest)(\?\w+)?$|\?\w+$/.test(specifier)) return null
  return /\.(ts|tsx|json)$/.test(specifier) ? null : 'a relative import ends in `.ts`, `.tsx` or `.json`.'
}

/** Everything here runs under plain Node: types are blanked out, nothing is translated. */
export function checkNodeRuns(source: Source): Breach[] {
  const found = source.syntaxErrors.map((error) => createBreach(source, error.start, error.message))
  if (found.length > 0 || source.program === null || !['server', 'graphs'].includes(source.folder)) return found
  if (source.path.endsWith('.tsx')) found.push(createBreach(source, 0, 'Node does not run `.tsx`: screens belong in web/.'))
  else {
    try {
      stripTypeScriptTypes(source.text)
    } catch (error) {
      found.push(createBreach(source, 0, `its types cannot be blanked out: ${error instanceof Error ? error.message : String(error)}`))
    }
  }
  for (const item of source.imports) {
    if (item.specifier?.endsWith('.tsx')) found.push(createBreach(source, item.start, 'Node does not run `.tsx`.'))
  }
  walk(source.program, (node) => {
    if (node.type === 'Decorator') found.push(createBreach(source, node.start, 'Node knows no decorators: call the function yourself.'))
    if (node.type === 'AccessorProperty') found.push(createBreach(source, node.start, 'Node knows no `accessor`: write get and set.'))
  })
  return found
}

export function checkTestForm(source: Source): Breach[] {
  const found: Breach[] = []
  if (source.program === null || !/\.test(-d)?\.tsx?$/.test(source.path)) return found
  walk(source.program, (node) => {
    const callee = childNode(node, 'callee')
    if (node.type !== 'CallExpression' || callee === null || !/^(test|it|describe)$/.test(rootName(callee))) return
    const title = childNodes(node, 'arguments')[0]
    if (title !== undefined && /^(Literal|TemplateLiteral)$/.test(title.type) && /\bshould\b/i.test(textOf(source, title))) {
      found.push(createBreach(source, title.start, 'a test name states a fact, without "should".'))
    }
    if (
      callee.type === 'MemberExpression' &&
      /\.(skip|skipIf|todo)$/.test(textOf(source, callee)) &&
      !hasCommentAbove(source, node.start)
    ) {
      found.push(createBreach(source, node.start, 'say in a comment on the line above why this is skipped.'))
    }
  })
  return found
}

/** "describe" for `describe(…)`, `describe.skip(…)` and `describe.each(…)(…)`. */
function rootName(callee: Node | null): string {
  if (callee?.type === 'MemberExpression') return rootName(childNode(callee, 'object'))
  if (callee?.type === 'CallExpression') return rootName(childNode(callee, 'callee'))
  return String(callee?.['name'])
}

function textOf(source: Source, node: Node): string {
  return source.text.slice(node.start, node.end)
}

function hasCommentAbove(source: Source, start: number): boolean {
  return /^\s*(\/\/|\*)/.test(source.text.split('\n')[lineAt(source.text, start) - 2] ?? '')
}

function isDescribe(parent: Node | null): boolean {
  return parent?.type === 'CallExpression' && rootName(childNode(parent, 'callee')) === 'describe'
}
