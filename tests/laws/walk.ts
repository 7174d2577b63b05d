// Walks random jobs over a flow and says what they came to: npm run walk -- --flow overheating --jobs 200 --seed 1 [--json]
// Exit 0 when every job ended and kept every law, 1 when one did not, 2 when the order makes no sense.
import { parseArgs } from 'node:util'
import { playJobs } from './jobs-worker.ts'
import type { Report } from './jobs-worker.ts'
import { libraryEdition } from './library.ts'

type Order = { readonly flow: string; readonly jobs: number; readonly seed: number; readonly json: boolean }

function orderOf(args: readonly string[]): Order | string {
  let values
  try {
    ;({ values } = parseArgs({
      args: [...args],
      options: {
        flow: { type: 'string', default: 'overheating' },
        jobs: { type: 'string', default: '200' },
        seed: { type: 'string', default: '1' },
        json: { type: 'boolean', default: false },
      },
    }))
  } catch (error) {
    return error instanceof Error ? error.message : String(error)
  }
  const [jobs, seed] = [Number(values.jobs), Number(values.seed)]
  if (!Number.isInteger(jobs) || jobs < 1) return '--jobs is a whole number from 1 on.'
  if (!Number.isInteger(seed) || seed < 0) return '--seed is a whole number from 0 on.'
  const flows = Object.values(libraryEdition().blocks).flatMap((block) => (block.kind === 'flow' ? [block.id] : []))
  if (!flows.includes(values.flow)) return `There is no flow "${values.flow}". There are: ${flows.join(', ')}.`
  return { flow: values.flow, jobs, seed, json: values.json }
}

/** Outcomes of steps that somebody answers; branches, calls and endings are left out. */
function outcomesIn(): number {
  return Object.values(libraryEdition().blocks)
    .flatMap((block) => Object.values(block.steps))
    .filter((step) => !['call', 'finish', 'refer'].includes(step.kind))
    .reduce((sum, step) => sum + Object.keys(step.outcomes).length, 0)
}

function printed(order: Order, report: Report): string {
  const endings = Object.entries(report.endings).toSorted(([, a], [, b]) => b - a)
  return [
    `${report.jobs} jobs over ${order.flow} from seed ${order.seed}: ${report.commands} commands, ${report.events} events.`,
    '',
    'Endings',
    ...endings.map(([step, times]) => `${String(times).padStart(6)}  ${step}`),
    '',
    `Outcomes taken: ${Object.keys(report.outcomes).length} of ${outcomesIn()}.`,
    `Longest job: seed ${report.longest.seed}, ${report.longest.commands} commands.`,
    report.breaches.length === 0 ? 'Every job ended and kept every law.' : 'Laws broken:',
    ...report.breaches.map((breach) => `  ${breach}`),
  ].join('\n')
}

const order = orderOf(process.argv.slice(2))
if (typeof order === 'string') {
  process.stderr.write(`${order}\n`)
  process.exitCode = 2
} else {
  const report = playJobs({ first: order.seed, jobs: order.jobs, flow: order.flow })
  const { breaches, endings, commands, events, longest, outcomes } = report
  process.stdout.write(
    order.json
      ? `${JSON.stringify({ flow: order.flow, jobs: order.jobs, seed: order.seed, commands, events, endings, outcomes, outcomes_in_all: outcomesIn(), longest, breaches })}\n`
      : `${printed(order, report)}\n`,
  )
  process.exitCode = breaches.length === 0 ? 0 : 1
}
