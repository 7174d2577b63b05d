// Two technicians at one tub: one phone holds it, the other waits, takes it over, and the first is told.
// What a hand-over does to locks and proofs is tested without a browser.
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { Page } from 'playwright-core'
import { findByAxe, join, openJob, PEOPLE, soon, startWalk, stepTitle } from './pages.ts'
import type { Walk } from './pages.ts'

let walk: Walk

beforeAll(async () => {
  walk = await startWalk()
})
afterAll(async () => await walk.close())

async function practiseUntil(page: Page, title: string): Promise<void> {
  for (let step = 0; step < 80 && (await stepTitle(page)) !== title; step += 1) {
    const fill = page.getByRole('button', { name: 'Fill it in' })
    const before = await headOf(page)
    if ((await fill.count()) > 0) {
      await fill.click()
      await page.locator('.card button.main').click()
    } else
      await page
        .locator('.card')
        .getByRole('button', { name: /Give this answer|I stand at the tub now/ })
        .click()
    await soon(async () => await headOf(page)).not.toBe(before)
    await page.waitForTimeout(320)
  }
  expect(await stepTitle(page)).toBe(title)
}

/** A step that waits and the same step offered have one title: the line above it tells them apart. */
async function headOf(page: Page): Promise<string> {
  return `${await page.locator('.card .meta').first().innerText()} ${await stepTitle(page)}`
}

test('the second phone waits while the first holds the tub, and takes it over with one button', async () => {
  const links = await openJob(walk.url, { practice: true })
  const [first, second] = [await walk.device(), await walk.device()]
  await first.page.goto(`${walk.url}/job/${links.staff}`)
  await join(first.page, PEOPLE.technician)
  await first.page.locator('.card .meta').waitFor()
  await practiseUntil(first.page, 'Put your own lock on')
  await second.page.goto(`${walk.url}/job/${links.staff}`)
  await second.page.getByLabel('I stand at the tub now').check()
  await join(second.page, { ...PEOPLE.technician, name: 'Max (invented)' })
  await second.page.getByText('Another phone holds the tub.').waitFor()
  expect(await findByAxe(second.page)).toEqual([])
  await second.page.getByRole('button', { name: 'Take the tub. Say it aloud first.' }).click()
  await second.page.getByText('Another phone holds the tub.').waitFor({ state: 'detached' })
  await first.page.evaluate(`dispatchEvent(new Event('focus'))`)
  await first.page.getByText('Max (invented) holds the tub now.').waitFor()
  await first.page.getByText('Another phone holds the tub.').waitFor()
  expect([...first.faults, ...second.faults]).toEqual([])
  await Promise.all([first.context.close(), second.context.close()])
}, 200_000)

test('whoever joins and stands at the tub begins the visit; the office is not asked where it stands', async () => {
  const links = await openJob(walk.url, { practice: true })
  const { page, context, faults } = await walk.device()
  await page.goto(`${walk.url}/job/${links.staff}`)
  await page.getByLabel('I stand at the tub now').check()
  await page.getByRole('radio', { name: 'Dispatcher' }).check({ force: true })
  expect(await page.getByLabel('I stand at the tub now').count()).toBe(0)
  await page.getByRole('radio', { name: 'Licensed electrician' }).check({ force: true })
  expect(await page.getByLabel('I stand at the tub now').count()).toBe(0)
  await join(page, PEOPLE.technician)
  await page.locator('.card .meta').waitFor()
  const log = async (): Promise<string[]> => {
    const reply = (await (await fetch(`${walk.url}/api/jobs/${links.staff}/events`)).json()) as { events: { type: string }[] }
    return reply.events.map((event) => event.type)
  }
  await soon(log).toContain('arrived')
  await soon(async () => await page.getByRole('button', { name: 'Arrive on site' }).count()).toBe(0)
  expect(faults).toEqual([])
  await context.close()
})
