// The whole tree as the tidy rules see it: every text file that belongs to the project, and the names at the top level.
// It only reads; what is right or wrong about a file is said by the rules.
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { createSource } from './source.ts'
import type { Source } from './source.ts'

export type Tree = { readonly top: readonly string[]; readonly files: readonly Source[] }

// What git ignores or what is made by a program. Released editions are data and are compared by a test of their own.
const NOT_OURS = /^(node_modules|\.git|\.cache|data|test-results|web\/dist|graphs\/editions)$|\.log$/
const TEXT = /\.(ts|tsx|js|mjs|json|jsonc|yaml|yml|md|css|html|hbs|svg|txt|webmanifest)$|(^|\/)\.[a-z]+(rc|config|ignore)?$|^\.ci\//

export function readTree(root: string): Tree {
  const files: Source[] = []
  const visit = (folder: string): void => {
    for (const entry of readdirSync(join(root, folder), { withFileTypes: true })) {
      const path = folder === '' ? entry.name : `${folder}/${entry.name}`
      if (NOT_OURS.test(path)) continue
      if (entry.isDirectory()) visit(path)
      else if (TEXT.test(path)) files.push(createSource(path, readFileSync(join(root, path), 'utf8')))
    }
  }
  visit('')
  const top = readdirSync(root).filter((name) => !NOT_OURS.test(name))
  return { top, files: files.toSorted((a, b) => (a.path < b.path ? -1 : 1)) }
}

/** A tree made of texts, so that a rule can be shown a bad one. */
export function createTree(texts: { readonly [path: string]: string }): Tree {
  const files = Object.entries(texts).map(([path, text]) => createSource(path, text))
  return { top: [...new Set(files.map((file) => file.path.replace(/\/.*$/, '')))], files }
}
