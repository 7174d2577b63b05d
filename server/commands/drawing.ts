// What `draw`, `figures` and `pictures` write: a block as picture, text or state chart, the table of faults and tests, and the pictures beside an edition.
// Which edition is read is the caller's matter.
import { mkdirSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { dmatrixOf, drawFlow, scxmlOf } from '#graphs/author'
import type { Edition } from '#graphs'
import { drawPicture } from './layout.ts'

type Say = (line: string) => void

const DRAW_USE = 'Use: draw BLOCK [--text | --scxml] [--out FILE], for example: draw overheating --out overheating.svg'

export async function draw(edition: Edition, args: readonly string[], say: Say): Promise<number> {
  const options = { text: { type: 'boolean' }, scxml: { type: 'boolean' }, out: { type: 'string' } } as const
  const { values, positionals, unread } = read(args, options)
  const name = positionals[0] ?? 'overheating'
  const block = Object.hasOwn(edition.blocks, name) ? edition.blocks[name] : undefined
  if (unread || block === undefined) {
    say(block === undefined ? `No block of the library is named so. ${DRAW_USE}` : DRAW_USE)
    return 1
  }
  if (values.text === true) return put(`${drawFlow(block)}\n`, values.out, say)
  if (values.scxml === true) return put(scxmlOf(block, edition), values.out, say)
  return put(await drawPicture(block, edition), values.out ?? `${name}.svg`, say)
}

export function figures(edition: Edition, args: readonly string[], say: Say): number {
  const { values, positionals, unread } = read(args, { out: { type: 'string' } } as const)
  const slug = positionals[0] ?? Object.keys(edition.families)[0] ?? ''
  const family = Object.hasOwn(edition.families, slug) ? edition.families[slug] : undefined
  if (unread || family === undefined) {
    say(`Use: figures FAMILY [--out FILE]. Families: ${Object.keys(edition.families).join(', ')}.`)
    return 1
  }
  return put(dmatrixOf(family), values.out, say)
}

/** All pictures or none: they are drawn first, then take the place of the old ones. */
export async function writePictures(edition: Edition, folder: string, say: Say): Promise<number> {
  const fresh = `${folder}.new`
  rmSync(fresh, { recursive: true, force: true })
  mkdirSync(fresh, { recursive: true })
  let bytes = 0
  for (const block of Object.values(edition.blocks)) {
    const picture = await drawPicture(block, edition)
    writeFileSync(join(fresh, `${block.id}.svg`), picture)
    bytes += Buffer.byteLength(picture)
  }
  rmSync(folder, { recursive: true, force: true })
  renameSync(fresh, folder)
  say(`Drew ${Object.keys(edition.blocks).length} pictures of edition ${edition.number}, ${Math.round(bytes / 1000)} kB.`)
  return 0
}

function put(text: string, file: string | undefined, say: Say): number {
  if (file === undefined) say(text.replace(/\r?\n$/, ''))
  else {
    writeFileSync(file, text)
    say(`Wrote ${file}, ${Math.round(Buffer.byteLength(text) / 1000)} kB.`)
  }
  return 0
}

type Options = { readonly [name: string]: { readonly type: 'boolean' | 'string' } }
type Values = { readonly text?: boolean; readonly scxml?: boolean; readonly out?: string }

function read(args: readonly string[], options: Options): { values: Values; positionals: string[]; unread: boolean } {
  try {
    const { values, positionals } = parseArgs({ args: [...args], options: { ...options }, allowPositionals: true })
    return { values: values as Values, positionals, unread: positionals.length > 1 }
  } catch {
    return { values: {}, positionals: [], unread: true }
  }
}
