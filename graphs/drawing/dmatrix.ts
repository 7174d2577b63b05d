// Faults against test outcomes as a table for other programs: the likelihoods of one family, as the library states them.
// What they mean for a job is not computed here.
import type { Family } from '../edition/compiled.ts'

/**
 * The fault and test dependency matrix ("D-matrix") of a family, with likelihoods in place of ones and zeros.
 *
 * Shape:  CSV by RFC 4180: a header, a line for each fault, CR LF after each. Columns: `fault`, `prior:<complaint>`, then `<test>=<outcome>`.
 * Units:  probabilities 0 to 1; an empty field is one the library does not state, never 0.
 * Errors: none.
 * Source: the figures are the library's own estimates; the form of the file is RFC 4180.
 */
export function dmatrixOf(family: Family): string {
  const complaints = Object.keys(family.priors).toSorted()
  const tests = family.tests.map(({ test, table }) => ({
    test,
    table,
    outcomes: [...new Set(Object.values(table).flatMap((row) => Object.keys(row)))].toSorted(),
  }))
  const faults = [...Object.values(family.priors), ...tests.map(({ table }) => table)].flatMap((rows) => Object.keys(rows))
  const header = [
    'fault',
    ...complaints.map((complaint) => `prior:${complaint}`),
    ...tests.flatMap(({ test, outcomes }) => outcomes.map((outcome) => `${test}=${outcome}`)),
  ]
  const rows = [...new Set(faults)].map((fault) => [
    fault,
    ...complaints.map((complaint) => figure(family.priors[complaint]?.[fault])),
    ...tests.flatMap(({ table, outcomes }) => outcomes.map((outcome) => figure(table[fault]?.[outcome]))),
  ])
  return [header, ...rows].map((fields) => `${fields.map(field).join(',')}\r\n`).join('')
}

function figure(value: number | undefined): string {
  return value === undefined ? '' : String(value)
}

/** Quoted where RFC 4180, section 2, asks for it. */
function field(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}
