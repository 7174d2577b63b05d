// The built pages as they go out: which file for which address, how long it may be kept, and the headers around it.
// What is on the pages is tested by the walks.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { gunzipSync, gzipSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { ask, openJob } from './client.ts'
import { createFolder, createTestServer } from './edition.ts'
import type { TestServer } from './edition.ts'

const folder = createFolder()
let server: TestServer
beforeAll(async () => {
  mkdirSync(join(folder.path, 'assets'))
  writeFileSync(join(folder.path, 'index.html'), '<p>staff page</p>')
  writeFileSync(join(folder.path, 'homeowner.html'), '<p>homeowner page</p>')
  writeFileSync(join(folder.path, 'sw.js'), '// worker')
  writeFileSync(join(folder.path, 'assets', 'log-3f2a1b.js'), 'export {}')
  for (const name of ['index.html', 'assets/log-3f2a1b.js']) {
    const path = join(folder.path, name)
    writeFileSync(`${path}.gz`, gzipSync(readFileSync(path)))
  }
  server = await createTestServer({ pages: folder.path })
})
afterAll(async () => {
  await server.close()
  folder.remove()
})

describe('addresses', () => {
  test.each([
    ['/', 'staff page'],
    ['/job/any-token', 'staff page'],
    ['/h/any-token', 'homeowner page'],
  ])('%s gives the %s, asked for anew each time', async (url, words) => {
    const reply = await ask(server.app, 'GET', url)
    expect([reply.status, reply.text]).toEqual([200, `<p>${words}</p>`])
    expect(reply.type).toContain('text/html')
    expect(reply.headers['cache-control']).toBe('no-cache')
  })

  test('files with a hash in their name may be kept for ever, others not', async () => {
    expect((await ask(server.app, 'GET', '/assets/log-3f2a1b.js')).headers['cache-control']).toContain('immutable')
    expect((await ask(server.app, 'GET', '/sw.js')).headers['cache-control']).toBe('no-cache')
  })

  test.each(['/assets/../../secret', '/..%2f..%2fetc%2fpasswd', '/assets/%2e%2e/%2e%2e/package.json', '/.hidden'])(
    '%s leads nowhere',
    async (url) => {
      expect([403, 404]).toContain((await ask(server.app, 'GET', url)).status)
    },
  )

  test('a person who is lost gets a sentence, a program a problem', async () => {
    const page = await ask(server.app, 'GET', '/nowhere', undefined, { accept: 'text/html,*/*' })
    expect([page.status, page.type]).toEqual([404, 'text/html; charset=utf-8'])
    expect(page.text).toContain('start page')
    expect((await ask(server.app, 'GET', '/nowhere')).body.code).toBe('REQUEST_ROUTE_UNKNOWN')
    expect((await ask(server.app, 'GET', '/api/nowhere', undefined, { accept: 'text/html' })).body.code).toBe('REQUEST_ROUTE_UNKNOWN')
  })
})

describe('packed copies', () => {
  test.each([
    ['/', 'text/html', 'no-cache', '<p>staff page</p>'],
    ['/job/any-token', 'text/html', 'no-cache', '<p>staff page</p>'],
    ['/assets/log-3f2a1b.js', 'javascript', 'public, max-age=31536000, immutable', 'export {}'],
  ])('%s goes out packed to whoever asks for it so', async (url, type, kept, text) => {
    const reply = await server.app.inject({ method: 'GET', url, headers: { 'accept-encoding': 'br, gzip' } })
    expect([reply.statusCode, reply.headers['content-encoding']]).toEqual([200, 'gzip'])
    expect(reply.headers['content-type']).toContain(type)
    expect(reply.headers['cache-control']).toBe(kept)
    expect(reply.headers.vary).toContain('accept-encoding')
    expect(gunzipSync(reply.rawPayload).toString()).toBe(text)
  })

  test('whoever does not ask gets the file as it is, and so does everybody where no packed copy lies', async () => {
    const plain = await ask(server.app, 'GET', '/assets/log-3f2a1b.js')
    expect([plain.headers['content-encoding'], plain.text]).toEqual([undefined, 'export {}'])
    const single = await ask(server.app, 'GET', '/h/any-token', undefined, { 'accept-encoding': 'gzip' })
    expect([single.headers['content-encoding'], single.text]).toEqual([undefined, '<p>homeowner page</p>'])
  })
})

test('every reply, page or not, carries the strict headers', async () => {
  const job = await openJob(server.app)
  const urls = [
    '/',
    '/h/any',
    '/job/any',
    '/assets/log-3f2a1b.js',
    '/nowhere',
    '/livez',
    `/api/jobs/${job.staff_token}/view`,
    '/api/jobs/none/view',
  ]
  for (const url of urls) {
    const { headers } = await ask(server.app, 'GET', url)
    expect(headers['content-security-policy']).toMatch(/^default-src 'self';/)
    expect(headers['content-security-policy']).not.toContain('unsafe')
    expect(headers['x-content-type-options']).toBe('nosniff')
    expect(headers['referrer-policy']).toBe('no-referrer')
    expect(headers['x-robots-tag']).toBe('noindex')
  }
})

test('pages that are not built are said so in a sentence, and the API works all the same', async () => {
  const bare = await createTestServer()
  for (const url of ['/', '/job/any', '/h/any']) {
    const reply = await ask(bare.app, 'GET', url)
    expect([reply.status, reply.type]).toEqual([503, 'text/html; charset=utf-8'])
    expect(reply.text).toContain('npm run prepare')
  }
  expect((await ask(bare.app, 'GET', '/livez')).status).toBe(200)
  await bare.close()
})
