// Words and addresses that have no place in the tree: loose ends, paths of one machine, registries, and how the work was organised.
// The patterns are written so that they do not match themselves; nothing about the syntax of a file is judged here.
import { createBreach } from './source.ts'
import type { Breach, Source } from './source.ts'

const LOOSE_ENDS = /\b(?:FIX[M]E|TO[D]O|X[X]X)\b/g
const MACHINE_PATHS = /(?<![\w.)])(?:\/(?:work|farm|home|root|tmp|mnt|Users)\/|[A-Z]:\\Users\\)[\w.-]*/g
const REGISTRIES = /https?:\/\/[^/\s"']*(?:registry|artifactory|nexus|verdaccio|npmmirror)[^\s"']*/g
const ORGANISING = [
  /\bissues? #?\d+\b/gi,
  /\b(?:ticket|task|story|milestone|sprint|phase|sitting) #?\d+\b/gi,
  /\b(?:sub-?a[g]ents?|coding a[g]ents?|pair[- ]programm\w+|code[- ]review comments?)\b/gi,
  /\b(?:the|this|my|our) (?:brief|prompt|sprint|assignment|pull request|sitting)\b/gi,
  /\b(?:other|another|next|previous) (?:helpers?|sittings?|sprints?|assignments?|pull requests?)\b/gi,
  /\bco-authored-by\b/gi,
]

export function checkLooseEnds(source: Source): Breach[] {
  return findAll(source, LOOSE_ENDS, (word) => `${word}: finish it, or say in DEVELOPERS.md what is left.`)
}

export function checkMachinePaths(source: Source): Breach[] {
  return findAll(source, MACHINE_PATHS, (word) => `${word} exists on one machine only: work it out, or take it as a setting.`)
}

export function checkRegistries(source: Source): Breach[] {
  const found = findAll(source, REGISTRIES, (word) => `${word}: no registry address in the tree.`)
  if (source.path !== 'package-lock.json') return found
  return [...found, ...findAll(source, /"resolved": "https?:[^"]*"/g, (word) => `${word}: keep registry addresses out of the lock.`)]
}

export function checkOrganising(source: Source): Breach[] {
  return ORGANISING.flatMap((pattern) =>
    findAll(source, pattern, (word) => `"${word}" tells how the work is organised: speak of the product.`),
  )
}

function findAll(source: Source, pattern: RegExp, say: (word: string) => string): Breach[] {
  return [...source.text.matchAll(pattern)].map((match) => createBreach(source, match.index, say(match[0])))
}
