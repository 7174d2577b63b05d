// Where the job stands, as a technician sees it: the picture with the way taken, the same as a list, by keyboard, on phone and desk.
// What the picture holds is tested with the drawing.
import { afterAll, beforeAll, expect, test } from 'vitest'
import { answer, findByAxe, join, openJob, PEOPLE, soon, startWalk, stepTitle } from './pages.ts'
import type { Walk } from './pages.ts'

let walk: Walk
beforeAll(async () => {
  walk = await startWalk()
})
afterAll(async () => await walk.close())

const SIZES = [
  ['a phone', {}],
  ['a desk', { viewport: { width: 1280, height: 800 }, isMobile: false, hasTouch: false }],
] as const

test.each(SIZES)('on %s the picture shows where the job stands and how it came there', async (name, options) => {
  const { staff } = await openJob(walk.url)
  const { page, context, faults } = await walk.device(options)
  const asked: string[] = []
  page.on('request', (request) => asked.push(request.url()))
  await page.goto(`${walk.url}/job/${staff}`)
  await join(page, PEOPLE.dispatcher)
  await page.locator('.card .meta').waitFor()
  await answer(page, 'Both are noted')
  await answer(page, 'Nobody in, everybody well')
  const title = await stepTitle(page)
  expect(asked.filter((url) => /where|pictures/.test(url))).toEqual([])
  await page.getByRole('button', { name: 'Where am I' }).focus()
  await page.keyboard.press('Enter')
  const sheet = page.getByRole('dialog', { name: 'Where am I' })
  await sheet.locator('.picture svg').waitFor()
  expect(await sheet.locator('[aria-current="step"]').innerText()).toBe(`You are here: ${title}`)
  const marked = await page.evaluate(`[...document.querySelectorAll('.picture .step.taken')].map((one) => one.dataset.step)`)
  expect((marked as string[]).length).toBeGreaterThanOrEqual(3)
  expect(await page.locator('.picture .arrow.taken').count()).toBe((marked as string[]).length - 1)
  const present = sheet.locator('.picture .step.present')
  expect(await present.locator('title').textContent()).toContain(title)
  const [box, frame] = [await present.boundingBox(), await sheet.locator('.picture').boundingBox()]
  if (box === null || frame === null) throw new Error('nothing is shown')
  expect(box.x).toBeGreaterThanOrEqual(frame.x - 2)
  expect(box.x + box.width).toBeLessThanOrEqual(frame.x + frame.width + 2)
  expect(box.y).toBeGreaterThanOrEqual(frame.y)
  expect(await findByAxe(page)).toEqual([])
  if (process.env.SHOTS !== undefined) await page.screenshot({ path: `${process.env.SHOTS}/where-${name.slice(2)}.png` })
  await sheet
    .getByRole('button', { name: 'Water too hot' })
    .or(sheet.getByRole('button', { name: 'Overheating' }))
    .click()
  await soon(async () => await sheet.locator('.picture svg').getAttribute('data-block')).toBe('overheating')
  if (process.env.SHOTS !== undefined) await page.screenshot({ path: `${process.env.SHOTS}/where-${name.slice(2)}-flow.png` })
  await page.keyboard.press('Escape')
  await soon(async () => await sheet.count()).toBe(0)
  expect(faults).toEqual([])
  await context.close()
})

test('without the picture the list still says where the job stands', async () => {
  const { staff } = await openJob(walk.url)
  const { page, context } = await walk.device()
  await page.route('**/pictures/**', async (route) => await route.abort())
  await page.goto(`${walk.url}/job/${staff}`)
  await join(page, PEOPLE.dispatcher)
  await page.locator('.card .meta').waitFor()
  const title = await stepTitle(page)
  await page.getByRole('button', { name: 'Where am I' }).click()
  const sheet = page.getByRole('dialog', { name: 'Where am I' })
  await sheet.getByText('The picture is not here.').waitFor()
  expect(await sheet.locator('[aria-current="step"]').innerText()).toBe(`You are here: ${title}`)
  await context.close()
})

test('a homeowner gets no picture', async () => {
  const { homeowner } = await openJob(walk.url)
  const { page, context } = await walk.device()
  await page.goto(`${walk.url}/h/${homeowner}`)
  await page.getByRole('heading').first().waitFor()
  expect(await page.getByRole('button', { name: 'Where am I' }).count()).toBe(0)
  await context.close()
})
