// The boot check against small stand-in servers: it passes a good one, and says in words what is wrong with each bad one.
// The real server is booted by `npm run verify`, not here.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { checkBoot, findAddress } from './boot.ts'

const root = mkdtempSync(join(tmpdir(), 'backwrench-boot-test-'))
afterAll(() => rmSync(root, { recursive: true }))

type StandIn = { readonly page?: string; readonly type?: string; readonly status?: number; readonly first?: string; readonly exit?: number }

function writeServer({ page = '<!doctype html><html></html>', type = 'text/html', status = 200, first = '', exit = 0 }: StandIn): string {
  const path = join(root, `server-${Math.random().toString(36).slice(2)}.mjs`)
  writeFileSync(
    path,
    `import { createServer } from 'node:http'
    ${first}
    const server = createServer((request, response) => {
      if (request.url === '/readyz') response.end('{}')
      else response.writeHead(${status}, { 'content-type': '${type}' }).end('${page}')
    })
    server.listen(Number(process.env.PORT), process.env.HOST, () => {
      process.stdout.write(JSON.stringify({ level: 30, msg: 'Server listening at http://' + process.env.HOST + ':' + process.env.PORT }) + '\\n')
    })
    process.on('SIGTERM', () => process.exit(${exit}))`,
  )
  return path
}

test('a server that starts, serves its page and stops passes', async () => {
  expect(await checkBoot(writeServer({}))).toMatch(/^The server started at http:\/\/127\.0\.0\.1:\d+, served its page and stopped\.$/)
})

test('a server gets a folder of its own for its data', async () => {
  const first = `if (!process.env.DATA_DIR.includes('backwrench-boot-')) process.exit(3)`
  expect(await checkBoot(writeServer({ first }))).toMatch(/stopped/)
})

test.each([
  [
    'ends by itself',
    { first: `console.error('PORT is taken.'); process.exit(2)` },
    /ended by itself with exit code 2[\s\S]*PORT is taken\./,
  ],
  ['does not parse', { first: 'const = 1' }, /ended by itself with exit code 1[\s\S]*SyntaxError/],
  ['has no page', { status: 404 }, /GET \/ answered with status 404 instead of 200/],
  ['serves something else', { type: 'application/json' }, /application\/json instead of text\/html/],
  ['serves an empty page', { page: '' }, /no page/],
  ['stops with an error', { exit: 7 }, /ended with 7 instead of exit code 0/],
])('a server that %s fails in words', async (_what, standIn, words) => {
  await expect(checkBoot(writeServer(standIn))).rejects.toThrow(words)
})

test('the address is read from the line that pino prints', () => {
  const line = '{"level":30,"time":1,"pid":2,"hostname":"a","msg":"Server listening at http://127.0.0.1:8080"}'
  expect(findAddress(`{"level":30,"msg":"hello"}\n${line}\n`)).toBe('http://127.0.0.1:8080')
  expect(findAddress('{"level":30,"msg":"hello"}')).toBeNull()
})
