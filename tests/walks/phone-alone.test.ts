// The phone without the server: no signal, no store, a closed browser, a refused answer. Nothing recorded is lost.
// How lines are exchanged in detail is tested without a browser.
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { Page } from 'playwright-core'
import { allAcknowledged, answer, join, openJob, PEOPLE, soon, startWalk, stepTitle } from './pages.ts'
import type { Links, Walk } from './pages.ts'

let walk: Walk

beforeAll(async () => {
  walk = await startWalk()
})
afterAll(async () => await walk.close())

async function stored(links: Links): Promise<{ type: string; body: { step?: string; outcome?: string } }[]> {
  const log = (await (await fetch(`${walk.url}/api/jobs/${links.staff}/events`)).json()) as { events: { type: string; body: object }[] }
  return log.events as { type: string; body: { step?: string; outcome?: string } }[]
}

async function answersOf(links: Links): Promise<string[]> {
  return (await stored(links)).filter((event) => event.type === 'answer-given').map((event) => `${event.body.step}=${event.body.outcome}`)
}

async function openAs(page: Page, links: Links, person: (typeof PEOPLE)[keyof typeof PEOPLE]): Promise<void> {
  await page.goto(`${walk.url}/job/${links.staff}`)
  await join(page, person)
  await page.locator('.card .meta').waitFor()
}

test('answers given without a signal stand in the log at once and reach the server once, when the signal is back', async () => {
  const links = await openJob(walk.url)
  const { page, context, faults } = await walk.device()
  await openAs(page, links, PEOPLE.dispatcher)
  await soon(async () => (await stored(links)).length).toBe(3)
  await allAcknowledged(page)
  await context.setOffline(true)
  await answer(page, 'Both are noted')
  await answer(page, 'Nobody in, everybody well')
  await answer(page, 'Never')
  expect(await page.locator('.row-answer').allInnerTexts()).toEqual(['Both are noted', 'Nobody in, everybody well', 'Never'])
  await page.getByText('No signal. 3 entries wait to be sent. Go on working.').waitFor()
  expect(await answersOf(links)).toEqual([])
  await context.setOffline(false)
  await soon(async () => await answersOf(links)).toEqual(['reach-back=done', 'people=nobody', 'shock=none'])
  await page.getByText('No signal').waitFor({ state: 'detached' })
  expect(faults).toEqual([])
  await context.close()
})

test('after the page was closed with answers unsent, the same link shows the same step, and they are sent then', async () => {
  const links = await openJob(walk.url)
  const { page, context } = await walk.device()
  await openAs(page, links, PEOPLE.dispatcher)
  await soon(async () => (await stored(links)).length).toBe(3)
  await allAcknowledged(page)
  await page.route('**/api/jobs/**', async (route) => await route.abort())
  await answer(page, 'Both are noted')
  await answer(page, 'Nobody in, everybody well')
  const before = await stepTitle(page)
  await page.close()
  expect(await answersOf(links)).toEqual([])
  const again = await context.newPage()
  await again.goto(`${walk.url}/job/${links.staff}`)
  await again.locator('.card .meta').waitFor()
  expect(await stepTitle(again)).toBe(before)
  expect(await again.locator('.row-answer').allInnerTexts()).toEqual(['Both are noted', 'Nobody in, everybody well'])
  await soon(async () => await answersOf(links)).toEqual(['reach-back=done', 'people=nobody'])
  await context.close()
})

test('what is typed into a field is still there after the page was closed', async () => {
  const links = await openJob(walk.url, { practice: true })
  const { page, context } = await walk.device()
  await openAs(page, links, PEOPLE.dispatcher)
  for (let step = 0; step < 40 && (await page.locator('.card .number input').count()) === 0; step += 1) {
    await page.getByRole('button', { name: 'Give this answer' }).click()
    await page.waitForTimeout(400)
  }
  await page.locator('.card .number input').first().fill('102,6')
  await page.reload()
  await page.locator('.card .number input').first().waitFor()
  expect(await page.locator('.card .number input').first().inputValue()).toBe('102,6')
  await context.close()
})

test('a phone whose store fails says so, works on, and sends', async () => {
  const links = await openJob(walk.url)
  const { page, context, faults } = await walk.device()
  await page.addInitScript(`IDBFactory.prototype.open = () => { throw new DOMException('no store here', 'UnknownError') }`)
  await openAs(page, links, PEOPLE.dispatcher)
  await answer(page, 'Both are noted')
  await page.getByText('Not saved on this phone.').waitFor()
  await soon(async () => await answersOf(links)).toEqual(['reach-back=done'])
  expect(faults).toEqual([])
  await context.close()
})

test('an answer to a step that somebody else answered meanwhile is kept and shown with the reason, and the log says what changed', async () => {
  const links = await openJob(walk.url)
  const [first, second] = [await walk.device(), await walk.device()]
  await openAs(first.page, links, PEOPLE.dispatcher)
  await openAs(second.page, links, { ...PEOPLE.dispatcher, name: 'Sam (invented)' } as never)
  await soon(async () => (await stored(links)).length).toBe(4)
  await allAcknowledged(first.page)
  await first.page.reload()
  await first.page.locator('.card .meta').waitFor()
  await first.context.setOffline(true)
  await answer(first.page, 'Both are noted')
  await first.page.locator('.card').getByRole('button', { name: 'I can’t do this here' }).click()
  await first.page.getByLabel('A few words, if they help').fill('the line was bad')
  await first.page.getByRole('button', { name: 'Nobody knows' }).click()
  await second.page.locator('.card').getByRole('button', { name: 'Both are noted' }).click()
  await second.page.waitForTimeout(400)
  await answer(second.page, 'Nobody in, everybody well')
  await soon(async () => (await answersOf(links)).length).toBe(2)
  await first.context.setOffline(false)
  const parked = first.page.getByRole('region', { name: 'Not taken' })
  await parked.first().waitFor({ timeout: 20_000 })
  expect((await parked.allInnerTexts()).join(' ')).toContain('the line was bad')
  expect(await first.page.locator('.notices').innerText()).toContain('Sam (invented)')
  expect(await first.page.locator('.row-answer').allInnerTexts()).toEqual(['Both are noted', 'Nobody in, everybody well'])
  expect(await answersOf(links)).toEqual(['reach-back=done', 'people=nobody'])
  for (let left = await parked.count(); left > 0; left -= 1) await parked.first().getByRole('button').click()
  await parked.waitFor({ state: 'detached' })
  await Promise.all([first.context.close(), second.context.close()])
})

test('what the server refuses stands on the card itself, with what was typed, and is answered anew from there', async () => {
  const links = await openJob(walk.url)
  const { page, context, faults } = await walk.device()
  await openAs(page, links, PEOPLE.dispatcher)
  await soon(async () => (await stored(links)).length).toBe(3)
  await allAcknowledged(page)
  const first = await stepTitle(page)
  await page.route('**/api/jobs/*/events', async (route) => {
    const sent = route.request().postDataJSON() as { items: { envelope: { id: string } }[] } | null
    if (route.request().method() !== 'POST' || sent === null) return await route.continue()
    const items = sent.items.map(({ envelope: { id } }) => ({
      id,
      taken: false,
      code: 'JOB_SAFETY',
      detail: 'Say first that the water is clear.',
    }))
    const body = { type: 'about:blank', title: 'Refused', status: 409, code: 'JOB_SAFETY', detail: 'Refused.', details: { items } }
    await route.fulfill({ status: 409, contentType: 'application/problem+json', body: JSON.stringify(body) })
  })
  await page.locator('.card').getByRole('button', { name: 'Both are noted' }).click()
  await page.locator('.card .problem').waitFor()
  expect(await page.locator('.card .problem').innerText()).toContain('Not recorded. Say first that the water is clear.')
  expect(await stepTitle(page)).toBe(first)
  expect(await page.getByRole('region', { name: 'Not taken' }).innerText()).toContain(first)
  expect(await page.getByText('Recorded: Both are noted.').count()).toBe(0)
  await page.unroute('**/api/jobs/*/events')
  await page.waitForTimeout(320)
  await answer(page, 'Both are noted')
  await soon(async () => await answersOf(links)).toEqual(['reach-back=done'])
  expect(faults).toEqual([])
  await context.close()
})
