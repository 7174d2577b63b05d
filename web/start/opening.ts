// Opening a job: the server makes it and its links; this phone remembers who spoke and goes to its page.
// What was said and by whom is handed in.
import type { Person } from '#graphs/contract'
import { deviceId, newId, remember, rememberPerson } from '../job/device.ts'
import { openJob } from '../remote/api.ts'

export type Complaint = { readonly flow: string; readonly complaint: string }
type Order = {
  readonly complaint: Complaint
  readonly words: string
  readonly person: Person
  readonly practice: boolean
  readonly id: string
}

/** Gives the sentence to show when it did not work; else the page is left. */
export async function openAndGo({ complaint, words, person, practice, id }: Order): Promise<string | undefined> {
  const { flow, complaint: slug } = complaint
  const reply = await openJob({ id, device: deviceId(), channel: 'page', flow, complaint: slug, words, practice, person })
  if (!reply.ok) return reply.problem.message
  const { job, staff_token: staff, homeowner_token: homeowner } = reply.value
  rememberPerson(job, person, practice)
  remember(`homeowner:${job}`, homeowner)
  location.assign(`/job/${staff}`)
  return undefined
}

/** One id for one opening, however often it is sent. */
export function newOpeningId(): string {
  return newId()
}
