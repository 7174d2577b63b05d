// The browser that the walks use starts on this machine and lays out a page as wide as a phone.
// No page of the program is opened here.
import { expect, test } from 'vitest'
import { launchChromium } from '../browser.ts'

test('the browser starts and shows a page at phone width', async () => {
  const browser = await launchChromium()
  try {
    const page = await browser.newPage({ viewport: { width: 390, height: 844 } })
    await page.setContent('<main style="width: 100%">The lock is on.</main>')
    expect(await page.locator('main').innerText()).toBe('The lock is on.')
    expect(await page.evaluate('window.innerWidth')).toBe(390)
  } finally {
    await browser.close()
  }
})
