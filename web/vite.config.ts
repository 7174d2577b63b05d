// How the two pages are built: the staff's page and the homeowner's, each with its own script, styles in files, nothing inline.
// No product behaviour lives here.
import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vite'

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url))

export default defineConfig({
  root: here('.'),
  base: '/',
  cacheDir: here('../node_modules/.vite'),
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: here('./dist'),
    emptyOutDir: true,
    target: 'es2022',
    // A picture turned into a data: address would be refused by the page's own content policy.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rolldownOptions: { input: { index: here('./index.html'), homeowner: here('./homeowner.html') } },
  },
})
