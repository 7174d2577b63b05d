// Invented visits that go another way than the practice job, each from a phone to its end and its note.
// The stretch before the interesting part is answered over HTTP; what it leads to is judged in the page.
import { mkdtemp } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join as joinPath } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { Page } from 'playwright-core'
import type { JobView } from '#graphs/contract'
import { completeJob, creepJob, handOverJob, LEFT_OFF, voltageJob } from '../jobs/invented-jobs.ts'
import { pairsForm } from '../jobs/drive-job.ts'
import { PLAIN_ANSWERS } from '../jobs/plain-answers.ts'
import { Answering } from './answering.ts'
import type { Speaker, Table } from './answering.ts'
import { findByAxe, join, openJob, PEOPLE, soon, startWalk, stepTitle } from './pages.ts'
import type { Device, Links, Walk } from './pages.ts'

const OFFICE: Speaker = { person: 'office-of-the-walk', role: 'dispatcher', device: 'desk-of-the-walk' }
/** Steps that every tub may ask: what nobody can read there stays open. */
const PLAIN: Table = {
  ...PLAIN_ANSWERS,
  'sensor-resistance.curve': { form: { form: 'facts', facts: { 'sensor-curve': 'S' } } },
}
const A_WALK_MS = 120_000
let walk: Walk
let shots: string

beforeAll(async () => {
  walk = await startWalk()
  shots = await mkdtemp(joinPath(tmpdir(), 'backwrench-walks-'))
})
afterAll(async () => await walk.close())

type Visit = Device & { readonly links: Links; readonly answering: Answering; readonly me: Speaker }

/** Booked over HTTP by the office; then a technician opens the link, says who they are, and stands at the tub. */
async function visit(table: Table): Promise<Visit> {
  const links = await openJob(walk.url, { practice: true })
  const answering = new Answering(walk.url, links, table)
  await answering.overHttp(OFFICE, (_, view) => view.waiting !== undefined)
  const device = await walk.device()
  await device.page.clock.install()
  await device.page.goto(`${walk.url}/job/${links.staff}`)
  await join(device.page, PEOPLE.technician)
  await device.page.locator('.card .meta').waitFor()
  const me = await speakerOf(device.page, 'technician')
  await device.page.getByRole('button', { name: 'I stand at the tub now' }).click()
  await soon(async () => (await answering.view(me.person)).step?.block).toBeDefined()
  return { ...device, links, answering, me }
}

/** Who speaks on this phone: what is sent over HTTP for them goes under the same name. */
async function speakerOf(page: Page, role: Speaker['role']): Promise<Speaker> {
  const [person, device] = (await page.evaluate(
    `[JSON.parse(localStorage.getItem('person') ?? Object.entries(localStorage).find(([key]) => key.startsWith('person:'))[1]).id, localStorage.getItem('device')]`,
  )) as [string, string]
  return { person, device, role }
}

async function skipTo({ page, answering, me }: Visit, until: string): Promise<void> {
  await answering.overHttp(me, until)
  await page.reload()
  await page.locator('.card .meta').waitFor()
}

async function noteOf(links: Links, voice: 'customer' | 'office' | 'next-technician'): Promise<string> {
  const reply = await fetch(`${walk.url}/api/jobs/${links.staff}/note?voice=${voice}&format=txt`)
  expect(reply.status).toBe(200)
  return await reply.text()
}

async function shoot(page: Page, name: string): Promise<void> {
  await page.screenshot({ path: joinPath(shots, `${name}.png`) })
}

test(
  'voltage after the breaker is off stops the work, and nothing behind the cover is offered any more',
  async () => {
    const table: Table = {
      ...voltageJob.answers,
      'make-dead.prove': pairsForm({ 'terminals:L1-N': '118' }),
    }
    const it = await visit(table)
    const { page, answering, me, links } = it
    await skipTo(it, 'make-dead.prove')
    expect(await findByAxe(page)).toEqual([])
    const stopped = await answering.inPage(page, me, (name) => name !== 'make-dead.prove')
    expect(stopped.hazards.map((one) => one.hazard)).toContain('voltage')
    await shoot(page, 'voltage-stop')
    const from = answering.names.length
    const last = await answering.inPage(page, me, () => false)
    expect(last.ended?.ending).toBeDefined()
    expect(await stepTitle(page)).toContain('lectrician')
    expect(answering.names.slice(from).filter((name) => !/^(stop-for-electrician|leave-off|frost-plan)\./.test(name))).toEqual([])
    expect(await noteOf(links, 'office')).toContain('Voltage was found after switching off.')
    expect(await noteOf(links, 'next-technician')).toContain('118')
    expect(it.faults).toEqual([])
    await it.context.close()
  },
  A_WALK_MS,
)

test(
  'a corroded sensor plug is cleaned, the reading is right again and proved, and no part is fitted',
  async () => {
    const believesCold = { readings: { water: '103.0 degF', display: '93 degF', setpoint: '98 degF' } }
    const it = await visit({
      ...PLAIN,
      ...completeJob.answers,
      'heating-symbol.test': 'on',
      'display-and-thermometer.test': believesCold,
      'filter-out.test': 'no-change',
      'dead-look.look': 'clean',
      'plug-clean-compare.clean': 'cleaned',
      'plug-clean-compare.measure': { readings: { water: '103.0 degF', display: '103 degF', setpoint: '98 degF' } },
      'plug-clean-compare.judge': 'corrected',
      'prove-the-repair.cool-for-cycles': 'cooled',
    })
    const { page, answering, me, links } = it
    await skipTo(it, 'sensor-resistance.test')
    const proving = await answering.inPage(page, me, (name) => name.startsWith('prove-the-repair.'))
    expect(proving.trail.some((item) => !item.struck && item.answer === 'Wrong before, right now')).toBe(true)
    expect(await findByAxe(page)).toEqual([])
    await shoot(page, 'plug-corrected')
    const last = await answering.inPage(page, me, () => false)
    expect(last.ended?.ending).toBe('Repaired and proved')
    expect(await page.locator('.tub-state').innerText()).toBe('The tub is safe to use.')
    expect(answering.names.filter((name) => /-replacement\./.test(name))).toEqual([])
    for (const voice of ['office', 'next-technician'] as const)
      expect(await noteOf(links, voice)).toContain('No part was fitted or taken out.')
    expect(it.faults).toEqual([])
    await it.context.close()
  },
  A_WALK_MS,
)

test(
  'heat creep in a hot spell is settled by phone, without a visit and without a part',
  async () => {
    const links = await openJob(walk.url, { practice: true })
    const answering = new Answering(walk.url, links, {
      ...PLAIN,
      ...creepJob.answers,
      'overheating.trial-offer': 'try',
      'cool-down-trial.conditions': 'all',
      'cool-down-trial.set-up': 'ready',
      'cool-down-trial.let-it-cool': 'done',
      'cool-down-trial.how-it-went': 'settles',
    })
    await answering.overHttp(OFFICE, 'weather-and-hours.test')
    const { page, context, faults } = await walk.device()
    // The server takes nothing from a phone more than a day ahead of it: this one is an hour slow, and then a day passes.
    await page.clock.install({ time: Date.now() - 3_600_000 })
    await page.goto(`${walk.url}/job/${links.staff}`)
    await join(page, PEOPLE.dispatcher)
    await page.locator('.card .meta').waitFor()
    const me = await speakerOf(page, 'dispatcher')
    await answering.inPage(page, me, 'cool-down-trial.let-it-cool')
    expect(await findByAxe(page)).toEqual([])
    await shoot(page, 'creep-wait')
    const last = await answering.inPage(page, me, () => false)
    expect(last.visit).toBe(0)
    expect(last.ended?.ending).toBe('Solved without a visit')
    expect(await page.locator('.ended').innerText()).toContain('104 °F')
    for (const voice of ['office', 'next-technician'] as const)
      expect(await noteOf(links, voice)).toContain('No part was fitted or taken out.')
    expect(faults).toEqual([])
    await context.close()
  },
  A_WALK_MS,
)

test(
  'without a meter nothing is proved dead: the covers go back, it is another day, and no board is fitted',
  async () => {
    const it = await visit({
      ...PLAIN,
      ...handOverJob.answers,
      'make-dead.prove': { not_done: 'no-tool', words: 'invented: the meter is at the shop' },
      'make-dead.tester-or-person': 'none',
      'cannot-prove.hands-out': 'tester',
    })
    const { page, answering, me, links } = it
    await skipTo(it, 'make-dead.prove')
    await answering.inPage(page, me, 'cannot-prove.hands-out')
    expect(await findByAxe(page)).toEqual([])
    await shoot(page, 'no-meter')
    const last = await answering.inPage(page, me, () => false)
    expect(answering.names).toContain('leave-off.covers-back')
    expect(answering.names.filter((name) => /^(board-replacement|sensor-resistance|as-found-record)\./.test(name))).toEqual([])
    expect(last.ended?.tub).toMatch(/off/i)
    expect(last.rail.map((one) => one.power)).not.toContain('locked')
    for (const voice of ['office', 'next-technician'] as const)
      expect(await noteOf(links, voice)).toContain('No part was fitted or taken out.')
    expect(await noteOf(links, 'next-technician')).toContain('the meter is at the shop')
    expect(it.faults).toEqual([])
    await it.context.close()
  },
  A_WALK_MS,
)

test(
  'with one wrench the board is not replaced today: off and locked, and the heater studs are left alone',
  async () => {
    const it = await visit({
      ...PLAIN,
      ...handOverJob.answers,
      'board-replacement.all-known': 'known',
      'board-replacement.bench': 'one-wrench',
      'board-replacement.second-wrench': 'none',
    })
    const { page, answering, me, links } = it
    await skipTo(it, 'board-replacement.bench')
    const from = answering.names.length
    await answering.inPage(page, me, 'board-replacement.second-wrench')
    expect(await findByAxe(page)).toEqual([])
    await shoot(page, 'one-wrench')
    const last = await answering.inPage(page, me, () => false)
    const after = answering.names.slice(from)
    expect(after.filter((name) => name.startsWith('board-replacement.'))).toEqual([
      'board-replacement.bench',
      'board-replacement.second-wrench',
    ])
    expect(after.filter((name) => /stud|heater|element/.test(name))).toEqual([])
    expect(last.ended?.tub).toMatch(/off/i)
    for (const voice of ['office', 'next-technician'] as const) {
      const note = await noteOf(links, voice)
      expect(note).toContain('No part was fitted or taken out.')
      expect(note).toContain('A lock is on: the shop')
    }
    expect(it.faults).toEqual([])
    await it.context.close()
  },
  A_WALK_MS,
)

/** From what is least safe for hands to what is safest. */
const SAFER = ['live-open', 'live-shut', 'closed', 'proving', 'locked']

test(
  'an early answer changed in the middle of the lockout strikes the later ones; the lock stays, and nothing looks safer',
  async () => {
    const it = await visit({ ...PLAIN, ...completeJob.answers, ...LEFT_OFF, 'overheating.silent-off': 'off', 'make-dead.see-lock': 'mine' })
    const { page, answering, me, links } = it
    await skipTo(it, 'make-dead.lock')
    await answering.inPage(page, me, 'make-dead.let-it-settle')
    const before = await answering.view(me.person)
    await page.getByRole('button', { name: 'change Does it circulate on low' }).click()
    const sheet = page.getByRole('dialog')
    await sheet.waitFor()
    await shoot(page, 'change-sheet')
    expect(await findByAxe(page)).toEqual([])
    await page.waitForTimeout(320)
    await sheet.getByRole('button', { name: 'Pump is silent' }).click()
    await sheet.waitFor({ state: 'detached' })
    const isRiseStruck = (view: JobView): boolean | undefined =>
      view.trail.find((item) => item.key.includes('rise-with-demand-off.test'))?.struck
    expect(isRiseStruck(before)).toBe(false)
    await soon(async () => isRiseStruck(await answering.view(me.person))).toBe(true)
    const changed = await answering.view(me.person)
    await page.waitForTimeout(320)
    expect(await page.locator('.struck').first().innerText()).toContain('Struck out')
    expect(changed.power).toBe(before.power)
    expect(await page.locator('.job-power').innerText()).toMatch(/lock/i)
    const from = answering.names.length
    await answering.inPage(page, me, (name, view) => {
      if (!answering.names.includes('make-dead.prove')) expect(SAFER.indexOf(view.power)).toBeLessThanOrEqual(SAFER.indexOf(before.power))
      return name.startsWith('make-dead.prove')
    })
    expect(answering.names).not.toContain('make-dead.prove')
    expect(answering.names.slice(from)).toContain('overheating.silent-off')
    const last = await answering.inPage(page, me, () => false)
    expect(await stepTitle(page)).toBe(last.ended?.ending)
    await shoot(page, 'changed-end')
    expect(answering.names.slice(from)).not.toContain('rise-with-demand-off.test')
    expect(await noteOf(links, 'office')).toContain('A lock is on: the shop')
    expect(await noteOf(links, 'next-technician')).toMatch(/pump/i)
    expect(it.faults).toEqual([])
    await it.context.close()
  },
  A_WALK_MS,
)
