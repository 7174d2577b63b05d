// The homeowner's page: one question at a time, made by the server. No engine, no edition, no log of others.
// What a homeowner may see is decided there.
import { render } from 'preact'
import { HomeownerPage } from './homeowner/page.tsx'
import { deviceId, newId, recallPerson, rememberPerson } from './job/device.ts'
import { keepRhythm } from './job/rhythm.ts'
import { api } from './remote/api.ts'
import { createRemoteJob } from './remote/remote-job.ts'

const page = document.getElementById('page')
const token = /^\/h\/([A-Za-z0-9_-]+)\/?$/.exec(location.pathname)?.[1]
if (page !== null && token !== undefined) {
  const source = createRemoteJob(token, { api, newId, device: deviceId(), recallPerson, rememberPerson })
  render(<HomeownerPage source={source} token={token} />, page)
  void source.open()
  keepRhythm(source)
}
