// The staff's page: the start page, or the log of one job that runs on this phone.
// Which parts there are stands in their own folders.
import { render } from 'preact'
import { formatQuantity, matchWords } from '#graphs'
import type { Edition, Quantity } from '#graphs'
import { createBrowserPhone, store } from './engine/browser-phone.ts'
import { deviceId, newId, recallPerson, rememberPerson } from './job/device.ts'
import { keepRhythm } from './job/rhythm.ts'
import type { JobSource } from './job/source.ts'
import { plainDoor, TradeContext } from './job/trade-door.ts'
import type { TradeDoor } from './job/trade-door.ts'
import { LogPage } from './log/page.tsx'
import { api } from './remote/api.ts'
import { createRemoteJob } from './remote/remote-job.ts'
import { StartPage } from './start/start-page.tsx'

const TICK_MS = 5000

async function openJobPage(page: Element, token: string): Promise<void> {
  const phone = createBrowserPhone(token)
  show(page, token, phone, plainDoor)
  const opened = await phone.open()
  if (opened === 'no-engine') {
    const remote = createRemoteJob(token, { api, newId, device: deviceId(), recallPerson, rememberPerson })
    show(page, token, remote, plainDoor)
    await remote.open()
    return keepRhythm(remote)
  }
  const number = phone.read().view?.edition
  const edition = number === undefined ? undefined : await store.edition(number).catch(() => undefined)
  show(page, token, phone, doorOf(edition as Edition | undefined, phone))
  keepRhythm(opened === 'ready' ? phone : { wake: () => location.reload() })
  setInterval(phone.tick, TICK_MS)
}

/** Numbers in the shop's units, red words of the edition. */
function doorOf(edition: Edition | undefined, source: JobSource): TradeDoor {
  return {
    format: (quantity, si) =>
      formatQuantity(
        quantity as Quantity,
        si,
        source.read().view?.facts.some((fact) => fact.slug === 'units' && fact.value === 'si') === true ? 'si' : 'us',
      ),
    redWords: (text) => (edition === undefined ? plainDoor.redWords(text) : matchWords(edition, text).redFlags.map((flag) => flag.label)),
  }
}

function show(page: Element, token: string, source: JobSource, door: TradeDoor): void {
  render(
    <TradeContext.Provider value={door}>
      <LogPage source={source} token={token} />
    </TradeContext.Provider>,
    page,
  )
}

const page = document.getElementById('page')
const token = /^\/job\/([A-Za-z0-9_-]+)\/?$/.exec(location.pathname)?.[1]
if (page !== null) {
  if (token === undefined) render(<StartPage store={store} />, page)
  else void openJobPage(page, token)
}
