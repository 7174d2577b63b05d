// The table of errors in DEVELOPERS.md against the codes in the program, both ways; and retired codes stay retired.
// What each code is used for is tested where it is used.
import { existsSync, readFileSync } from 'node:fs'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { describe, expect, test } from 'vitest'

const ROOT = new URL('..', import.meta.url)
const TABLES = ['graphs/errors.ts', 'server/errors.ts', 'web/errors.ts']

type Documented = { readonly living: readonly string[]; readonly retired: readonly string[]; readonly withoutMeaning: readonly string[] }

/** Reads the rows `| \`CODE\` | meaning |` under the heading "Errors", whatever stands above, below or between. */
function readErrorsTable(markdown: string): Documented {
  const living: string[] = []
  const retired: string[] = []
  const withoutMeaning: string[] = []
  let errorsLevel = 0
  let retiredLevel = 0
  for (const line of markdown.split('\n')) {
    const heading = /^(#{1,6})\s+(.*)$/.exec(line)
    if (heading !== null) {
      const level = (heading[1] ?? '').length
      const title = heading[2] ?? ''
      if (level <= errorsLevel) errorsLevel = 0
      if (level <= retiredLevel) retiredLevel = 0
      if (/^errors\b/i.test(title)) errorsLevel = level
      if (/^retired\b/i.test(title)) retiredLevel = level
    }
    const row = /^\s*\|\s*`?([A-Z][A-Z0-9]*(?:_[A-Z0-9]+)+)`?\s*\|(.*)$/.exec(line)
    if (row === null || errorsLevel + retiredLevel === 0) continue
    const code = row[1] ?? ''
    if (retiredLevel > 0) retired.push(code)
    else living.push(code)
    if (!/[a-z]{2}/.test(row[2] ?? '')) withoutMeaning.push(code)
  }
  return { living, retired, withoutMeaning }
}

/** Every key that looks like a code in every table a file exports: the meanings, the statuses, the words on the screen. */
function listCodes(exported: object): string[] {
  const tables = Object.values(exported).filter((value): value is object => typeof value === 'object' && value !== null)
  return tables.flatMap((table) => Object.keys(table)).filter((key) => /^[A-Z][A-Z0-9]*(_[A-Z0-9]+)+$/.test(key))
}

async function readCodes(): Promise<string[]> {
  const codes = new Set<string>()
  for (const file of TABLES) {
    const path = fileURLToPath(new URL(file, ROOT))
    if (existsSync(path)) for (const code of listCodes(await import(pathToFileURL(path).href))) codes.add(code)
  }
  return [...codes].toSorted()
}

describe('the errors of the program and the table in DEVELOPERS.md', async () => {
  const documented = readErrorsTable(readFileSync(new URL('DEVELOPERS.md', ROOT), 'utf8'))
  const codes = await readCodes()

  test('there are codes to compare', () => {
    expect(codes).toContain('JOB_ANSWER_NOT_OFFERED')
  })

  test('every code has a row, and every row is a code', () => {
    expect(documented.living.toSorted()).toEqual(codes)
  })

  test('every row says what the code means', () => {
    expect(documented.withoutMeaning).toEqual([])
  })

  test('a retired code is not used again', () => {
    expect(documented.retired.filter((code) => codes.includes(code))).toEqual([])
  })
})

describe('the reader of the table', () => {
  const paper = [
    '# Carrying on',
    '| `ABOVE_THE_TABLE` | not an error |',
    '## Errors',
    'Some words.',
    '### Of the core',
    '| code | what it means |',
    '|---|---|',
    '| `JOB_ENDED` | The job has ended. |',
    '|CALC_EMPTY||',
    '### Retired',
    '| `JOB_OLD` | Was split in two. |',
    '### Of the screen',
    '| `PAGE_OLD` | The page is old. |',
    '## Running',
    '| `DATA_DIR` | where the log lies |',
  ].join('\n')

  test('takes the rows under the heading only, and knows the retired ones', () => {
    expect(readErrorsTable(paper)).toEqual({
      living: ['JOB_ENDED', 'CALC_EMPTY', 'PAGE_OLD'],
      retired: ['JOB_OLD'],
      withoutMeaning: ['CALC_EMPTY'],
    })
  })

  test('finds retired codes under a heading of its own as well', () => {
    expect(readErrorsTable('## Errors\n## Retired errors\n| `JOB_OLD` | Was split. |\n## Next\n| `NO_CODE` | words |').retired).toEqual([
      'JOB_OLD',
    ])
  })

  test('finds the codes of every exported table', () => {
    const exported = { ERRORS: { JOB_ENDED: 'words' }, STATUS: { JOB_ENDED: 409, AUTH_NEEDED: 401 }, make: () => 1, limit: 3 }
    expect(new Set(listCodes(exported))).toEqual(new Set(['JOB_ENDED', 'AUTH_NEEDED']))
  })
})
