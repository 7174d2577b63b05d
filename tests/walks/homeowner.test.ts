// What a homeowner meets behind their link: questions only, made by the server; nothing of the engine, nothing of other origins.
// What the server may hand out is tested at its routes.
import { afterAll, beforeAll, expect, test } from 'vitest'
import { answer, findByAxe, openJob, soon, startWalk, stepTitle } from './pages.ts'
import type { Walk } from './pages.ts'

let walk: Walk

beforeAll(async () => {
  walk = await startWalk()
})
afterAll(async () => await walk.close())

test('the homeowner answers one question at a time, without engine, edition or log, and from one origin', async () => {
  const links = await openJob(walk.url)
  const { page, context, faults } = await walk.device()
  const asked: string[] = []
  page.on('request', (request) => asked.push(request.url()))
  await page.goto(`${walk.url}/h/${links.homeowner}`)
  await page.getByRole('button', { name: 'Begin' }).click()
  await page.locator('.card .meta').waitFor()
  expect(await findByAxe(page)).toEqual([])
  expect(await stepTitle(page)).toBe('What number can we call back, and at which address is the tub?')
  await answer(page, 'Both are noted')
  await answer(page, 'Nobody in, everybody well')
  expect(await page.evaluate('document.activeElement.tagName')).toBe('H2')
  expect(await page.getByRole('region', { name: 'Your answers' }).innerText()).toContain('Nobody in, everybody well')
  expect(await page.locator('body').innerText()).not.toMatch(/Locked|covers on|proved/)
  expect(asked.filter((url) => !url.startsWith(walk.url))).toEqual([])
  expect(asked.filter((url) => /editions|\/events|\/assets\/index-/.test(url))).toEqual([])
  expect(await findByAxe(page)).toEqual([])
  expect(faults).toEqual([])
  await context.close()
})

test('the same link shows the same question after the page was closed, and the name is not asked twice', async () => {
  const links = await openJob(walk.url)
  const { page, context } = await walk.device()
  await page.goto(`${walk.url}/h/${links.homeowner}`)
  await page.getByRole('button', { name: 'Begin' }).click()
  await answer(page, 'Both are noted')
  const before = await stepTitle(page)
  await page.close()
  const again = await context.newPage()
  await again.goto(`${walk.url}/h/${links.homeowner}`)
  await again.locator('.card .meta').waitFor()
  expect(await stepTitle(again)).toBe(before)
  await context.close()
})

test('a red flag from the homeowner leads to its procedure, and the staff page knows of it', async () => {
  const links = await openJob(walk.url)
  const { page, context } = await walk.device()
  await page.goto(`${walk.url}/h/${links.homeowner}`)
  await page.getByRole('button', { name: 'Begin' }).click()
  const first = await stepTitle(page)
  await page.getByRole('button', { name: 'Danger?' }).click()
  const sheet = page.getByRole('dialog', { name: 'Step away from the tub' })
  await sheet.waitFor()
  expect(await findByAxe(page)).toEqual([])
  await sheet.getByRole('button', { name: 'Smoke, burning smell, buzzing, sparks or a hot plug' }).click()
  await soon(async () => await stepTitle(page)).not.toBe(first)
  const log = (await (await fetch(`${walk.url}/api/jobs/${links.staff}/events`)).json()) as {
    events: { type: string; body: { hazard?: string } }[]
  }
  expect(log.events.some((event) => event.type === 'hazard-seen' && event.body.hazard === 'heat')).toBe(true)
  await context.close()
})

test('without a signal the homeowner is told, keeps the question, and the same tap counts once later', async () => {
  const links = await openJob(walk.url)
  const { page, context } = await walk.device()
  await page.goto(`${walk.url}/h/${links.homeowner}`)
  await page.getByRole('button', { name: 'Begin' }).click()
  await page.locator('.card .meta').waitFor()
  const first = await stepTitle(page)
  await context.setOffline(true)
  await page.waitForTimeout(350)
  await page.getByRole('button', { name: 'Both are noted' }).click()
  await page.getByText('Not sent yet: no signal.').waitFor()
  expect(await stepTitle(page)).toBe(first)
  await context.setOffline(false)
  await page.waitForTimeout(350)
  await answer(page, 'Both are noted')
  const log = (await (await fetch(`${walk.url}/api/jobs/${links.staff}/events`)).json()) as { events: { type: string }[] }
  expect(log.events.filter((event) => event.type === 'answer-given')).toHaveLength(1)
  await context.close()
})

test('a past answer is changed by the homeowner with the same controls, filled in as it stands', async () => {
  const links = await openJob(walk.url)
  const { page, context, faults } = await walk.device()
  await page.goto(`${walk.url}/h/${links.homeowner}`)
  await page.getByRole('button', { name: 'Begin' }).click()
  await answer(page, 'Both are noted')
  await answer(page, 'In the water, and well')
  await page.getByRole('button', { name: 'change Anyone in the tub, hurt or stuck' }).click()
  const sheet = page.getByRole('dialog')
  await sheet.waitFor()
  expect(await sheet.innerText()).toContain('It stands as: In the water, and well')
  expect(await sheet.innerText()).not.toMatch(/log|struck/)
  expect(await findByAxe(page)).toEqual([])
  await page.waitForTimeout(320)
  await sheet.getByRole('button', { name: 'Nobody in, everybody well' }).click()
  await sheet.waitFor({ state: 'detached' })
  await page.getByText('Changed.').waitFor()
  expect(await page.getByRole('region', { name: 'Your answers' }).innerText()).toContain('Nobody in, everybody well')
  const log = (await (await fetch(`${walk.url}/api/jobs/${links.staff}/events`)).json()) as { events: { type: string; body: object }[] }
  expect(log.events.filter((event) => event.type === 'answer-changed').map((event) => event.body)).toMatchObject([{ outcome: 'nobody' }])
  expect(faults).toEqual([])
  await context.close()
})
