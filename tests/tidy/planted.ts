// For every tidy rule: planted trees that break it, and trees that keep it. The tidy test fails unless the rule can tell them apart.
// Words that the rules look for are put together here from two halves, so that this file itself stays clean.
import type { RuleName } from './rules.ts'

export type Planted = { readonly [path: string]: string }
export type Cases = { readonly bad: { readonly [what: string]: Planted }; readonly good: { readonly [what: string]: Planted } }

const MANIFEST = JSON.stringify({
  dependencies: { fastify: '1.0.0', preact: '1.0.0', xstate: '1.0.0', zod: '1.0.0', canonicalize: '1.0.0' },
})

function joined(...halves: string[]): string {
  return halves.join('')
}

function withManifest(path: string, text: string): Planted {
  return { 'package.json': MANIFEST, [path]: text }
}

const IMPORTS: Cases = {
  bad: {
    'graphs reads the disk': withManifest('graphs/trade/a.ts', `import { readFileSync } from 'node:fs'`),
    'graphs reads the disk, dynamically': withManifest('graphs/trade/a.ts', `const fs = await import('node:fs')`),
    'graphs passes on a server file': withManifest('graphs/trade/a.ts', `export { b } from '../../server/b.ts'`),
    'graphs passes on all of a library': withManifest('graphs/trade/a.ts', `export * from 'fastify'`),
    'graphs takes a type of a library': withManifest('graphs/trade/a.ts', `import type { FastifyInstance } from 'fastify'`),
    'graphs takes a type in passing': withManifest('graphs/trade/a.ts', `export type A = import('node:fs').Stats`),
    'graphs imports a computed name': withManifest('graphs/trade/a.ts', `export const load = (name: string) => import(name)`),
    'graphs goes out and in by its own door': withManifest('graphs/trade/a.ts', `import { b } from '#graphs'`),
    'zod outside contract and edition': withManifest('graphs/engine/a.ts', `import { z } from 'zod'`),
    'yaml outside edition': withManifest('graphs/contract/a.ts', `import { parse } from 'yaml'`),
    'server knows web': withManifest('server/a.ts', `import { b } from '../web/b.ts'`),
    'server goes past the door': withManifest('server/routes/a.ts', `import type { B } from '../../graphs/engine/b.ts'`),
    'server invents a door': withManifest('server/a.ts', `import { b } from '#graphs/engine'`),
    'server uses a library of the screen': withManifest('server/a.ts', `import { h } from 'preact'`),
    'server uses a library nobody declared': withManifest('server/a.ts', `import { b } from 'left-out'`),
    'a running server lays out pictures': withManifest('server/routes/a.ts', `const elk = await import('elkjs/lib/elk.bundled.js')`),
    'web knows server': withManifest('web/a.ts', `import type { B } from '../server/b.ts'`),
    'web runs the contract': withManifest('web/a.ts', `import { eventSchema } from '#graphs/contract'`),
    'web runs the contract, names marked one by one': withManifest('web/a.ts', `import { type B } from '#graphs/contract'`),
    'web passes the contract on': withManifest('web/a.ts', `export * from '#graphs/contract'`),
    'web ships the authors door': withManifest('web/a.ts', `import type { B } from '#graphs/author'`),
    'web uses Node': withManifest('web/a.ts', `const path = await import('node:path')`),
    'web uses a library of the server': withManifest('web/a.tsx', `import fastify from 'fastify'`),
  },
  good: {
    'graphs with its own': withManifest('graphs/engine/a.ts', `import { setup } from 'xstate'\nimport type { B } from '../trade/b.ts'`),
    'zod in contract': withManifest('graphs/contract/a.ts', `import { z } from 'zod'`),
    'zod and yaml in edition': withManifest('graphs/edition/a.ts', `import { z } from 'zod'\nimport { parse } from 'yaml'`),
    server: withManifest(
      'server/a.ts',
      `import fs from 'node:fs'\nimport f from 'fastify'\nimport { z } from '#graphs/contract'\nimport { c } from './c.ts'`,
    ),
    web: withManifest('web/a.tsx', `import { h } from 'preact'\nimport type { E } from '#graphs/contract'\nimport { view } from '#graphs'`),
    'the build of web': withManifest('web/vite.config.ts', `import { defineConfig } from 'vite'\nimport { join } from 'node:path'`),
    'a command lays out pictures': withManifest('server/commands/a.ts', `const elk = await import('elkjs/lib/elk.bundled.js')`),
    'tests know everybody': withManifest('tests/a.test.ts', `import { a } from '../server/a.ts'\nimport { b } from '../web/b.ts'`),
    'words that look like an import': withManifest(
      'graphs/trade/a.ts',
      `// import { b } from 'node:fs'\nexport const says = "import 'fastify'"`,
    ),
  },
}

const CIRCLES: Cases = {
  bad: {
    'two files': { 'graphs/a.ts': `import { b } from './b.ts'`, 'graphs/b.ts': `import { a } from './a.ts'` },
    'two files, by their types': { 'graphs/a.ts': `import type { B } from './b.ts'`, 'graphs/b.ts': `import type { A } from './a.ts'` },
    'three files, one of them by a door': {
      'server/a.ts': `import { b } from './sub/b.ts'`,
      'server/sub/b.ts': `export * from './c.ts'`,
      'server/sub/c.ts': `const a = await import('../a.ts')`,
    },
  },
  good: {
    'two ways to one file': {
      'graphs/a.ts': `import { b } from './b.ts'\nimport { c } from './c.ts'`,
      'graphs/b.ts': `import { c } from './c.ts'`,
      'graphs/c.ts': `export const c = 1`,
    },
  },
}

function inGraphs(text: string): Planted {
  return { 'graphs/trade/a.ts': text }
}

const PURE: Cases = {
  bad: {
    'Date.now': inGraphs(`export const at = Date.now()`),
    'Date.now by another spelling': inGraphs(`export const at = Date['now']()`),
    'Date.now taken apart': inGraphs(`const { now } = Date\nexport const at = now()`),
    'Date.now handed on': inGraphs(`export const clock = { now: Date.now }`),
    'new Date()': inGraphs(`export const at = new Date()`),
    'Date()': inGraphs(`export const at = Date()`),
    'Math.random': inGraphs(`export const chance = Math.random()`),
    console: inGraphs(`export function a() { console.log('a') }`),
    process: inGraphs(`export const port = process.env.PORT`),
    fetch: inGraphs(`export const page = await fetch('http://example.org')`),
    setTimeout: inGraphs(`setTimeout(() => 1, 10)`),
    crypto: inGraphs(`export const id = crypto.randomUUID()`),
    'crypto, in short': inGraphs(`export const tools = { crypto }`),
    'crypto behind a cast': inGraphs(`export const id = (crypto as unknown as { id(): string }).id()`),
    globalThis: inGraphs(`export const web = globalThis['fetch']`),
  },
  good: {
    'time and chance are arguments': inGraphs(
      `export const later = (now: number, random: () => number) => new Date(now).getTime() + random()`,
    ),
    'a property of that name': inGraphs(`export const a = (step: { process: number }) => step.process`),
    'a type of that name': inGraphs(`export type Deps = { readonly fetch: (crypto: string) => string }`),
    'in a string or comment': inGraphs(`// console.log\nexport const says = 'process and fetch'`),
    'outside of graphs': { 'server/main.ts': `export const at = Date.now()` },
  },
}

function lines(count: number): string {
  return Array.from({ length: count }, (_, at) => `export const a${at} = ${at}\n`).join('')
}

function longFunction(count: number, opening: string, closing = '}'): string {
  return `${opening}\n${'  void 0\n'.repeat(count - 2)}${closing}\n`
}

const FORM = {
  'a file is short': {
    bad: { 'a source of 401 lines': { 'server/a.ts': lines(401) }, 'a test of 801 lines': { 'tests/a.test.ts': lines(801) } },
    good: {
      'a source of 400 lines': { 'server/a.ts': lines(400) },
      'a test of 800 lines': { 'tests/a.test.ts': lines(800) },
      'a long text that is no code': { 'DEVELOPERS.md': 'a\n'.repeat(900) },
    },
  },
  'a function is short': {
    bad: {
      'a function of 71 lines': { 'graphs/a.ts': longFunction(71, 'export function a() {') },
      'an arrow of 71 lines': { 'web/a.tsx': longFunction(71, 'export const a = () => {') },
      'a method of 71 lines': { 'server/a.ts': `export class A {\n${longFunction(71, 'run() {')}}` },
      'a test of 71 lines': { 'tests/a.test.ts': longFunction(71, `test('a', () => {`, '})') },
    },
    good: {
      'a function of 70 lines': { 'graphs/a.ts': longFunction(70, 'export function a() {') },
      'a long group of tests': { 'tests/a.test.ts': longFunction(300, `describe('a', () => {`, '})') },
      'a long group of tests, for each': { 'tests/a.test.ts': longFunction(300, `describe.each([1])('a', () => {`, '})') },
    },
  },
  'a file is named by the noun it holds': {
    bad: {
      utils: { 'server/utils.ts': '' },
      helpers: { 'web/page/helpers.tsx': '' },
      types: { 'graphs/types.ts': '' },
      'utils of the tests': { 'tests/utils.test.ts': '' },
      'camel case': { 'graphs/trade/lineVoltage.ts': '' },
      'a library file with a capital': { 'graphs/library/flows/Overheating.yaml': '' },
    },
    good: {
      kebab: { 'graphs/trade/line-voltage.ts': '', 'tests/a.test-d.ts': '' },
      'helpers within a name': { 'server/notes/note-helpers.ts': '' },
    },
  },
  'a file opens with two lines on what lives there': {
    bad: { 'no header': { 'graphs/a.ts': `export const a = 1\n` }, 'one line only': { 'graphs/a.ts': `// Things.\nexport const a = 1\n` } },
    good: {
      'two lines': { 'graphs/a.ts': `// The line voltage.\n// Nothing about current.\n` },
      'a block': { 'web/a.tsx': `/**\n * The line voltage.\n */\n` },
    },
  },
  'an import is written so that Node finds it': {
    bad: {
      'no ending': { 'graphs/a.ts': `import { b } from './b'` },
      'the ending of another language': { 'graphs/a.ts': `import { b } from './b.js'` },
      dynamically: { 'server/a.ts': `const b = await import('./b.js')` },
      'a folder': { 'server/a.ts': `export * from '../server'` },
      'types marked one by one': { 'graphs/a.ts': `import { type B } from './b.ts'` },
      'types marked one by one, passed on': { 'graphs/a.ts': `export { type B, type C } from './b.ts'` },
      'a style sheet outside of web': { 'server/a.ts': `import './a.css'` },
    },
    good: {
      'as it must be': {
        'graphs/a.ts': `import { b } from './b.ts'\nimport type { C } from './c.ts'\nimport d from './d.json' with { type: 'json' }`,
      },
      'a value and a type': { 'graphs/a.ts': `import { b, type C } from './b.ts'` },
      'a package': { 'graphs/a.ts': `import { setup } from 'xstate'` },
      'a style sheet in web': { 'web/a.tsx': `import './a.css'\nimport picture from './a.svg?raw'` },
    },
  },
  'Node runs the source as it stands': {
    bad: {
      'an enum': { 'graphs/a.ts': `export enum A { x }` },
      'a parameter property': { 'server/a.ts': `export class A { constructor(private x: number) {} }` },
      'a namespace with values': { 'server/a.ts': `export namespace A { export const x = 1 }` },
      'a decorator': { 'server/a.ts': `export class A { @once run() {} }` },
      'an accessor': { 'graphs/a.ts': `export class A { accessor x = 1 }` },
      'a screen on the server': { 'server/a.tsx': `export const a = <p>a</p>` },
      'a screen imported': { 'server/a.ts': `import { a } from './a.tsx'` },
      'no TypeScript at all': { 'web/a.ts': `export const = 1` },
    },
    good: {
      'types only': { 'graphs/a.ts': `export const KINDS = { a: 1 } as const\nexport type Kind = keyof typeof KINDS` },
      'a screen in web': { 'web/a.tsx': `export const a = <p>a</p>` },
    },
  },
  'a test name is a fact, and a skipped test has a reason': {
    bad: {
      should: { 'tests/a.test.ts': `test('it should refuse', () => {})` },
      'should, for each': { 'tests/a.test.ts': `test.each([1])('%s should refuse', () => {})` },
      'skipped without a reason': { 'tests/a.test.ts': `\ntest.skip('refuses', () => {})` },
      'skipped at times without a reason': { 'tests/a.test.ts': `\ndescribe.skipIf(true)('refuses', () => {})` },
    },
    good: {
      'a fact': { 'tests/a.test.ts': `test('refuses a reading above the range', () => {})\ntest.each(['should'])('%s', () => {})` },
      'skipped with a reason': { 'tests/a.test.ts': `// Needs a second store, which this machine lacks.\ntest.skip('refuses', () => {})` },
    },
  },
} as const satisfies { readonly [name: string]: Cases }

const WORDS = {
  'no loose ends are left': {
    bad: {
      'in code': { 'graphs/a.ts': `// ${joined('FIX', 'ME')}: later` },
      'in a library file': { 'graphs/library/flows/a.yaml': `says: ${joined('TO', 'DO')}` },
      'in a paper': { 'README.md': `${joined('XX', 'X')} write this` },
    },
    good: { 'a word that holds the letters': { 'README.md': `the ${joined('TO', 'DO')}S list of mastodons` } },
  },
  'no path of one machine is named': {
    bad: {
      'a home': { 'server/a.ts': `const at = '${joined('/ho', 'me')}/somebody/a'` },
      'the folder of temporary files': { 'tests/a.test.ts': `const at = '${joined('/t', 'mp')}/a'` },
      'a folder at the top': { 'README.md': `cd ${joined('/wo', 'rk')}/main` },
      'another kind of machine': { 'README.md': `cd ${joined('C:\\Us', 'ers')}\\somebody` },
    },
    good: {
      'a path within the tree or a page': { 'README.md': `./work/main, server/home/a.ts, http://example.org${joined('/ho', 'me')}/` },
    },
  },
  'no registry is named': {
    bad: {
      'in a paper': { 'README.md': `${joined('https://regi', 'stry')}.example.org/a` },
      'in the settings of npm': { '.npmrc': `registry=${joined('http://nex', 'us')}.example.org/` },
      'in the lock': { 'package-lock.json': `{ "resolved": "https://example.org/a.tgz" }` },
    },
    good: {
      'an address that is none': { 'README.md': `https://example.org/registry/a` },
      'a lock without': { 'package-lock.json': `{ "integrity": "sha512-a" }` },
    },
  },
  'the tree speaks of the product only': {
    bad: {
      'a number of a list': { 'graphs/a.ts': `// see ${joined('iss', 'ue')} #12` },
      'who works': { 'DEVELOPERS.md': `A ${joined('sub', 'agent')} wrote it.` },
      'what was asked': { 'README.md': `as ${joined('the br', 'ief')} says` },
      'what comes after': { 'README.md': `for the ${joined('next sit', 'ting')}` },
    },
    good: {
      'words of the trade and of the libraries': {
        'graphs/a.ts': `// zod issues, Handlebars helpers, a user agent; a brief press; issue a note; sitting water`,
      },
    },
  },
} as const satisfies { readonly [name: string]: Cases }

const TREE = {
  'no file is dead': {
    bad: {
      'nobody imports it': { 'server/main.ts': '', 'server/left.ts': '' },
      'two that know only each other': { 'graphs/index.ts': '', 'graphs/a.ts': `import './b.ts'`, 'graphs/b.ts': `import './a.ts'` },
      'a script no page names': { 'web/index.html': `<script src="/main.tsx">`, 'web/main.tsx': '', 'web/old.tsx': '' },
    },
    good: {
      'reached from an entry': {
        'server/main.ts': `import './app.ts'`,
        'server/app.ts': `export * from '#graphs'`,
        'graphs/index.ts': `import './a.ts'`,
        'graphs/a.ts': '',
      },
      commands: { 'server/commands/walk.ts': '', 'graphs/author.ts': '', 'graphs/contract/index.ts': '', 'web/vite.config.ts': '' },
      'named by a page, by the build or by an address': {
        'web/index.html': `<script type="module" src="/main.tsx"></script>`,
        'web/main.tsx': `new Worker(new URL('./search.ts', import.meta.url))`,
        'web/search.ts': '',
        'web/vite.config.ts': `const input = 'offline/worker.ts'`,
        'web/offline/worker.ts': '',
      },
      'used by a test': { 'tests/a.test.ts': `import '../server/a.ts'`, 'server/a.ts': '' },
    },
  },
  'the top level holds only its own names': {
    bad: { 'a folder more': { 'docs/a.md': '' }, 'a file more': { 'vite.config.ts': '' } },
    good: {
      'the house': { 'README.md': '', 'DEVELOPERS.md': '', 'package.json': '{}', 'server/main.ts': '', '.ci/run': '', '.gitignore': '' },
    },
  },
} as const satisfies { readonly [name: string]: Cases }

export const PLANTED: { readonly [name in RuleName]: Cases } = {
  'everybody imports only whom they may know': IMPORTS,
  'no imports go in a circle': CIRCLES,
  'graphs has no clock, chance, network, disk or screen': PURE,
  ...FORM,
  ...WORDS,
  ...TREE,
}
