// The list of tidy rules by name. Each looks at a whole tree; most of them look at one file after the other.
// A rule is added here together with its planted files in planted.ts.
import {
  checkFileLength,
  checkFileName,
  checkFunctionLength,
  checkHeader,
  checkImportForm,
  checkNodeRuns,
  checkTestForm,
} from './form-rules.ts'
import { checkImportRule } from './import-rule.ts'
import { checkPureRule } from './pure-rule.ts'
import type { Breach, Source } from './source.ts'
import { checkCircles, checkDeadFiles, checkTopLevel } from './tree-rules.ts'
import type { Tree } from './tree.ts'
import { checkLooseEnds, checkMachinePaths, checkOrganising, checkRegistries } from './word-rules.ts'

export type Rule = (tree: Tree) => Breach[]

export const RULES = {
  'everybody imports only whom they may know': (tree) => tree.files.flatMap((file) => checkImportRule(file, readLibraries(tree))),
  'no imports go in a circle': checkCircles,
  'graphs has no clock, chance, network, disk or screen': eachFile(checkPureRule),
  'a file is short': eachFile(checkFileLength),
  'a function is short': eachFile(checkFunctionLength),
  'a file is named by the noun it holds': eachFile(checkFileName),
  'a file opens with two lines on what lives there': eachFile(checkHeader),
  'an import is written so that Node finds it': eachFile(checkImportForm),
  'Node runs the source as it stands': eachFile(checkNodeRuns),
  'a test name is a fact, and a skipped test has a reason': eachFile(checkTestForm),
  'no loose ends are left': eachFile(checkLooseEnds),
  'no path of one machine is named': eachFile(checkMachinePaths),
  'no registry is named': eachFile(checkRegistries),
  'the tree speaks of the product only': eachFile(checkOrganising),
  'no file is dead': checkDeadFiles,
  'the top level holds only its own names': checkTopLevel,
} as const satisfies { readonly [name: string]: Rule }

export type RuleName = keyof typeof RULES

function eachFile(check: (source: Source) => Breach[]): Rule {
  return (tree) => tree.files.flatMap((file) => check(file))
}

function readLibraries(tree: Tree): string[] {
  const manifest = tree.files.find((file) => file.path === 'package.json')
  if (manifest === undefined) return []
  const { dependencies } = JSON.parse(manifest.text) as { dependencies?: { [name: string]: string } }
  return Object.keys(dependencies ?? {})
}
