// Runs every measurement of this folder and prints the figures: for people, or as JSON with --json.
// What is measured stands in the other files here, each exporting `run`; a name as argument picks one. Exit code 1: an aim was missed.
import { readdirSync } from 'node:fs'
import { basename } from 'node:path'

/** `aim` in words, "" for a figure that is only told; `holds` says whether it was reached. */
export type Measure = {
  readonly name: string
  readonly value: number
  readonly unit: string
  readonly aim: string
  readonly holds: boolean
}
type Bench = { readonly run: () => Promise<readonly Measure[]> }

async function main(args: readonly string[]): Promise<void> {
  const wanted = args.filter((arg) => !arg.startsWith('--'))
  const asJson = args.includes('--json')
  const figures: Measure[] = []
  for (const name of readdirSync(import.meta.dirname).toSorted()) {
    if (!name.endsWith('.ts') || name === basename(import.meta.filename)) continue
    if (wanted.length > 0 && !wanted.includes(basename(name, '.ts'))) continue
    const bench = (await import(new URL(name, import.meta.url).href)) as Partial<Bench>
    if (bench.run === undefined) continue
    const found = await bench.run()
    figures.push(...found)
    if (!asJson) process.stdout.write(`${basename(name, '.ts')}\n${found.map(lineOf).join('')}`)
  }
  if (asJson) process.stdout.write(`${JSON.stringify(figures, null, 2)}\n`)
  if (figures.length === 0) process.stderr.write('Nothing was measured. Name a file of tests/bench without its ending, or none for all.\n')
  process.exitCode = figures.length > 0 && figures.every((figure) => figure.holds) ? 0 : 1
}

function lineOf({ name, value, unit, aim, holds }: Measure): string {
  const number = Math.abs(value) >= 100 ? String(Math.round(value)) : value.toPrecision(3)
  return `  ${holds ? ' ' : '!'} ${name.padEnd(56)} ${number.padStart(9)} ${unit.padEnd(12)} ${aim}\n`
}

await main(process.argv.slice(2))
