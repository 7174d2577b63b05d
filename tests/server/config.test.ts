// Settings, and what the server refuses to start on: all faults at once, each in a sentence.
// That main.ts really asks is seen by the boot test.
import { expect, test } from 'vitest'
import { checkRuntime, readConfig } from '../../server/config.ts'

test('without settings the server is for this machine only', () => {
  expect(readConfig({})).toEqual({ ok: true, value: { host: '127.0.0.1', port: 8080, dataDir: './data', logLevel: 'info' } })
  expect(readConfig({ HOST: '', PORT: '', DATABASE_URL: '', LOG_LEVEL: '' })).toEqual(readConfig({}))
})

test('all settings are read', () => {
  const env = { HOST: '::1', PORT: '0', DATA_DIR: '/srv/jobs', LOG_LEVEL: 'silent', UNKNOWN: 'x' }
  expect(readConfig(env)).toEqual({ ok: true, value: { host: '::1', port: 0, dataDir: '/srv/jobs', logLevel: 'silent' } })
})

test.each(['-1', '65536', '99999', '80.5', 'NaN', '1e3', 'http', ' 80'])('PORT %j is refused', (PORT) => {
  const config = readConfig({ PORT })
  expect(config.ok ? [] : config.faults).toEqual([expect.stringContaining('PORT')])
})

test.each(['0', '1', '65535'])('PORT %j is taken', (PORT) => {
  expect(readConfig({ PORT })).toMatchObject({ ok: true, value: { port: Number(PORT) } })
})

test('all faults are said at once', () => {
  const config = readConfig({ HOST: 'no host', PORT: 'x', DATA_DIR: '', DATABASE_URL: 'postgres://db', LOG_LEVEL: 'loud' })
  expect(config.ok ? [] : config.faults.map((fault) => fault.split(' ')[0])).toEqual([
    'HOST',
    'PORT',
    'DATA_DIR',
    'DATABASE_URL',
    'LOG_LEVEL',
  ])
  expect(config.ok ? '' : config.faults.join(' ')).toContain('PostgreSQL comes later')
})

// Node: type stripping without a warning since 24.12. SQLite: the WAL reset fault, 3.7.0 to 3.51.2, mended in 3.44.6 and 3.50.7 (sqlite.org, release notes 3.51.3).
test.each([
  ['24.11.9', '3.51.3', 1],
  ['24.12.0', '3.51.3', 0],
  ['26.10.0', '3.53.4', 0],
  ['22.21.0', '3.50.4', 2],
  ['24.12.0', '3.51.2', 1],
  ['24.12.0', '3.44.6', 0],
  ['24.12.0', '3.50.7', 0],
  ['24.12.0', '3.50.6', 1],
  ['24.12.0', '3.7.0', 2],
  ['24.12.0', '3.6.23', 1],
])('Node %s with SQLite %s has %i faults', (node, sqlite, faults) => {
  expect(checkRuntime({ node, sqlite })).toHaveLength(faults)
})
