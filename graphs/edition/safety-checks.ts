// What the words and fields of single steps must keep to for people's sake: who is led where, what is started, in which order the red questions come.
// Safety over paths is the observers' (safety/rules); arrows and names are checks.ts.
import type { Block, Edition, Step } from './compiled.ts'

type Report = (block: string, step: string, message: string, mend?: string) => void

const ANSWERED = new Set(['ask', 'read', 'do', 'record', 'wait', 'fit'])
const HANDS_IN = new Set(['proving', 'dead', 'live-open'])

export function checkSafety(edition: Edition, report: Report): void {
  for (const block of Object.values(edition.blocks)) {
    checkPanels(block, report)
    for (const step of Object.values(block.steps)) {
      checkSentences(block, step, report)
      if (!ANSWERED.has(step.kind)) continue
      checkOutsiders(block, step, report)
      checkHandsIn(block, step, report)
      checkStarts(block, step, report)
      checkTrades(block, step, report)
    }
  }
  checkRedOrder(edition, report)
}

/** Most words of one sentence that a junior reads with one wet hand. */
const MOST_WORDS = 20

function checkSentences(block: Block, step: Step, report: Report): void {
  for (const text of [...step.says, step.why, step.ask_aloud ?? '', step.hazard?.text ?? '']) {
    for (const sentence of text.split(/(?<=[.!?])\s+/)) {
      const count = sentence
        .replaceAll(/\{[^}]*\}/g, 'x')
        .split(/\s+/)
        .filter((word) => /[\p{L}\p{N}]/u.test(word)).length
      if (count > MOST_WORDS) report(block.id, step.id, `has a sentence of ${count} words: "${sentence}"`, 'make two sentences of it')
    }
  }
}

/** The only tools that a homeowner or a caller is asked to use. */
const HOME_TOOLS = ['thermometer', 'tape', 'test strip', 'watch', 'filter']
/** Words of the trade that help nobody who stands in the yard. Breaker, plug, cord and cabinet are words of the house. */
const TRADE_WORDS =
  /\b(multimeter|voltmeter|probes?|ohms?|resistance|terminals?|conductors?|relays?|contactor|element|thermistor|neutral|screwdriver|wrench|low-impedance)\b/i

/** Rule 5: homeowner and dispatcher. */
function checkOutsiders(block: Block, step: Step, report: Report): void {
  if (!step.who.includes('homeowner') && !step.who.includes('dispatcher')) return
  if (HANDS_IN.has(step.needs) || step.hands === 'inside')
    report(block.id, step.id, 'puts hands inside, and is for homeowner or dispatcher', 'name `who: [technician]`')
  if (step.signed.length > 0) report(block.id, step.id, 'asks for a sign-off that homeowner and dispatcher never have')
  const strange = step.tools.filter((tool) => !HOME_TOOLS.some((known) => tool.toLowerCase().includes(known)))
  if (strange.length > 0) report(block.id, step.id, `asks homeowner or dispatcher for a tool: ${strange.join(', ')}`)
  if (!step.who.includes('homeowner')) return
  for (const text of textsOf(step)) {
    const word = TRADE_WORDS.exec(text)?.[0]
    if (word !== undefined) report(block.id, step.id, `says "${word}" to a homeowner: "${text}"`, 'use a word of the house')
  }
}

function textsOf(step: Step): readonly string[] {
  const labels = Object.values(step.outcomes).map((outcome) => outcome.label)
  return [step.title, ...step.says, step.ask_aloud ?? '', step.why, step.hazard?.text ?? '', ...labels]
}

const OPENS = /^(?:unplug|loosen|unscrew|reach in|remove|measure at|lift|pull|cover off(?!\?))\b/i
/** Steps that open something and do not need `dead`, and why they may. */
const OPENS_ALLOWED: { readonly [step: string]: string } = {
  'live-gate.open-live': 'the qualified person, behind the gate, for measuring only',
}

const OF_PEOPLE = new Set(['danger', 'warning', 'caution'])

/**
 * Rule 21: hands inside a proved box still meet heat, edges, water, stored charge and a switch that somebody may close.
 * The step says which by a panel of its own, or the first such step of its block does for all of them; in a flow each says its own.
 */
function checkPanels(block: Block, report: Report): void {
  const inside = Object.values(block.steps).filter((step) => step.needs === 'dead' && step.kind !== 'call')
  const isCovered = block.kind !== 'flow' && OF_PEOPLE.has(inside[0]?.hazard?.word ?? '')
  for (const step of isCovered ? [] : inside) {
    if (!OF_PEOPLE.has(step.hazard?.word ?? ''))
      report(
        block.id,
        step.id,
        'puts hands inside and has no panel',
        'add `hazard:` with what threatens people there; a notice is for things',
      )
  }
  for (const step of Object.values(block.steps)) {
    if (step.starts !== undefined && !OF_PEOPLE.has(step.hazard?.word ?? ''))
      report(block.id, step.id, 'starts something and has no panel', 'add `hazard:` with what starts, and who keeps clear')
  }
}

/** Rules 1, 4 and 21: hands inside. */
function checkHandsIn(block: Block, step: Step, report: Report): void {
  if (step.needs === 'live-open' && step.kind !== 'read') report(block.id, step.id, 'is live and open, and no `read`', 'measure only')
  if (step.needs === 'live-open' && !step.signed.includes('energized-work'))
    report(block.id, step.id, 'is live and open without the sign-off', 'add `signed: [energized-work]`')
  if ((step.needs === 'proving' || step.needs === 'live-open') && step.hazard?.word !== 'danger')
    report(block.id, step.id, `needs ${step.needs} and has no danger panel`, 'add `hazard: { word: danger, … }`')
  const isOutside = step.who.includes('homeowner') || step.who.includes('dispatcher')
  if (HANDS_IN.has(step.needs) || isOutside || OPENS_ALLOWED[`${block.id}.${step.id}`] !== undefined) return
  for (const text of step.says.filter((one) => OPENS.test(one)))
    report(block.id, step.id, `opens something without \`needs: dead\`: "${text}"`, 'add `needs: dead` and `at:`')
}

const STARTS = /^(?:press|run|switch (?:it )?on|turn (?:it )?on|start (?!only))\b/i
/** Steps that press or switch on and start nothing, and why. */
const STARTS_ALLOWED: { readonly [step: string]: string } = {
  'make-dead.see-lock': 'off and locked: nothing may start, and that is the test',
  'make-dead.try-buttons': 'off and locked: nothing may start, and that is the test',
  'prove-place.own-lock': 'off and locked: nothing may start, and that is the test',
}
/** Steps that learn that the power is on; they do not switch it on. */
const POWER_SEEN = new Set([
  'close-and-power-up.on-or-off',
  'make-dead.see-lock',
  'make-dead.switch-off',
  'make-dead.try-buttons',
  'overheating.as-found',
])

/** Rules 10 and 16: whatever starts something says so, and is never reached from inside. */
function checkStarts(block: Block, step: Step, report: Report): void {
  const name = `${block.id}.${step.id}`
  if (step.starts !== undefined && HANDS_IN.has(step.needs)) report(block.id, step.id, 'starts something while hands are inside')
  if (step.starts !== undefined && step.hands === 'water') report(block.id, step.id, 'starts something while a hand is in the water')
  if (step.starts !== undefined) return
  const turnsOn = Object.values(step.outcomes).some((one) => one.effects?.some((effect) => effect.do === 'energy' && effect.to === 'on'))
  if (turnsOn && !POWER_SEEN.has(name)) report(block.id, step.id, 'switches the power on without `starts:`', 'add `starts: power`')
  if (STARTS_ALLOWED[name] !== undefined) return
  for (const text of step.says.filter((one) => STARTS.test(one)))
    report(block.id, step.id, `starts something without \`starts:\`: "${text}"`, 'add `starts:` with what moves or goes live')
}

const FEED_WORK =
  /^(?:replace|tighten|rewire|repair|open|install)\b[^.]*\b(?:breaker|receptacle|house panel|disconnect box|feeder|bonding)\b/i
const DEFEATS = /^(?:bypass|bridge|defeat|jumper|tape over|link across|short out|wedge)\b/i

/** Rules 8 and 13: no work on the feed but the electrician's, and no safety device defeated, not even to test. */
function checkTrades(block: Block, step: Step, report: Report): void {
  const isElectricians = step.who.every((role) => role === 'electrician')
  for (const text of step.says.flatMap((one) => one.split(/(?<=[.!?])\s+/))) {
    if (FEED_WORK.test(text) && !isElectricians)
      report(block.id, step.id, `is work on the feed: "${text}"`, 'refer it to a licensed electrician')
    if (DEFEATS.test(text)) report(block.id, step.id, `defeats a safety device: "${text}"`, 'find another way to test')
  }
}

/** Rule 6: the red questions, in their fixed order; not knowing counts as unsafe and goes on. */
const RED_ORDER = ['people', 'shock', 'burning', 'water-at-wiring', 'temperature', 'suction', 'fumes']
const RED = 'red-flags'

function checkRedOrder(edition: Edition, report: Report): void {
  const red = edition.blocks[RED]
  if (red === undefined) return
  for (const flow of Object.values(edition.blocks).filter((block) => block.kind === 'flow')) {
    if (flow.steps[flow.start]?.call?.block !== RED) report(flow.id, flow.start, 'does not begin with the red questions', `call: ${RED}`)
  }
  if (firstRed(red, red.start).join() !== RED_ORDER[0]) report(RED, red.start, `begins with another question than "${RED_ORDER[0]}"`)
  for (const [index, id] of RED_ORDER.entries()) {
    const step = red.steps[id]
    const next = RED_ORDER[index + 1]
    if (step === undefined) report(RED, id, 'is missing: a red question of the fixed order')
    for (const name of ['not-sure', 'not-done']) {
      const outcome = step?.outcomes[name]
      if (outcome === undefined) continue
      if (firstRed(red, outcome.to).join() !== (next ?? '')) report(RED, id, `"${name}" does not go on with "${next ?? 'the end'}"`)
      if (!outcome.effects?.some((effect) => effect.do === 'flag' && effect.flag === 'red-unknown'))
        report(RED, id, `"${name}" does not count as unsafe`, 'add `effects: [flag red-unknown]`')
    }
  }
}

/** Red questions met first from a step on. */
function firstRed(red: Block, from: string): string[] {
  const met = new Set<string>()
  const seen = new Set<string>()
  const open = [from]
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    const step = red.steps[id]
    if (step === undefined || seen.has(id)) continue
    seen.add(id)
    if (RED_ORDER.includes(id)) met.add(id)
    else open.push(...Object.values(step.outcomes).map((outcome) => outcome.to))
  }
  return [...met]
}
