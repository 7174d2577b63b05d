// What the walks share: pages built from the sources as they are, a server on an empty store, and a phone-sized browser page.
// No step is judged here.
import { execFile } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import type { Browser, BrowserContext, BrowserContextOptions, Page } from 'playwright-core'
import { expect } from 'vitest'
import { startServer } from '../boot.ts'
import type { Server } from '../boot.ts'
import { launchChromium } from '../browser.ts'

export type Walk = {
  readonly url: string
  readonly browser: Browser
  /** A device of its own: its store and its clock belong to nobody else. Every fault of the page is kept in `faults`. */
  readonly device: (options?: BrowserContextOptions) => Promise<Device>
  readonly close: () => Promise<void>
}

export type Device = { readonly context: BrowserContext; readonly page: Page; readonly faults: string[] }

const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true } as const

const ROOT = fileURLToPath(new URL('../..', import.meta.url))

/** As "npm run prepare" does it, in a process of its own: inside a test run the bundler would build for development. */
export async function buildPages(): Promise<void> {
  const command = ['node_modules/vite/bin/vite.js', 'build', '--config', 'web/vite.config.ts', '--logLevel', 'warn']
  await promisify(execFile)(process.execPath, command, { cwd: ROOT, env: { ...process.env, NODE_ENV: 'production' } })
}

export async function startWalk(): Promise<Walk> {
  await buildPages()
  const server: Server = await startServer()
  const browser = await launchChromium()
  return {
    url: server.url,
    browser,
    device: async (options = {}) => {
      const context = await browser.newContext({ ...PHONE, ...options })
      const page = await context.newPage()
      const faults: string[] = []
      page.on('pageerror', (error) => faults.push(error.message))
      page.on('console', (message) => {
        // A refused request is logged by the browser itself; what the page makes of it is what counts.
        if (message.type() === 'error' && !/Failed to load resource/.test(message.text())) faults.push(message.text())
      })
      return { context, page, faults }
    },
    close: async () => {
      await browser.close()
      await server.stop()
    },
  }
}

export const PEOPLE = {
  technician: { name: 'Ash (invented)', role: 'technician', signed: ['absence-of-voltage', 'energized-work'] },
  dispatcher: { name: 'Kim (invented)', role: 'dispatcher', signed: [] },
} as const

export type Links = { readonly job: string; readonly staff: string; readonly homeowner: string }

/** Opens a job over HTTP, as another program would. */
export async function openJob(url: string, options: { readonly practice?: boolean } = {}): Promise<Links> {
  const reply = await fetch(`${url}/api/jobs`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({
      flow: 'overheating',
      complaint: 'hotter-than-set',
      words: 'invented: much hotter than set',
      practice: options.practice ?? false,
      person: { id: 'office-of-the-walk', name: 'Lee (invented)', role: 'dispatcher', signed: [] },
    }),
  })
  const opened = (await reply.json()) as { job: string; staff_token: string; homeowner_token: string }
  return { job: opened.job, staff: opened.staff_token, homeowner: opened.homeowner_token }
}

export async function join(
  page: Page,
  person: { readonly name: string; readonly role: string; readonly signed: readonly string[] },
): Promise<void> {
  await page.getByLabel('Your name').fill(person.name)
  await page.getByRole('radio', { name: person.role === 'technician' ? 'Technician' : 'Dispatcher' }).check({ force: true })
  if (person.signed.includes('absence-of-voltage')) await page.getByLabel('May prove that it is dead').check()
  if (person.signed.includes('energized-work')) await page.getByLabel('May measure on live parts').check()
  await page.getByRole('button', { name: 'Join this job' }).click()
}

export async function stepTitle(page: Page): Promise<string> {
  return await page.locator('.card h2').first().innerText()
}

/** The machine may be busy with other tests: what is to come is given ten seconds. */
export function soon<T>(look: () => Promise<T>): ReturnType<typeof expect.poll<T>> {
  return expect.poll(look, { timeout: 10_000 })
}

/** Waits until the phone knows that the server has everything: the server having it is not enough. */
export async function allAcknowledged(page: Page): Promise<void> {
  const left = async (): Promise<unknown> =>
    await page.evaluate(`new Promise((resolve) => {
      const opening = indexedDB.open('backwrench')
      opening.onsuccess = () => {
        const counting = opening.result.transaction('outgoing').objectStore('outgoing').count()
        counting.onsuccess = () => {
          opening.result.close()
          resolve(counting.result)
        }
      }
    })`)
  await soon(left).toBe(0)
}

/** Presses an answer and waits until another step stands there. A second tap within 300 ms counts as a slip, so a person's pace is kept. */
export async function answer(page: Page, label: string): Promise<void> {
  const before = await stepTitle(page)
  await page.locator('.card').getByRole('button', { name: label, exact: true }).click()
  await soon(async () => await stepTitle(page)).not.toBe(before)
  await page.waitForTimeout(320)
}

const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

/** What axe finds, one line a finding; it is evaluated by the browser's debugger, so the content policy of the page stays on. */
export async function findByAxe(page: Page): Promise<string[]> {
  await page.evaluate(`${axeSource}; undefined`)
  return (await page.evaluate(`
    axe.run(document, { resultTypes: ['violations'] }).then((found) =>
      found.violations.flatMap((one) => one.nodes.map((node) => one.id + ': ' + node.target.join(' ') + ': ' + node.failureSummary)))
  `)) as string[]
}
