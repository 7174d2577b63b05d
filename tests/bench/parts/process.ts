// Starts a server as a process and says how long it took until it told its address.
// What is asked of it is the measurement's.
import { spawn } from 'node:child_process'
import { fileURLToPath } from 'node:url'

const ROOT = fileURLToPath(new URL('../../..', import.meta.url))

export type Running = { readonly url: string; readonly startMs: number; readonly stop: () => Promise<void> }

export async function startProcess(script: string, env: { readonly [name: string]: string } = {}): Promise<Running> {
  const began = performance.now()
  const child = spawn(process.execPath, [script], { cwd: ROOT, env: { ...process.env, ...env }, stdio: ['ignore', 'pipe', 'pipe'] })
  const stop = async (): Promise<void> => {
    const ended = new Promise((resolve) => child.once('exit', resolve))
    child.kill('SIGTERM')
    await ended
  }
  const url = await new Promise<string>((resolve, reject) => {
    let printed = ''
    for (const stream of [child.stdout, child.stderr]) {
      stream.on('data', (piece: Buffer) => {
        printed += piece.toString()
        const address = /Open (http:\/\/\S+) in/.exec(printed)?.[1]
        if (address !== undefined) resolve(address)
      })
    }
    child.once('exit', () => reject(new Error(`${script} ended by itself: ${printed}`)))
  })
  return { url, startMs: performance.now() - began, stop }
}
