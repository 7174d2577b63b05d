// Answers the present step from a table "block.step → outcome, readings, form or not done": in the page by its own controls, or over HTTP.
// Which step is asked is read from the server; whether the right one is asked is judged by the walks.
import type { Locator, Page } from 'playwright-core'
import type { Command, Form, JobView, StepView, TypedReading } from '#graphs/contract'
import { unitLabel } from '../../web/form/unit.ts'
import type { Given } from '../jobs/drive-job.ts'
import { soon } from './pages.ts'
import type { Links } from './pages.ts'

export type Table = { readonly [step: string]: Given | readonly Given[] }
/** Who answers, from which device; the page and the HTTP calls of one person share both. */
export type Speaker = { readonly person: string; readonly role: 'dispatcher' | 'technician'; readonly device: string }
/** Where to stop: that step is left unanswered. */
export type Until = string | ((name: string, view: JobView) => boolean)

const STEPS_MOST = 150
const A_PERSON_S_PACE_MS = 320

export class Answering {
  readonly #url: string
  readonly #links: Links
  readonly #table: Table
  readonly #asked = new Map<string, number>()
  /** Every step that was answered, in order. */
  readonly names: string[] = []

  constructor(url: string, links: Links, table: Table) {
    this.#url = url
    this.#links = links
    this.#table = table
  }

  async view(person: string): Promise<JobView> {
    const reply = await fetch(`${this.#url}/api/jobs/${this.#links.staff}/view?person=${encodeURIComponent(person)}`)
    if (!reply.ok) throw new Error(`no view for ${person}: ${await reply.text()}`)
    return (await reply.json()) as JobView
  }

  async command(by: Speaker, command: Command, channel: 'phone' | 'site' = 'phone'): Promise<void> {
    const reply = await fetch(`${this.#url}/api/jobs/${this.#links.staff}/commands?view=no`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ id: `walk-${crypto.randomUUID()}`, ...by, channel, command }),
    })
    if (!reply.ok) throw new Error(`${JSON.stringify(command)} was refused: ${await reply.text()}`)
  }

  async overHttp(by: Speaker, until: Until): Promise<JobView> {
    return await this.#go(by.person, until, async (step, given) => {
      const channel = by.role === 'technician' ? 'site' : 'phone'
      await this.command(by, { type: 'answer', place: step.place, ...body(step, given) }, channel)
    })
  }

  async inPage(page: Page, by: Pick<Speaker, 'person'>, until: Until): Promise<JobView> {
    return await this.#go(by.person, until, async (step, given, view) => {
      await titleIs(page, step)
      await give(page, step, given, view)
      await this.#isTaken(page, by.person, step, view)
    })
  }

  async #go(
    person: string,
    until: Until,
    answer: (step: StepView, given: Exclude<Given, (step: StepView) => unknown>, view: JobView) => Promise<void>,
  ): Promise<JobView> {
    for (let count = 0; count < STEPS_MOST; count += 1) {
      const view = await this.view(person)
      if (view.ended !== undefined) return view
      const { step } = view
      const name = step === undefined ? `wait: ${view.waiting?.step ?? ''}` : nameOf(step)
      if (typeof until === 'string' ? name === until : until(name, view)) return view
      if (step === undefined || view.waiting !== undefined)
        throw new Error(`${person} cannot go on at ${name}: ${view.waiting?.says ?? ''}`)
      try {
        await answer(step, this.#given(step), view)
      } catch (error) {
        throw new Error(`${name}: ${String(error)}; before it came ${this.names.slice(-4).join(', ')}`, { cause: error })
      }
      this.names.push(name)
    }
    throw new Error(`still not there after ${STEPS_MOST} steps: ${this.names.slice(-8).join(', ')}`)
  }

  #given(step: StepView): Exclude<Given, (step: StepView) => unknown> {
    const name = nameOf(step)
    const entry = this.#table[name]
    if (entry === undefined) throw new Error('this step is asked, and the table has no answer for it')
    const time = this.#asked.get(name) ?? 0
    this.#asked.set(name, time + 1)
    const given = (Array.isArray(entry) ? entry[Math.min(time, entry.length - 1)] : entry) as Given
    if (typeof given !== 'function') return given
    const worked = given(step)
    return 'readings' in worked ? worked : { form: worked }
  }

  /** The server has the answer, and the page shows what comes next. */
  async #isTaken(page: Page, person: string, before: StepView, seen: JobView): Promise<void> {
    const isStill = async (): Promise<boolean> => {
      const view = await this.view(person)
      return view.ended === undefined && view.step?.key === before.key && view.trail.length === seen.trail.length
    }
    try {
      await soon(isStill).toBe(false)
    } catch {
      throw new Error(`nothing went on: ${await page.locator('.card').innerText()}`)
    }
    await page.waitForTimeout(A_PERSON_S_PACE_MS)
  }
}

export function nameOf(step: StepView): string {
  return `${step.block}.${step.step}`
}

type Plain = Exclude<Given, (step: StepView) => unknown>

function body(step: StepView, given: Plain): Omit<Extract<Command, { type: 'answer' }>, 'type' | 'place'> {
  if (typeof given === 'string') return { outcome: given }
  if ('form' in given) return { form: given.form }
  if ('not_done' in given) return { ...given }
  const readings = Object.entries(given.readings).map(([name, typed]) => [name, typedReading(step, name, typed)] as const)
  return { readings: Object.fromEntries(readings), ...(given.sure === undefined ? {} : { sure: given.sure }) }
}

/** A series ends now and was taken at the pace the step asks for. */
function typedReading(step: StepView, name: string, typed: string | readonly string[]): TypedReading | TypedReading[] {
  const field = step.readings.find((one) => one.name === name)
  if (field === undefined) throw new Error(`there is no reading called ${name}`)
  const instrument = field.instrument === undefined ? {} : { instrument: field.instrument }
  if (typeof typed === 'string') return { ...split(typed), ...instrument }
  const every = (field.series?.every_minutes ?? 10) * 60_000
  const from = Date.now() - every * (typed.length - 1)
  return typed.map((each, index) => ({ ...split(each), ...instrument, at: from + every * index }))
}

function split(typed: string): { typed: string; unit: string } {
  const [number = '', unit = ''] = typed.split(' ')
  return { typed: number, unit }
}

async function titleIs(page: Page, step: StepView): Promise<void> {
  await soon(async () => await page.locator('.card h2').first().innerText()).toBe(step.title)
}

async function give(page: Page, step: StepView, given: Plain, view: JobView): Promise<void> {
  const card = page.locator('.card')
  if (typeof given === 'string') return await pick(page, step, given)
  if ('not_done' in given) return await cannot(card, given, view)
  if ('form' in given) await fillForm(card, step, given.form)
  else for (const [name, typed] of Object.entries(given.readings)) await fillReading(page, step, name, typed)
  await card.locator('button.main').click()
  if ('readings' in given && given.sure === true) {
    await page.waitForTimeout(A_PERSON_S_PACE_MS)
    await card.getByRole('button', { name: 'It is meant as it stands' }).click()
  }
}

/** A wait is waited for: the clock of the phone runs on to its end. */
async function pick(page: Page, step: StepView, outcome: string): Promise<void> {
  const offered = step.outcomes.find((one) => one.outcome === outcome)
  if (offered === undefined) throw new Error(`"${outcome}" is not among ${step.outcomes.map((one) => one.outcome).join(', ')}`)
  const left = step.until === undefined ? 0 : step.until - ((await page.evaluate('Date.now()')) as number)
  if (left > 0) await letTimePass(page, left + 1000)
  const label = page.locator('span').getByText(offered.label, { exact: true })
  await page.locator('.card .outcomes:not(.reasons) button.outcome').filter({ has: label }).click()
}

/** What stands on the page for a while only, such as the undo bar, goes meanwhile; nothing moves under the finger afterwards. */
async function letTimePass(page: Page, ms: number): Promise<void> {
  await page.clock.fastForward(ms)
  const top = async (): Promise<unknown> => await page.evaluate(`document.querySelector('.card h2').getBoundingClientRect().top`)
  let before: unknown
  do {
    before = await top()
    await page.waitForTimeout(A_PERSON_S_PACE_MS)
  } while (before !== (await top()))
}

async function cannot(card: Locator, given: { readonly not_done: string; readonly words?: string }, view: JobView): Promise<void> {
  const reason = view.not_done.find((one) => one.slug === given.not_done)
  if (reason === undefined) throw new Error(`"${given.not_done}" is no reason, but ${view.not_done.map((one) => one.slug).join(', ')}`)
  await card.getByRole('button', { name: 'I can’t do this here' }).click()
  if (given.words !== undefined) await card.getByLabel('A few words, if they help').fill(given.words)
  await card.getByRole('button', { name: reason.label, exact: true }).click()
}

async function fillReading(page: Page, step: StepView, name: string, typed: string | readonly string[]): Promise<void> {
  const field = step.readings.find((one) => one.name === name)
  if (field === undefined) throw new Error(`there is no reading called ${name}`)
  const card = page.locator('.card')
  if (typeof typed === 'string') return await fillNumber(card, field.optional ? `${field.label} (if you have it)` : field.label, typed)
  const every = (field.series?.every_minutes ?? 10) * 60_000
  for (const [index, each] of typed.entries()) {
    if (index > 0) await letTimePass(page, every)
    await fillNumber(card, `${field.label}, now`, each)
    await card.getByRole('button', { name: 'Add this reading' }).click()
  }
}

async function fillNumber(scope: Locator, label: string, given: string): Promise<void> {
  const { typed, unit } = split(given)
  const input = scope.getByLabel(label, { exact: true })
  await input.fill(typed)
  const segment = scope
    .locator('.number')
    .filter({ has: scope.page().getByLabel(label, { exact: true }) })
    .locator('label.segment')
    .filter({ hasText: new RegExp(`^${unitLabel(unit)}$`) })
  if (unit !== '1' && (await segment.count()) > 0) await segment.click()
}

async function fillForm(card: Locator, step: StepView, form: Form): Promise<void> {
  const asked = step.form
  if (asked?.form !== form.form) throw new Error(`a form "${asked?.form ?? 'none'}" is asked, and the table has "${form.form}"`)
  switch (form.form) {
    case 'pairs':
      return await fillPairs(card, asked as Asked<'pairs'>, form)
    case 'facts':
      return await fillFacts(card, asked as Asked<'facts'>, form)
    case 'switches':
      return await fillSwitches(card, form)
    case 'conductors':
      for (const [index, { from, to, colour }] of form.conductors.entries()) {
        await card.getByRole('button', { name: 'Add a conductor' }).click()
        await fillLine(card, index, { From: from, To: to, Colour: colour })
      }
      return
    case 'loads':
      for (const [index, { load, outlet, volts }] of form.loads.entries()) {
        await card.getByRole('button', { name: 'Add a load' }).click()
        await fillLine(card, index, { Load: load, 'Outlet on the board': outlet, 'Volts on its label': volts })
      }
      return
    case 'settings':
      for (const [name, text] of Object.entries(form.settings)) {
        const field = card.getByLabel(SETTING[name] ?? name.replaceAll('-', ' '), { exact: true })
        if ((await field.count()) > 0) await field.fill(text)
      }
      return
    case 'checklist':
      for (const item of form.ticked) await card.locator('label.tick').filter({ hasText: item }).click()
      return
    case 'text':
      for (const { name, label } of (asked as Asked<'text'>).fields)
        await card.getByLabel(label, { exact: true }).fill(form.fields[name] ?? '')
  }
}

type Asked<F extends Form['form']> = Extract<NonNullable<StepView['form']>, { form: F }>
type FormOf<F extends Form['form']> = Extract<Form, { form: F }>

const SETTING: { readonly [name: string]: string } = {
  'set-point': 'Set point',
  'heating-mode': 'Heating mode',
  filtration: 'Filter times and hours a day',
  clock: 'Clock',
}

/** The places where hands go next, and any other place at which something other than zero was read. */
async function fillPairs(card: Locator, asked: Asked<'pairs'>, form: FormOf<'pairs'>): Promise<void> {
  if (form.tester_before) await card.locator('label.tick').filter({ hasText: 'Before: the tester' }).click()
  for (const { place, label, needed, pairs } of asked.places) {
    if (!needed) continue
    for (const pair of pairs) {
      const typed = form.volts[`${place}:${pair}`]?.typed ?? '0.0'
      if (typed === '0.0') await card.getByRole('button', { name: `0.0 volts at ${label}, ${pair}`, exact: true }).click()
      else await card.getByRole('group', { name: label, exact: true }).getByLabel(`${pair} V`, { exact: true }).fill(typed)
    }
  }
  if (form.tester_after) await card.locator('label.tick').filter({ hasText: 'After: the tester' }).click()
}

async function fillFacts(card: Locator, asked: Asked<'facts'>, form: FormOf<'facts'>): Promise<void> {
  for (const field of asked.facts) {
    const value = form.facts[field.slug]
    if (value === undefined) continue
    const group = card.locator('.fact').filter({ hasText: field.question })
    const chosen = field.choices?.find((choice) => choice.value === value)
    if (value === null) await group.getByText('Don’t know').click()
    else if (chosen !== undefined) await group.locator('label.tick').getByText(chosen.label, { exact: true }).click()
    else if (typeof value === 'object') await fillNumber(group, field.question, `${value.typed} ${value.unit}`)
    else await group.getByLabel(field.question, { exact: true }).fill(String(value))
  }
}

async function fillSwitches(card: Locator, form: FormOf<'switches'>): Promise<void> {
  const there = await card.locator('.switch').count()
  for (let count = there; count < form.positions.length; count += 1) await card.getByRole('button', { name: 'One switch more' }).click()
  for (const [index, position] of [...form.positions].entries()) {
    const row = card.locator('.switch').nth(index)
    await row.locator('label.segment').nth(['1', '0', '-'].indexOf(position)).click()
  }
  await card.getByLabel('Jumpers: which pins are joined').fill(form.jumpers)
}

async function fillLine(card: Locator, index: number, texts: { readonly [label: string]: string }): Promise<void> {
  const line = card.locator('fieldset.line').nth(index)
  for (const [label, text] of Object.entries(texts)) await line.getByLabel(label, { exact: true }).fill(text)
}
