// Events of invented jobs, made by hand: a store is tested without an engine.
// People and words are invented.
import type { JobEvent } from '#graphs/contract'

const FRAME = {
  v: 1,
  at: Date.UTC(2026, 2, 3, 9, 0),
  by: { person: 'dana-desk', role: 'dispatcher' },
  channel: 'phone',
  device: 'desk-01',
  visit: 0,
  edition: 1,
} as const

let made = 0

export function newId(prefix = 'event'): string {
  made += 1
  return `${prefix}-${String(made).padStart(6, '0')}`
}

export function opened(job: string, more: Partial<JobEvent> = {}): JobEvent {
  const body = {
    flow: 'overheating',
    complaint: 'hotter-than-set',
    short: 'ABC-234',
    words: 'Call Ann Example, it is far too hot',
    practice: true,
  }
  return { ...FRAME, id: newId(), job, type: 'job-opened', body, ...more } as JobEvent
}

export function joined(job: string, name = 'Ann Example'): JobEvent {
  const person = { id: 'ann-home', name, role: 'homeowner', signed: [] } as const
  return { ...FRAME, id: newId(), job, type: 'person-joined', body: { person: { ...person, signed: [] }, on_site: false } }
}

export function answered(job: string, more: Partial<JobEvent> = {}): JobEvent {
  const body = { key: `0|overheating.step#${made}`, step: 'step', outcome: 'yes', words: 'The gate code is 4711' }
  return { ...FRAME, id: newId(), job, type: 'answer-given', body, ...more } as JobEvent
}

export function plain(job: string, more: Partial<JobEvent> = {}): JobEvent {
  return { ...FRAME, id: newId(), job, type: 'marked', body: { mark: 'switches-recorded' }, ...more } as JobEvent
}
