// A newcomer on an empty store: the practice job from the first words to a repaired tub and its note, on a phone.
// Every kind of step is met on the way, and each is looked at by axe and measured.
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { Page } from 'playwright-core'
import { findByAxe, startWalk, stepTitle } from './pages.ts'
import type { Walk } from './pages.ts'

const STEPS_MOST = 150
let walk: Walk

beforeAll(async () => {
  walk = await startWalk()
})
afterAll(async () => await walk.close())

test('an empty store offers the practice job first and says that it is invented', async () => {
  const { page, faults } = await walk.device()
  await page.goto(walk.url)
  await page.getByRole('heading', { name: 'New here? Practise first.' }).waitFor()
  expect(await page.locator('main section').first().innerText()).toContain('invented')
  expect(await findByAxe(page)).toEqual([])
  expect(faults).toEqual([])
  await page.context().close()
})

test('the practice job leads to a repaired tub and a note, and every kind of step passes axe and fits the phone', async () => {
  const { page, faults } = await walk.device()
  await page.goto(walk.url)
  await page.getByRole('button', { name: 'Open the practice job' }).click()
  await page.waitForURL('**/job/**')
  await page.locator('.card h2').waitFor()
  const seen = new Set<string>()
  const found: string[] = []
  for (let count = 0; count < STEPS_MOST && (await page.locator('.ended').count()) === 0; count += 1) {
    const look = await kindOf(page)
    if (!seen.has(look)) {
      seen.add(look)
      found.push(...(await findByAxe(page)).map((line) => `[${look}] ${line}`), ...(await measure(page)))
    }
    await goOn(page)
  }
  expect(found).toEqual([])
  expect([...seen].map((look) => look.split(' ')[0])).toEqual(expect.arrayContaining(['ask', 'do', 'read', 'record', 'wait', 'fit']))
  expect(await stepTitle(page)).toBe('Repaired and proved')
  expect(await page.locator('.tub-state').innerText()).toBe('The tub is safe to use.')
  expect(await findByAxe(page)).toEqual([])
  expect(await page.locator('.links a').count()).toBe(4)
  const short = await page.locator('a.short').innerText()
  for (const link of await page.locator('.links a').all()) {
    await expectStyled(new URL((await link.getAttribute('href')) ?? '', walk.url).href)
    const note = await fetch(new URL((await link.getAttribute('href')) ?? '', walk.url))
    expect(note.status).toBe(200)
    expect(await note.text()).toContain(short)
  }
  expect(faults).toEqual([])
  await expectAllSent(page)
  await page.context().close()
}, 300_000)

/** The note's own style sheet is let in by its content policy, on screen and on paper. */
async function expectStyled(url: string): Promise<void> {
  const { page, context, faults } = await walk.device()
  await page.goto(url)
  const border = async (): Promise<unknown> => await page.evaluate(`getComputedStyle(document.querySelector('.running')).borderBottomWidth`)
  expect(await border()).toBe('3px')
  await page.emulateMedia({ media: 'print' })
  expect(await border()).toBe('2px')
  expect(faults).toEqual([])
  await context.close()
}

/** Kind of step and of form, so that each sort of control is met once. */
async function kindOf(page: Page): Promise<string> {
  const meta = (await page.locator('.card .meta').first().innerText()).split(' ')[0]?.toLowerCase() ?? ''
  const parts = ['.pairs', '.switches', '.facts', '.series', '.rows', '.number', '.hazard', '.starts', '.standing', '.aloud']
  const there: string[] = []
  for (const part of parts) if ((await page.locator(`.card ${part}`).count()) > 0) there.push(part)
  return [meta, ...there].join(' ')
}

async function goOn(page: Page): Promise<void> {
  const rows = await page.locator('.row').count()
  const site = page.getByRole('button', { name: 'I stand at the tub now' })
  const fill = page.getByRole('button', { name: 'Fill it in' })
  const so = page.getByRole('button', { name: 'Give this answer' })
  const title = await stepTitle(page)
  if ((await so.count()) > 0) await so.click()
  else if ((await fill.count()) > 0) {
    await fill.click()
    await page.locator('.card button.main').click()
  } else await site.click()
  try {
    await expect
      .poll(async () => (await page.locator('.row').count()) !== rows || (await stepTitle(page)) !== title, { timeout: 5000 })
      .toBe(true)
  } catch {
    throw new Error(`Nothing went on at "${title}": ${await page.locator('.card').innerText()}`)
  }
  // The focus follows the person's own action.
  expect(await page.evaluate('document.activeElement.tagName')).toBe('H2')
  await page.waitForTimeout(320)
}

/** Answers are at least 64 px high, all else that is pressed 44 px; nothing is wider than the phone; no text is under 15 px. */
async function measure(page: Page): Promise<string[]> {
  return (await page.evaluate(`(() => {
    const found = []
    const high = (selector, least) => document.querySelectorAll(selector).forEach((one) => {
      const box = one.getBoundingClientRect()
      if (box.height > 0 && box.height < least) found.push(selector + ' is ' + box.height + ' px high: ' + one.textContent)
    })
    high('.card .outcome, .card .main, .card .second', 64)
    high('button, .tick, .segment', 44)
    if (document.documentElement.scrollWidth > innerWidth) found.push('wider than the phone: ' + document.documentElement.scrollWidth)
    document.querySelectorAll('body *').forEach((one) => {
      const size = parseFloat(getComputedStyle(one).fontSize)
      if (size < 14.99 && one.textContent.trim() !== '') found.push(one.tagName + '.' + one.className + ' has text of ' + size + ' px')
    })
    return found
  })()`)) as string[]
}

/** The server has every line that the phone has. */
async function expectAllSent(page: Page): Promise<void> {
  const token = new URL(page.url()).pathname.split('/').at(-1)
  const count = async (): Promise<{ here: number; there: number }> => {
    const log = (await (await fetch(`${walk.url}/api/jobs/${token}/events`)).json()) as { events: { type: string }[] }
    const there = log.events.filter((event) => event.type === 'answer-given').length
    const here = (await page.evaluate(`new Promise((resolve) => {
      const opening = indexedDB.open('backwrench')
      opening.onsuccess = () => {
        const db = opening.result
        const reading = db.transaction(['events', 'outgoing'])
        const events = reading.objectStore('events').getAll()
        const outgoing = reading.objectStore('outgoing').getAll()
        reading.oncomplete = () => {
          db.close()
          const all = [...events.result.map((line) => line.event), ...outgoing.result.flatMap((one) => one.events)]
          resolve(outgoing.result.length > 0 ? -1 : all.filter((event) => event.type === 'answer-given').length)
        }
      }
    })`)) as number
    return { here, there }
  }
  await expect.poll(async () => (await count()).here, { timeout: 15_000 }).toBeGreaterThan(90)
  const { here, there } = await count()
  expect(here).toBe(there)
}
