// Many connections, each sending its own list of bodies one after the other over a kept connection.
// It counts and times replies; which bodies are sent is the measurement's.
import { Agent, request } from 'node:http'

export type Sending = { readonly url: string; readonly bodies: readonly string[] }
export type Load = {
  readonly replies: number
  readonly failed: number
  readonly perSecond: number
  readonly p50Ms: number
  readonly p99Ms: number
}

/** One item a connection; its url may change from body to body by `urls`. */
export type Connection = readonly { readonly url: string; readonly body: string }[]

export async function sendLoad(connections: readonly Connection[]): Promise<Load> {
  const times: number[] = []
  let failed = 0
  const began = performance.now()
  await Promise.all(
    connections.map(async (list) => {
      const agent = new Agent({ keepAlive: true, maxSockets: 1 })
      for (const { url, body } of list) {
        const start = performance.now()
        const status = await post(agent, url, body)
        times.push(performance.now() - start)
        if (status !== 200) failed += 1
      }
      agent.destroy()
    }),
  )
  const seconds = (performance.now() - began) / 1000
  const sorted = times.toSorted((a, b) => a - b)
  const at = (share: number): number => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? 0
  return { replies: times.length, failed, perSecond: times.length / seconds, p50Ms: at(0.5), p99Ms: at(0.99) }
}

async function post(agent: Agent, url: string, body: string): Promise<number> {
  return await new Promise((resolve, reject) => {
    const headers = { 'content-type': 'application/json', 'content-length': String(Buffer.byteLength(body)) }
    const sent = request(url, { method: 'POST', agent, headers }, (response) => {
      response.resume()
      response.once('end', () => resolve(response.statusCode ?? 0))
    })
    sent.once('error', reject)
    sent.end(body)
  })
}
