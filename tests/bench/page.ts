// How much script a technician's phone loads for its page, packed as it goes out.
// Measured on what was built last; how it is built is web/vite.config.ts.
import { existsSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
import type { Measure } from './main.ts'

const BUILT = new URL('../../web/dist/', import.meta.url)
const AIM_KB = 60

/** Scripts that a page or a script names, wherever in its text; those loaded later count too. */
function scriptsIn(text: string): string[] {
  return [...text.matchAll(/["'`](?:\.\/|\/)?((?:assets\/)?[\w.-]+\.js)["'`]/g)].flatMap((match) => {
    const name = (match[1] ?? '').replace(/^assets\//, '')
    return existsSync(new URL(`assets/${name}`, BUILT)) ? [`assets/${name}`] : []
  })
}

function packedKb(path: string): number {
  return gzipSync(readFileSync(new URL(path, BUILT)), { level: 9 }).length / 1000
}

export async function run(): Promise<Measure[]> {
  if (!existsSync(new URL('index.html', BUILT))) throw new Error(`No page lies in ${fileURLToPath(BUILT)}. Run "npm run prepare" first.`)
  const scripts = new Set(scriptsIn(readFileSync(new URL('index.html', BUILT), 'utf8')))
  // A set that grows while it is walked: what a script names is loaded as well.
  for (const path of scripts) for (const named of scriptsIn(readFileSync(new URL(path, BUILT), 'utf8'))) scripts.add(named)
  const value = [...scripts].reduce((sum, path) => sum + packedKb(path), 0)
  return [
    { name: "scripts of the technician's page, gzip -9", value, unit: 'kB', aim: `at most ${AIM_KB}`, holds: value <= AIM_KB },
    { name: 'files they come in', value: scripts.size, unit: 'files', aim: '', holds: true },
  ]
}
