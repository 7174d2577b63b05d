// A block as a state chart in SCXML 1.0 (W3C Recommendation, 1 September 2015), for tools that read that standard.
// It carries steps, answers, bounds and endings; lockout, interruptions and the tub's own state are the engine's and are not in it.
import type { Block, Condition, Edition, Outcome, Step } from '../edition/compiled.ts'
import { escape } from './picture.ts'

export const OWN_NAMES = 'urn:backwrench:flow'

type Sheet = {
  readonly edition: Pick<Edition, 'blocks'>
  readonly lines: string[]
  /** One counter for each way back, by path of its arrow. */
  readonly counters: Map<string, string>
  readonly ends: Set<string>
}

/**
 * A block with all that it calls.
 *
 * Shape:  one `<scxml>` document, ECMAScript data model. A step is `<state id="block.step">`, its answers are events `answer.<outcome>`.
 *         A call is a state that holds the called block's steps; leaving it raises `left.<exit>`. A way back counts in `<data>`.
 *         Endings are top finals `ended.<ending>`, exits of the block itself top finals `exit.<name>`. A decide takes its answer as an event too:
 *         its conditions stand beside it in `bw:when`, in order, for whoever holds the facts.
 * Errors: none; calls have no circle in a checked edition.
 * Source: W3C, State Chart XML (SCXML): State Machine Notation for Control Abstraction, 2015-09-01, sections 3.2 to 3.13.
 */
export function scxmlOf(block: Block, edition: Pick<Edition, 'blocks'>): string {
  const sheet: Sheet = { edition, lines: [], counters: new Map(), ends: new Set() }
  const root = nameOf(block)
  writeSteps(sheet, block, root, undefined, 1)
  const data = [...sheet.counters.values()].map((id) => `    <data id="${id}" expr="0"/>`)
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<scxml xmlns="http://www.w3.org/2005/07/scxml" xmlns:bw="${OWN_NAMES}" version="1.0" datamodel="ecmascript" name="${root}"` +
      ` initial="${root}.${block.start}" bw:title="${escape(block.title)}">`,
    ...(data.length === 0 ? [] : ['  <datamodel>', ...data, '  </datamodel>']),
    ...sheet.lines,
    ...[...sheet.ends].toSorted().map((id) => `  <final id="${id}"/>`),
    '</scxml>',
    '',
  ].join('\n')
}

/** A block called with constants carries them in its id by signs that an XML id may not have. */
function nameOf(block: Block): string {
  return block.id.replaceAll(/[^\w.-]/g, '_')
}

/** The steps of a block at a path; `caller` is the state it is called in, none for the block that is drawn. */
function writeSteps(sheet: Sheet, block: Block, path: string, caller: string | undefined, depth: number): void {
  for (const step of Object.values(block.steps)) writeStep(sheet, step, path, caller, depth)
  if (caller === undefined) return
  for (const exit of exitsOf(block)) {
    const pad = '  '.repeat(depth)
    sheet.lines.push(`${pad}<final id="${path}.exit.${exit}"><onentry><raise event="left.${exit}"/></onentry></final>`)
  }
}

function exitsOf(block: Block): string[] {
  const targets = Object.values(block.steps).flatMap((step) =>
    Object.values(step.outcomes).flatMap(({ to, again }) => (again === undefined ? [to] : [to, again.then])),
  )
  return [...new Set(targets.filter((to) => to.startsWith('exit:')).map((to) => to.slice('exit:'.length)))].toSorted()
}

function writeStep(sheet: Sheet, step: Step, path: string, caller: string | undefined, depth: number): void {
  const id = `${path}.${step.id}`
  const pad = '  '.repeat(depth)
  const called = step.call === undefined ? undefined : sheet.edition.blocks[step.call.block]
  const inner = called === undefined ? '' : `${id}.${nameOf(called)}`
  const initial = called === undefined ? '' : ` initial="${inner}.${called.start}"`
  sheet.lines.push(
    `${pad}<state id="${id}"${initial} bw:kind="${step.kind}" bw:title="${escape(step.title)}"${step.needs === 'talk' ? '' : ` bw:needs="${step.needs}"`}>`,
  )
  if (called !== undefined) writeAfresh(sheet, called, inner, pad)
  const end = step.finish ?? step.refer
  if (end !== undefined) {
    sheet.ends.add(`ended.${end.ending}`)
    sheet.lines.push(`${pad}  <transition target="ended.${end.ending}"/>`)
  }
  for (const [name, outcome] of Object.entries(step.outcomes)) writeAnswer(sheet, { step, name, outcome, id, path, caller, pad })
  if (called !== undefined) writeSteps(sheet, called, inner, id, depth + 1)
  sheet.lines.push(`${pad}</state>`)
}

/** Each call of a block begins to count anew. */
function writeAfresh(sheet: Sheet, called: Block, inner: string, pad: string): void {
  const counted = Object.values(called.steps).flatMap((step) =>
    Object.entries(step.outcomes)
      .filter(([, { again }]) => again !== undefined)
      .map(([name]) => counterOf(sheet, `${inner}.${step.id}=${name}`)),
  )
  if (counted.length === 0) return
  sheet.lines.push(`${pad}  <onentry>${counted.map((id) => `<assign location="${id}" expr="0"/>`).join('')}</onentry>`)
}

type Answer = {
  readonly step: Step
  readonly name: string
  readonly outcome: Outcome
  readonly id: string
  readonly path: string
  readonly caller: string | undefined
  readonly pad: string
}

function writeAnswer(sheet: Sheet, { step, name, outcome, id, path, caller, pad }: Answer): void {
  const event = `${step.call === undefined ? 'answer' : 'left'}.${name}`
  const when = step.cases?.find((one) => one.outcome === name)?.when
  const beside = ` bw:says="${escape(outcome.label)}"${when === undefined ? '' : ` bw:when="${escape(conditionWords(when))}"`}`
  const target = (to: string): string => {
    if (!to.startsWith('exit:')) return `${path}.${to}`
    const exit = to.slice('exit:'.length)
    if (caller !== undefined) return `${path}.exit.${exit}`
    sheet.ends.add(`exit.${exit}`)
    return `exit.${exit}`
  }
  const { again } = outcome
  if (again === undefined) {
    sheet.lines.push(`${pad}  <transition event="${event}" target="${target(outcome.to)}"${beside}/>`)
    return
  }
  const counter = counterOf(sheet, `${id}=${name}`)
  sheet.lines.push(
    `${pad}  <transition event="${event}" cond="${counter} &lt; ${again.most}" target="${target(outcome.to)}"${beside}><assign location="${counter}" expr="${counter} + 1"/></transition>`,
    `${pad}  <transition event="${event}" target="${target(again.then)}"${beside}/>`,
  )
}

function counterOf(sheet: Sheet, arrow: string): string {
  const id = sheet.counters.get(arrow) ?? `taken${sheet.counters.size + 1}`
  sheet.counters.set(arrow, id)
  return id
}

function conditionWords(when: readonly Condition[]): string {
  return when.length === 0 ? 'otherwise' : when.map((condition) => JSON.stringify(condition)).join(' and ')
}
