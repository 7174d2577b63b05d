// Counters of the running server as plain text that a collector can scrape. Route patterns are labels; ids and tokens never are.
// What is counted by others (store, jobs) is handed in and only printed here.
export type Metrics = {
  readonly countRequest: (method: string, route: string, status: number, seconds: number) => void
  readonly print: (gauges: { readonly [name: string]: number }) => string
}

export function createMetrics(): Metrics {
  const requests = new Map<string, { count: number; seconds: number }>()
  return {
    countRequest: (method, route, status, seconds) => {
      const labels = `method="${method}",route="${route}",status="${status}"`
      const row = requests.get(labels) ?? { count: 0, seconds: 0 }
      row.count += 1
      row.seconds += seconds
      requests.set(labels, row)
    },
    print: (gauges) => {
      const lines = Object.entries(gauges).map(([name, value]) => `backwrench_${name} ${value}`)
      for (const [labels, { count, seconds }] of requests) {
        lines.push(`backwrench_requests_total{${labels}} ${count}`, `backwrench_request_seconds_total{${labels}} ${seconds.toFixed(6)}`)
      }
      return `${lines.join('\n')}\n`
    },
  }
}
