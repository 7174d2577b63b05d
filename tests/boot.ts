// Boots the real server as a person would, under plain Node, sees it become ready, fetches the page and stops it again.
// What the routes answer is tested without a socket; here only the start, the first page and the stop count.
import { spawn } from 'node:child_process'
import type { ChildProcess } from 'node:child_process'
import { mkdtemp, rm } from 'node:fs/promises'
import { createServer } from 'node:net'
import type { AddressInfo } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const ROOT = fileURLToPath(new URL('..', import.meta.url))
const HOST = '127.0.0.1'
const READY_WITHIN_MS = 30_000
const STOPPED_WITHIN_MS = 10_000
const ASK_AGAIN_MS = 100

export type Server = {
  /** Where the server says it listens; without a line about it, where it was told to. */
  readonly url: string
  /** Everything printed so far. */
  readonly printed: () => string
  /** Asks the server to stop, and gives its exit code; null when it had to be ended. */
  readonly stop: () => Promise<number | null>
}

/** Starts `script` (the server's own main by default) with an empty DATA_DIR, and waits until /readyz answers 200. */
export async function startServer(script = 'server/main.ts', environment: { readonly [name: string]: string } = {}): Promise<Server> {
  const port = await findFreePort()
  const dataDir = await mkdtemp(join(tmpdir(), 'backwrench-boot-'))
  const child = spawn(process.execPath, [script], {
    cwd: ROOT,
    env: { ...process.env, DATABASE_URL: undefined, LOG_LEVEL: 'info', HOST, PORT: String(port), DATA_DIR: dataDir, ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  let text = ''
  for (const stream of [child.stdout, child.stderr]) stream.setEncoding('utf8').on('data', (piece: string) => (text += piece))
  const stop = async (): Promise<number | null> => {
    const code = await endProcess(child)
    await rm(dataDir, { recursive: true, force: true })
    return code
  }
  try {
    const url = await waitUntilReady(child, () => findAddress(text) ?? `http://${HOST}:${port}`)
    return { url, printed: () => text, stop }
  } catch (error) {
    await stop()
    throw new Error(`${sentence(error)}\nThe server printed:\n${text.trim() === '' ? '(nothing)' : text.trim()}`, { cause: error })
  }
}

/** The address in the JSON line that pino prints when the server listens. */
export function findAddress(printed: string): string | null {
  for (const line of printed.split('\n')) {
    const address = /"msg":"[^"]*\blistening\b[^"]*?(https?:\/\/[^"\s]+)/i.exec(line)
    if (address?.[1] !== undefined) return address[1]
  }
  return null
}

async function waitUntilReady(child: ChildProcess, url: () => string): Promise<string> {
  const end = Date.now() + READY_WITHIN_MS
  let last = 'no answer'
  while (Date.now() < end) {
    if (hasEnded(child))
      throw new Error(`The server ended by itself with exit code ${child.exitCode ?? child.signalCode} before it was ready.`)
    try {
      const answer = await fetch(`${url()}/readyz`, { signal: AbortSignal.timeout(2000) })
      await answer.arrayBuffer()
      if (answer.status === 200) return url()
      last = `status ${answer.status}`
    } catch (error) {
      last = error instanceof Error && error.cause instanceof Error ? error.cause.message : sentence(error)
    }
    await pause(ASK_AGAIN_MS)
  }
  throw new Error(`The server was not ready within ${READY_WITHIN_MS / 1000} seconds; the last answer of ${url()}/readyz: ${last}.`)
}

async function endProcess(child: ChildProcess): Promise<number | null> {
  if (!hasEnded(child)) {
    const ended = new Promise((resolve) => child.once('exit', resolve))
    const kill = setTimeout(() => child.kill('SIGKILL'), STOPPED_WITHIN_MS)
    child.kill('SIGTERM')
    await ended
    clearTimeout(kill)
  }
  return child.exitCode
}

async function findFreePort(): Promise<number> {
  const probe = createServer()
  await new Promise<void>((resolve, reject) => {
    probe.once('error', reject)
    probe.listen(0, HOST, resolve)
  })
  const { port } = probe.address() as AddressInfo
  await new Promise((resolve) => probe.close(resolve))
  return port
}

function hasEnded(child: ChildProcess): boolean {
  return child.exitCode !== null || child.signalCode !== null
}

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms))
}

function sentence(error: unknown): string {
  return error instanceof Error ? error.message : String(error)
}

/** The whole check; throws in words at the first thing that is not as it should be. */
export async function checkBoot(script?: string): Promise<string> {
  const server = await startServer(script)
  let problem: string | null = null
  try {
    problem = await judgePage(server.url)
  } catch (error) {
    problem = `GET / got no answer: ${sentence(error)}.`
  }
  const printed = server.printed
  const code = await server.stop()
  problem ??= code === 0 ? null : `Asked to stop, the server ended with ${code ?? 'force after waiting'} instead of exit code 0.`
  if (problem !== null) throw new Error(`${problem}\nThe server printed:\n${printed().trim()}`)
  return `The server started at ${server.url}, served its page and stopped.`
}

async function judgePage(url: string): Promise<string | null> {
  const answer = await fetch(`${url}/`, { signal: AbortSignal.timeout(10_000) })
  const page = await answer.text()
  if (answer.status !== 200) return `GET / answered with status ${answer.status} instead of 200. Build the page first: npm run prepare.`
  const type = answer.headers.get('content-type') ?? 'no content type'
  if (!type.startsWith('text/html')) return `GET / answered with ${type} instead of text/html.`
  return /<html[\s>]/i.test(page) ? null : 'GET / answered with something that is no page.'
}

if (import.meta.main) {
  try {
    process.stdout.write(`${await checkBoot(process.argv[2])}\n`)
  } catch (error) {
    process.stderr.write(`${sentence(error)}\n`)
    process.exitCode = 1
  }
}
