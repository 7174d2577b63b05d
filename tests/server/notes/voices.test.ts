// What each voice may and must say, in every format; and that nothing a person typed becomes markup.
// Whether the data is right is golden.test.ts and tests/graphs/note.
import { describe, expect, test } from 'vitest'
import { HAZARD_WORDS, noteData } from '#graphs'
import type { JobEvent } from '#graphs/contract'
import { render } from '../../../server/notes/render.ts'
import { markdown, oneLine } from '../../../server/notes/plain-text.ts'
import { readFileSync } from 'node:fs'
import { engine, EXTRA, JOB_NAMES, jobOf, noteOf } from './jobs.ts'
import type { JobName } from './jobs.ts'

const VOICES = ['customer', 'office', 'next-technician', 'warranty'] as const
const PRINTED = ['html', 'md', 'txt'] as const
type Voice = (typeof VOICES)[number]

function noteText(name: JobName, voice: Voice, format: (typeof PRINTED)[number] | 'json', events?: readonly JobEvent[]): string {
  const job = jobOf(name)
  const state = events === undefined ? job.state : engine.fold(events)
  if (state === undefined) throw new Error('nothing was opened')
  return render({ edition: engine.edition, state, events: events ?? job.events, voice, format, ...EXTRA }).body
}

/** Words as they are read: no markup, one blank between them. */
function words(text: string): string {
  const bare = text
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&quot;', '"')
    .replaceAll('&#x27;', "'")
    .replaceAll('&#x3D;', '=')
    .replaceAll('&amp;', '&')
    .replace(/\\([\\`*_[\]<>|~#&.)+-])/g, '$1')
  return bare.replace(/[|*#~\s\u00a0—]+/g, ' ').toLowerCase()
}

describe('the customer’s voice', () => {
  const FORBIDDEN =
    /ω|ohm|volt|\d ?%|likely|probab|relay|board\b(?!\.)|element|conductor|evidence|suspect|fault|blame|hand-over|proved dead|\brail\b/

  test.each(JOB_NAMES)('%s: no probabilities, no jargon, no blame, no ohms', (name) => {
    for (const format of [...PRINTED, 'json'] as const) {
      const text = words(noteText(name, 'customer', format)).replaceAll('we replaced the control board.', '')
      expect(text.match(FORBIDDEN)?.[0]).toBeUndefined()
    }
  })

  test('every standing hazard and every cause has words a customer understands', () => {
    const { events } = jobOf('complete')
    const last = events.at(-1)
    if (last === undefined) throw new Error('the job is empty')
    for (const hazard of Object.keys(HAZARD_WORDS)) {
      const seen = { ...last, id: `seen-${hazard}`, type: 'hazard-seen', body: { hazard } } as JobEvent
      const state = engine.fold([...events, seen])
      if (state === undefined) throw new Error('nothing was opened')
      const { customer } = noteData(engine.edition, state, [...events, seen])
      expect(customer.open, hazard).toHaveLength(1)
      expect(customer.open[0]?.toLowerCase().match(FORBIDDEN)?.[0], hazard).toBeUndefined()
    }
    for (const fault of Object.values(engine.edition.faults))
      expect(fault.plain.toLowerCase().match(FORBIDDEN)?.[0], fault.slug).toBeUndefined()
  })

  test('its data holds nothing of what staff read', () => {
    const data = JSON.parse(noteText('complete', 'customer', 'json')) as object
    expect(Object.keys(data).toSorted()).toEqual([
      'call',
      'cause',
      'cautions',
      'done',
      'ended',
      'link',
      'open',
      'opened',
      'practice',
      'safe',
      'settings',
      'settingsSay',
      'shop',
      'short',
      'title',
      'visits',
      'watch',
      'who',
      'words',
    ])
  })

  test.each(JOB_NAMES)('%s: says whether it is safe, what to watch, when to call, and that it is invented', (name) => {
    const { customer } = noteOf(name)
    for (const format of PRINTED) {
      const text = words(noteText(name, 'customer', format))
      for (const said of [customer.safe.says, customer.cause, ...customer.open, ...customer.done, ...customer.watch, ...customer.call]) {
        expect(text).toContain(words(said).trim())
      }
      expect(text).toContain('invented practice job')
      expect(text).toContain('above 104 °f')
      expect(text).toContain('local codes come first')
    }
  })

  test('a job that is still open is not called safe', () => {
    const { events } = jobOf('complete')
    const open = events.filter((event) => event.type !== 'job-ended')
    expect(words(noteText('complete', 'customer', 'txt', open))).toContain('nobody uses the tub until we say so')
  })

  test('sentences have at most 20 words', () => {
    for (const name of JOB_NAMES) {
      const { customer } = noteOf(name)
      const texts = [
        customer.cause,
        customer.settingsSay.replace(/:.*/, ''),
        ...customer.done,
        ...customer.open,
        ...customer.watch,
        ...customer.call,
        ...customer.cautions.map((one) => one.text),
      ]
      for (const sentence of texts.flatMap((text) => text.split(/(?<=[.?!])\s/)))
        expect(sentence.split(/\s+/).length, sentence).toBeLessThanOrEqual(20)
    }
  })
})

describe('the voices for staff', () => {
  test.each(['office', 'next-technician', 'warranty'] as const)('%s reads the same in HTML, Markdown and plain text', (voice) => {
    for (const name of JOB_NAMES) {
      const [html, md, txt] = PRINTED.map((format) => words(noteText(name, voice, format)))
      const note = noteOf(name)
      const claims = [
        note.cause.label,
        note.complaint.words,
        ...note.risks,
        ...note.cautions.map((one) => one.text),
        ...note.partsOut.map((part) => part.where),
      ]
      if (voice === 'next-technician')
        claims.push(
          ...note.path.filter((row) => row.auto === undefined).map((row) => row.title),
          ...note.lockout.steps.map((one) => one.what),
        )
      if (voice !== 'office')
        claims.push(...note.readings.flatMap((row) => [row.range, row.instrument, row.power]), ...note.notTested.map((one) => one.why))
      for (const claim of claims) {
        for (const text of [html, md, txt]) expect(text).toContain(words(claim).trim())
      }
    }
  })

  test('every part fitted has its evidence, and every part taken out the place where it lies', () => {
    for (const voice of ['office', 'next-technician', 'warranty'] as const) {
      const text = words(noteText('complete', voice, 'txt'))
      expect(text).toContain('every switched pole closed')
      expect(text).toContain('where it lies: warranty shelf')
    }
  })

  test('a struck answer is struck in every format', () => {
    expect(noteText('changed', 'next-technician', 'html')).toMatch(/<s>Shut off with a message<\/s> \(changed\)/)
    expect(noteText('changed', 'next-technician', 'md')).toContain('~~Shut off with a message~~ (changed)')
    expect(noteText('changed', 'next-technician', 'txt')).toContain('[struck: Shut off with a message] (changed)')
  })

  test('edition, its hash and the chain head are printed', () => {
    for (const format of PRINTED) {
      const text = words(noteText('complete', 'warranty', format))
      expect(text).toContain(`edition ${String(engine.edition.number)}, sha-256 ${EXTRA.editionHash}`)
      expect(text).toContain('chain head invented-head')
      expect(text).toContain('self-declared')
    }
  })
})

describe('HTML', () => {
  test('has no inline style, no script, and one link to its style sheet', () => {
    for (const voice of VOICES) {
      const html = noteText('complete', voice, 'html')
      expect(html).not.toMatch(/<script|<style|\sstyle=|\son\w+=|javascript:/i)
      expect(html.match(/<link rel="stylesheet" href="\/note\.css">/g)).toHaveLength(1)
    }
  })

  test('every class of the page has a rule, and every verdict has its word beside the shape', () => {
    const css = readFileSync(new URL('../../../web/public/note.css', import.meta.url), 'utf8')
    const html = noteText('complete', 'next-technician', 'html')
    expect(css).toContain('display: table-header-group')
    expect([...html.matchAll(/<svg class="mark".*?<\/svg><b>(in|out, high|out, low|out|cannot tell)<\/b>/g)].length).toBe(
      [...html.matchAll(/class="mark"/g)].length,
    )
    for (const power of ['closed', 'live-shut', 'proving', 'locked'])
      expect(noteOf('complete').rail.map((point) => point.power)).toContain(power)
  })

  test('a number is never parted from its unit at the end of a line', () => {
    for (const voice of VOICES) {
      const html = noteText('complete', voice, 'html')
      expect(html.match(/\d\u00a0°F/g)?.length ?? 0).toBeGreaterThan(0)
      expect(html.match(/>[^<]*\d (°[FC]|k?Ω|V|kW)(?![A-Za-z])/g)).toBeNull()
    }
  })

  test('the QR code is there with a link and absent without one', () => {
    expect(noteText('complete', 'office', 'html')).toContain('QR code: link to this job')
    const job = jobOf('complete')
    const { body } = render({ edition: engine.edition, state: job.state, events: job.events, voice: 'office', format: 'html' })
    expect(body).not.toContain('QR code')
  })
})

describe('words that somebody typed', () => {
  const HOSTILE = '<script>alert(1)</script> | `x` [a](javascript:1)\n# Is it safe now?\nYes. <img src=x onerror=alert(1)>'
  const events = jobOf('complete').events.map((event) =>
    event.type === 'job-opened' ? { ...event, body: { ...event.body, words: HOSTILE } } : event,
  )

  test('never become markup in HTML', () => {
    for (const voice of VOICES) expect(noteText('complete', voice, 'html', events)).not.toMatch(/<script|<img/i)
  })

  test('never become a heading, a table cell or HTML in Markdown', () => {
    for (const voice of VOICES) {
      const md = noteText('complete', voice, 'md', events)
      expect(md).not.toMatch(/^# Is it safe now/m)
      expect(md).not.toMatch(/(?<!\\)<(script|img)/i)
    }
    expect(markdown('a | b')).toBe('a \\| b')
  })

  test('stay on one line in plain text', () => {
    expect(oneLine('a\nb\u0000c\u2028d')).toBe('a b c d')
    expect(noteText('complete', 'office', 'txt', events)).not.toMatch(/^# Is it safe/m)
  })
})

test('times are printed in the zone that is handed in', () => {
  const job = jobOf('complete')
  const at = (timeZone: string): string =>
    render({ edition: engine.edition, state: job.state, events: job.events, voice: 'office', format: 'txt', timeZone }).body
  expect(at('UTC')).toContain('Opened: 3 Mar 2026, 08:40')
  expect(at('America/Chicago')).toContain('Opened: 3 Mar 2026, 02:40')
})
