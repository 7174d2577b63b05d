// What of a note a golden keeps: what it claims, in few lines that can be read in review. Times and full paths are left to other tests.
// Made anew with GOLDEN=write, and read before they are kept.
import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import type { NoteData } from '#graphs'

export type Golden = { readonly [field: string]: unknown }

export function goldenOf(note: NoteData): Golden {
  const { ending, cause, customer, lockout } = note
  return {
    ending: ending?.ending ?? 'open',
    tub: ending?.tub ?? 'open',
    words: note.complaint.words,
    cause: {
      state: cause.state,
      fault: cause.fault ?? '',
      for: cause.for.map((one) => `${one.title} = ${one.answer}`),
      against: cause.against.map((one) => one.title),
    },
    readings: note.readings.map(
      (one) =>
        `${one.title}: ${one.typed.map((line) => line.value).join(', ')} [${one.range}] ${one.mark ?? ''} ${one.verdict} · ${one.power}`,
    ),
    ruledOut: note.ruledOut.map((one) => one.fault),
    notTested: note.notTested.map((one) => `${one.what}: ${one.why}`).filter((text) => !text.includes(' · ')),
    partsIn: note.partsIn.map((part) => `${part.label}: ${part.evidence.join('; ')}`),
    partsOut: note.partsOut.map((part) => `${part.label}: ${part.where}`),
    differences: [note.switches, note.conductors, note.loads, note.settings].flatMap((one) => one.differences),
    lockout: lockout.steps.map((one) => `${one.what} (${one.by})`),
    proofsOfDead: lockout.proofs.map((proof) => `${proof.by}: ${proof.result}, ${proof.places.length} places`),
    locksNow: lockout.locksNow,
    proofOfRepair: note.proof.map((one) => `${one.what}: ${one.state}`),
    proved: note.proved,
    risks: note.risks,
    cautions: note.cautions.map((one) => one.word),
    struck: note.path.filter((row) => row.struck !== undefined).map((row) => `${row.step} ${row.answer} (${row.struck})`),
    people: note.people.map((one) => [one.name, one.role, ...one.signed].join(', ')),
    handovers: note.handovers.map((one) => one.what),
    approvals: note.approvals.map((one) => one.what),
    rail: note.rail.map((point) => point.words),
    customer: {
      cause: customer.cause,
      done: customer.done,
      safe: customer.safe.says,
      open: customer.open,
      settings: customer.settingsSay,
      watch: customer.watch,
      call: customer.call,
    },
  }
}

/** The golden as it is kept, or as it is now when it is to be made anew. */
export function readGolden(name: string, now: Golden): Golden {
  const file = new URL(`./golden/${name}.json`, import.meta.url)
  if (process.env['GOLDEN'] === 'write') writeFileSync(file, `${JSON.stringify(now, null, 2)}\n`)
  if (!existsSync(file)) throw new Error(`golden/${name}.json is missing. Make it with GOLDEN=write, and read it.`)
  return JSON.parse(readFileSync(file, 'utf8')) as Golden
}
