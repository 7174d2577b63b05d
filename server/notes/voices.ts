// Four readers of one record: which sections each gets, and in which order. The customer's voice is made of the customer's data alone.
// What a section says is sections.ts.
import type { CustomerNote, NoteData } from '#graphs'
import type { NoteVoice } from '../note-order.ts'
import { listOr, say } from './document.ts'
import type { NoteDocument, Section } from './document.ts'
import type { Clock } from './note-parts.ts'
import * as make from './sections.ts'

const READERS: { readonly [voice in NoteVoice]: string } = {
  customer: 'For the customer',
  office: 'For the office',
  'next-technician': 'For the next technician',
  warranty: 'For the warranty desk',
}

type Maker = (data: NoteData, clock: Clock) => Section
type Plan = { readonly first: readonly Maker[]; readonly rest: readonly Maker[] }

const PLANS: { readonly [voice in Exclude<NoteVoice, 'customer'>]: Plan } = {
  office: {
    first: [make.endingSection, make.complaintSection, make.causeSection, make.partLinesSection, make.nextSection],
    rest: [make.approvalsSection, make.proofLineSection, make.risksSection, make.timesSection, make.peopleSection, make.cautionsSection],
  },
  'next-technician': {
    first: [make.endingSection, make.risksSection, make.cautionsSection, make.complaintSection, make.weighedCauseSection],
    rest: [
      make.readingsSection,
      make.ruledOutSection,
      make.notTestedSection,
      make.asFoundSection,
      make.partsSection,
      make.lockoutSection,
      make.proofSection,
      make.nextSection,
      make.tubSection,
      make.peopleSection,
      make.approvalsSection,
      make.photosSection,
      make.timesSection,
      make.pathSection,
    ],
  },
  warranty: {
    first: [make.endingSection, make.complaintSection, make.causeSection],
    rest: [
      make.partsSection,
      make.readingsSection,
      make.ruledOutSection,
      make.notTestedSection,
      make.asFoundSection,
      make.proofSection,
      make.tubSection,
      make.timesSection,
      make.approvalsSection,
      make.photosSection,
      make.peopleSection,
      make.risksSection,
      make.cautionsSection,
    ],
  },
}

export const PRACTICE = 'Invented practice job. Nothing in it happened.'

export function documentOf(data: NoteData, voice: NoteVoice, clock: Clock): NoteDocument {
  const { job } = data
  const frame = {
    short: job.short,
    voice,
    reader: READERS[voice],
    running: [`Job ${job.short}`, job.shop, READERS[voice]].filter((text) => text !== '').join(' · '),
    practice: job.practice,
    link: job.link,
  }
  if (voice === 'customer') return { ...frame, title: 'Your hot tub', ...customerSections(data.customer, clock) }
  const plan = PLANS[voice]
  return {
    ...frame,
    title: job.flow,
    first: plan.first.map((section) => section(data, clock)),
    rail: make.railSection(data, clock),
    rest: plan.rest.map((section) => section(data, clock)),
    foot: [
      `Library edition ${job.edition}${job.editionHash === '' ? '' : `, SHA-256 ${job.editionHash}`}`,
      ...(job.carried ?? []).map(({ from, to, at, by }) => `Carried over from edition ${from} to ${to}: ${clock.full(at)}, ${by}`),
      job.head === '' ? 'Chain head: not handed in' : `Chain head ${job.head}`,
      `Times in ${clock.zone}. Verdicts stand as they were given. Sign-offs are self-declared.`,
    ],
  }
}

function customerSections(note: CustomerNote, clock: Clock): Pick<NoteDocument, 'first' | 'rail' | 'rest' | 'foot'> {
  const when = note.visits.length === 0 ? 'Nobody was on site.' : `We were on site: ${note.visits.map(clock.day).join(', ')}.`
  return {
    first: [
      {
        id: 'safe',
        title: 'Is it safe now?',
        blocks: [...say(note.safe.says, true), ...(note.open.length === 0 ? [] : [{ list: note.open }])],
      },
      { id: 'complaint', title: 'What you told us', blocks: say(note.words === '' ? note.title : `“${note.words}”`) },
      { id: 'cause', title: 'What was wrong', blocks: say(note.cause) },
      { id: 'done', title: 'What we did', blocks: [...say(when), { list: note.done }] },
      {
        id: 'settings',
        title: 'Settings',
        blocks: [...say(note.settingsSay), ...(note.settings.length === 0 ? [] : [{ pairs: note.settings }])],
      },
      { id: 'watch', title: 'What to watch', blocks: [{ list: note.watch }] },
      { id: 'call', title: 'When to call', blocks: [{ list: note.call }] },
      { id: 'cautions', title: 'Take care', blocks: [{ cautions: note.cautions }] },
      { id: 'people', title: 'Who worked on it', blocks: listOr(note.who, 'Nobody is recorded.') },
    ],
    rail: undefined,
    rest: [],
    foot: [
      `Opened ${clock.full(note.opened)}${note.ended === undefined ? '' : `, closed ${clock.full(note.ended)}`}. Times in ${clock.zone}.`,
    ],
  }
}
