// How the two pages are built: the staff's page and the homeowner's, each with its own script, styles in files, nothing inline.
// No product behaviour lives here.
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
import { defineConfig } from 'vite'
import type { Plugin } from 'vite'

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url))

/** Each built file also as .gz, for servers that send files as they are. */
function packed(): Plugin {
  return {
    name: 'packed',
    apply: 'build',
    generateBundle: {
      order: 'post',
      handler(_options, bundle) {
        for (const [fileName, file] of Object.entries(bundle)) {
          if (!/\.(js|css|html|svg)$/.test(fileName)) continue
          const source = gzipSync(file.type === 'chunk' ? file.code : file.source, { level: 9 })
          this.emitFile({ type: 'asset', fileName: `${fileName}.gz`, source })
        }
      },
    },
  }
}

export default defineConfig({
  root: here('.'),
  base: '/',
  cacheDir: here('../node_modules/.vite'),
  plugins: [packed()],
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  build: {
    outDir: here('./dist'),
    emptyOutDir: true,
    target: 'es2022',
    // A picture turned into a data: address would be refused by the page's own content policy.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
    rolldownOptions: { input: { index: here('./index.html'), homeowner: here('./homeowner.html') } },
  },
})
