// Finds a Chromium on this machine and starts it for the walks.
// No page is opened and no step is walked here.
import { accessSync, constants, statSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { chromium } from 'playwright-core'
import type { Browser } from 'playwright-core'

const NAMES = ['chromium', 'chromium-browser', 'google-chrome']

// They also work for root, without a display and on a network that leads nowhere.
const FLAGS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]

type Environment = { readonly [name: string]: string | undefined }

/** Path of the browser: CHROMIUM_PATH, else one on the PATH, else what `packaged` unpacks. Throws a sentence when there is none. */
export async function findChromium(environment: Environment, packaged: () => Promise<string>): Promise<string> {
  const wanted = environment['CHROMIUM_PATH']
  if (wanted !== undefined && wanted !== '') {
    if (isProgram(wanted)) return wanted
    throw new Error(`CHROMIUM_PATH is "${wanted}", and no program is there. Correct the path, or unset it.`)
  }
  for (const name of NAMES) {
    for (const folder of (environment['PATH'] ?? '').split(delimiter)) {
      const path = join(folder, name)
      if (folder !== '' && isProgram(path)) return path
    }
  }
  try {
    return await packaged()
  } catch (cause) {
    throw new Error(`No Chromium was found. ${WAY_OUT}`, { cause })
  }
}

export async function launchChromium(): Promise<Browser> {
  const path = await findChromium(process.env, unpackChromium)
  try {
    return await chromium.launch({ executablePath: path, args: FLAGS })
  } catch (cause) {
    throw new Error(`The browser ${path} was found but did not start. ${WAY_OUT}`, { cause })
  }
}

const WAY_OUT = `Install one (Debian: apt-get install chromium), or set CHROMIUM_PATH to its path.`

async function unpackChromium(): Promise<string> {
  const { default: packaged } = await import('@sparticuz/chromium')
  return await packaged.executablePath()
}

function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK)
    return statSync(path).isFile()
  } catch {
    return false
  }
}
