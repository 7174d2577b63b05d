// What graphs/ must not touch, and what to use in its place: it has no clock, no chance, no disk, no network and no screen.
// The narrow compiler settings of graphs/ refuse most of it too; this rule also names the way out.
import { childNode, childNodes, createBreach, walk } from './source.ts'
import type { Breach, Node, Source } from './source.ts'

const CLOCK = 'take `now` as an argument.'
const LATER = 'return what is due and when; the shell waits.'

const GLOBALS: { readonly [name: string]: string } = {
  console: 'return the words, or a Problem; the shell prints.',
  process: 'take the setting as an argument.',
  fetch: 'take the data as an argument; the shell fetches.',
  setTimeout: LATER,
  setInterval: LATER,
  setImmediate: LATER,
  queueMicrotask: LATER,
  crypto: 'take `hash` or the ids as an argument.',
  performance: CLOCK,
  globalThis: 'take what you need as an argument.',
}

const MEMBERS: { readonly [member: string]: string } = {
  'Date.now': CLOCK,
  'Math.random': 'take the random numbers or the ids as an argument.',
}

export function checkPureRule(source: Source): Breach[] {
  if (source.folder !== 'graphs' || source.program === null) return []
  const found: Breach[] = []
  const say = (node: Node, what: string, instead: string): void => {
    found.push(createBreach(source, node.start, `${what} is not for graphs/: ${instead}`))
  }
  walk(source.program, (node, parent, key) => {
    for (const member of namedMembers(node)) {
      const instead = MEMBERS[member]
      if (instead !== undefined) say(node, member, instead)
    }
    if (readsTheClock(node)) say(node, 'Date() of this moment', CLOCK)
    if (node.type !== 'Identifier' || typeof node['name'] !== 'string' || !isReference(node, parent, key)) return
    const instead = Object.hasOwn(GLOBALS, node['name']) ? GLOBALS[node['name']] : undefined
    if (instead !== undefined) say(node, node['name'], instead)
  })
  return found
}

/** `Date.now`, `Date['now']` and `const { now } = Date` all give "Date.now". */
function namedMembers(node: Node): string[] {
  if (node.type === 'MemberExpression') {
    const property = childNode(node, 'property')
    const name = node['computed'] === true ? property?.['value'] : property?.['name']
    return [`${String(childNode(node, 'object')?.['name'])}.${String(name)}`]
  }
  if (node.type !== 'VariableDeclarator') return []
  const pattern = childNode(node, 'id')
  if (pattern?.type !== 'ObjectPattern') return []
  return childNodes(pattern, 'properties').map(
    (property) => `${String(childNode(node, 'init')?.['name'])}.${String(childNode(property, 'key')?.['name'])}`,
  )
}

function readsTheClock(node: Node): boolean {
  if (childNode(node, 'callee')?.['name'] !== 'Date') return false
  return node.type === 'CallExpression' || (node.type === 'NewExpression' && childNodes(node, 'arguments').length === 0)
}

/** False for the name of a property, a label or something in a type: only what stands for a value counts. */
function isReference(node: Node, parent: Node | null, key: string): boolean {
  if (parent === null) return false
  if (parent.type.startsWith('TS') && key !== 'expression') return false
  if (parent.type === 'MemberExpression') return key === 'object' || parent['computed'] === true
  if (key === 'key') return parent['computed'] === true
  if (key === 'label') return false
  return !['ImportSpecifier', 'ExportSpecifier'].includes(parent.type) || key === 'local'
}
