// What a technician can do on the log page besides answering: undo, change, stop, type, and read it with large text.
// The way through a whole job is another file.
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { Page } from 'playwright-core'
import { answer, findByAxe, join, openJob, PEOPLE, soon, startWalk, stepTitle } from './pages.ts'
import type { Device, Walk } from './pages.ts'

let walk: Walk

beforeAll(async () => {
  walk = await startWalk()
})
afterAll(async () => await walk.close())

async function openPage(practice = false): Promise<Device> {
  const links = await openJob(walk.url, { practice })
  const device = await walk.device()
  await device.page.goto(`${walk.url}/job/${links.staff}`)
  await join(device.page, PEOPLE.technician)
  await device.page.locator('.card .meta').waitFor()
  return device
}

async function practiseUntil(page: Page, wanted: () => Promise<boolean>): Promise<void> {
  for (let step = 0; step < 60 && !(await wanted()); step += 1) {
    const fill = page.getByRole('button', { name: 'Fill it in' })
    if ((await fill.count()) > 0) {
      await fill.click()
      await page.locator('.card button.main').click()
    } else
      await page
        .locator('.card')
        .getByRole('button', { name: /Give this answer|I stand at the tub now/ })
        .click()
    await page.waitForTimeout(400)
  }
  expect(await wanted()).toBe(true)
}

test('an answer can be taken back for ten seconds', async () => {
  const { page, context } = await openPage()
  const first = await stepTitle(page)
  await answer(page, 'Both are noted')
  await page.getByText('Recorded: Both are noted.').waitFor()
  await page.getByRole('button', { name: /^Undo/ }).click()
  await soon(async () => await stepTitle(page)).toBe(first)
  expect(await page.locator('.row-answer').count()).toBe(0)
  await context.close()
})

test('after an answer the next step stands right below the bar of the last one', async () => {
  for (const options of [{}, { viewport: { width: 1280, height: 800 }, isMobile: false, hasTouch: false }]) {
    const { staff } = await openJob(walk.url)
    const { page, context } = await walk.device(options)
    await page.goto(`${walk.url}/job/${staff}`)
    await join(page, PEOPLE.dispatcher)
    await page.locator('.card .meta').waitFor()
    for (const label of ['Both are noted', 'Nobody in, everybody well', 'Never', 'None of these', 'Neither']) await answer(page, label)
    const gap = await page.evaluate(`(() => {
      const top = (selector) => document.querySelector(selector).getBoundingClientRect()
      return [top('.undo-bar').top - top('.job-header').bottom, top('.card').top - top('.undo-bar').bottom]
    })()`)
    const [above, between] = gap as [number, number]
    expect(above).toBeGreaterThanOrEqual(-2)
    expect(above).toBeLessThan(90)
    expect(Math.abs(between)).toBeLessThan(2)
    await context.close()
  }
})

test('a changed answer strikes the later ones that no longer fit, and they stay readable', async () => {
  const { page, context, faults } = await openPage()
  await answer(page, 'Both are noted')
  await answer(page, 'In the water, and well')
  await answer(page, 'Everybody is out')
  await page.getByRole('button', { name: 'change Anyone in the tub, hurt or stuck' }).click()
  const sheet = page.getByRole('dialog')
  await sheet.waitFor()
  expect(await sheet.innerText()).toContain('It stands as: In the water, and well')
  expect(await findByAxe(page)).toEqual([])
  await sheet.getByRole('button', { name: 'Nobody in, everybody well' }).click()
  await sheet.waitFor({ state: 'detached' })
  await page.getByText('1 later answer is struck through.').waitFor()
  expect(await page.locator('.struck').innerText()).toContain('Everybody is out')
  expect(await page.locator('.struck s').first().innerText()).toBe('Everybody is out')
  expect(await findByAxe(page)).toEqual([])
  expect(faults).toEqual([])
  await context.close()
})

test('stop says what to do with the hands, lists the red flags, and leads to the procedure', async () => {
  const { page, context } = await openPage()
  await answer(page, 'Both are noted')
  await page.getByRole('button', { name: 'Stop', exact: true }).click()
  const sheet = page.getByRole('dialog', { name: 'Hands out. Step back.' })
  await sheet.waitFor()
  expect(await findByAxe(page)).toEqual([])
  await sheet.getByRole('button', { name: 'Somebody felt a tingle or a shock' }).click()
  await sheet.waitFor({ state: 'detached' })
  await page.getByRole('region', { name: 'Standing hazards' }).waitFor()
  expect(await page.locator('.standing').innerText()).toContain('A shock or tingle was felt')
  await context.close()
})

test('stop stays on the screen and covers nothing that has the focus, from the first control to the last', async () => {
  const { page, context } = await openPage()
  for (const label of ['Both are noted', 'Nobody in, everybody well', 'Never', 'None of these', 'Neither']) await answer(page, label)
  await page.evaluate('scrollTo(0, 0); document.activeElement.blur()')
  const covered: string[] = []
  for (let presses = 0; presses < 40; presses += 1) {
    await page.keyboard.press('Tab')
    const found = (await page.evaluate(`(() => {
      const one = document.activeElement
      const header = document.querySelector('.job-header')
      const stop = document.querySelector('.stop').getBoundingClientRect()
      if (stop.top < 0 || stop.bottom > innerHeight) return 'stop has left the screen'
      if (one === document.body || header.contains(one)) return ''
      const box = one.getBoundingClientRect()
      return box.top < header.getBoundingClientRect().bottom - 1 || box.bottom > innerHeight + 1 ? one.textContent + ' is covered' : ''
    })()`)) as string
    if (found !== '') covered.push(found)
  }
  expect(covered).toEqual([])
  await context.close()
})

test('on a step about safety a typed answer is not taken, it only points to the buttons', async () => {
  const { page, context } = await openPage()
  await answer(page, 'Both are noted')
  await answer(page, 'Nobody in, everybody well')
  const before = await stepTitle(page)
  await page.getByLabel('Or type the answer').fill('never')
  await page.getByRole('button', { name: 'Read it' }).click()
  await page.getByText('This step is about safety. Answer it with its own buttons above.').waitFor()
  expect(await stepTitle(page)).toBe(before)
  await context.close()
})

test('a red word is asked about, and the sheet of red flags has it with it', async () => {
  const { page, context } = await openPage()
  await page.getByLabel('Or type the answer').fill('there is smoke')
  await page.getByRole('button', { name: 'Read it' }).click()
  await page.getByText('“there is smoke”: is this a red flag?').waitFor()
  await page.getByRole('button', { name: 'See the red flags' }).click()
  expect(await page.getByRole('dialog').innerText()).toContain('there is smoke')
  await page.keyboard.press('Escape')
  await page.getByRole('dialog').waitFor({ state: 'detached' })
  await context.close()
})

test('typed words are matched to an answer and confirmed before they count', async () => {
  const { page, context } = await openPage(true)
  await practiseUntil(page, async () => (await stepTitle(page)) === 'A second source of heat')
  await page.getByLabel('Or type the answer').fill('nothing else')
  await page.getByRole('button', { name: 'Read it' }).click()
  expect(await stepTitle(page)).toBe('A second source of heat')
  await page.getByRole('button', { name: 'Yes: Nothing else' }).click()
  await soon(async () => await stepTitle(page)).not.toBe('A second source of heat')
  expect(await page.locator('.row-answer').last().innerText()).toBe('Nothing else')
  await context.close()
})

test('a number that fits another unit is asked about and is not recorded until it is settled', async () => {
  const { page, context, faults } = await openPage(true)
  await practiseUntil(page, async () => (await stepTitle(page)) === 'Thermometer against display')
  const fill = async (label: string, text: string): Promise<void> =>
    await page.locator('.card').getByLabel(label, { exact: true }).fill(text)
  const labels = await page.locator('.card .field label').allInnerTexts()
  await fill(labels[0] ?? '', '39')
  await fill(labels[1] ?? '', '103')
  await fill(labels[2] ?? '', '100')
  await page.locator('.card button.main').click()
  await page.locator('.doubt').waitFor()
  expect(await stepTitle(page)).toBe('Thermometer against display')
  expect(await findByAxe(page)).toEqual([])
  // A tap within 300 ms of the last one counts as a slip, and axe may be quicker than that.
  await page.waitForTimeout(320)
  await page.locator('.doubt').getByRole('button', { name: 'Use °C' }).click()
  await soon(async () => await stepTitle(page)).not.toBe('Thermometer against display')
  expect(await page.locator('.row').last().innerText()).toContain('39 °C')
  expect(faults).toEqual([])
  await context.close()
})

test('with text twice as large and on a narrow phone nothing runs out of the page', async () => {
  const { page, context } = await openPage(true)
  await practiseUntil(page, async () => (await page.locator('.card .series').count()) > 0)
  for (const width of [390, 320]) {
    await page.setViewportSize({ width, height: 844 })
    for (const size of ['112.5%', '225%']) {
      await page.evaluate(`document.documentElement.style.fontSize = '${size}'`)
      expect(await page.evaluate('document.documentElement.scrollWidth'), `${width} px, ${size}`).toBeLessThanOrEqual(width)
    }
  }
  await context.close()
})

test('in the dark the page passes axe as well, and keys 1 to 9 answer on a desk', async () => {
  const links = await openJob(walk.url)
  const { page, context } = await walk.device({
    viewport: { width: 1280, height: 800 },
    isMobile: false,
    hasTouch: false,
    colorScheme: 'dark',
  })
  await page.goto(`${walk.url}/job/${links.staff}`)
  await join(page, PEOPLE.dispatcher)
  await page.locator('.card .meta').waitFor()
  expect(await findByAxe(page)).toEqual([])
  for (const label of [
    'Both are noted',
    'Nobody in, everybody well',
    'Never',
    'None of these',
    'Neither',
    '104 °F or less, by a thermometer',
  ])
    await answer(page, label)
  for (const label of ['No, it is on', 'All whole', 'No', 'Understood']) await answer(page, label)
  expect(await stepTitle(page)).toBe('Plug or wired')
  await context.close()
})

test('a series that reached its stop is said to be enough with two readings, and is taken', async () => {
  const { page, context, faults } = await openPage(true)
  await practiseUntil(page, async () => (await stepTitle(page)) === 'Rise with no heat asked for')
  await page.clock.install()
  const add = async (typed: string): Promise<void> => {
    await page.locator('.card').getByLabel('Thermometer, now', { exact: true }).fill(typed)
    await page.getByRole('button', { name: 'Add this reading' }).click()
  }
  await add('108.4')
  expect(await page.locator('.card .progress').innerText()).toContain('1 of 4 readings')
  await page.clock.fastForward(10 * 60_000)
  await add('110.2')
  expect(await page.locator('.card .progress').innerText()).toContain('Hot enough. Record the series now, with 2 readings.')
  expect(await page.locator('.card .progress').innerText()).not.toContain('Next one')
  await page.locator('.card button.main').click()
  await soon(async () => await stepTitle(page)).not.toBe('Rise with no heat asked for')
  expect(await page.locator('.row').filter({ hasText: 'Rise with no heat asked for' }).innerText()).toContain('110.2')
  expect(faults).toEqual([])
  await context.close()
})

test('a job says which edition it goes by; a newer one is offered, and where it cannot be had nothing changes', async () => {
  const links = await openJob(walk.url)
  const { page, context, faults } = await walk.device()
  await page.goto(`${walk.url}/job/${links.staff}`)
  await join(page, PEOPLE.dispatcher)
  const summary = page.getByText('Edition of the steps')
  await summary.click()
  await page.getByText(/This job goes by edition \d+\. It is the newest\./).waitFor()
  await summary.click()
  await page.route('**/api/editions', async (route) => await route.fulfill({ json: { current: 99, editions: [] } }))
  await summary.click()
  await page.getByRole('button', { name: 'Go on with edition 99' }).click()
  await page.locator('.more .problem').waitFor()
  expect(await page.locator('.more').innerText()).toMatch(/This job goes by edition \d\./)
  expect(await findByAxe(page)).toEqual([])
  expect(faults.filter((fault) => !fault.includes('404'))).toEqual([])
  await context.close()
}, 60_000)
