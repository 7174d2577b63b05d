// Where the server begins: what Node makes of the source is kept from start to start, so that all but the first are quick and small.
// It must come before anything else is read; the start itself is start.ts.
import { enableCompileCache, flushCompileCache } from 'node:module'
import { fileURLToPath } from 'node:url'

enableCompileCache(fileURLToPath(new URL('../node_modules/.cache/compiled', import.meta.url)))
const { start } = await import('./start.ts')
await start()
flushCompileCache()
