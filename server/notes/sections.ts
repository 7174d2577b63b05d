// The sections of a note for staff, each made from the note's data. Which voice prints which of them is voices.ts.
// No section leaves out that something is missing: it says so.
import type { NoteData } from '#graphs'
import { cell, listOr, say } from './document.ts'
import type { Block, Cell, MarkName, Section } from './document.ts'
import type { Clock, NoteCause, NotePathRow, NoteReading } from './note-parts.ts'

export function complaintSection({ complaint }: NoteData): Section {
  return {
    id: 'complaint',
    title: 'Complaint',
    blocks: [...say(complaint.label, true), ...say(complaint.words === '' ? 'No words recorded.' : `“${complaint.words}”`)],
  }
}

export function endingSection(data: NoteData, clock: Clock): Section {
  const { ending } = data
  if (ending === undefined)
    return { id: 'ending', title: 'State of the job', blocks: [{ say: 'The job is still open. This note is not final.', strong: true }] }
  return {
    id: 'ending',
    title: 'How it ended',
    blocks: [
      ...say(`${ending.words}. ${ending.tubWords}`, true),
      ...say(stopped(ending.reason)),
      ...say(stopped(ending.guard)),
      ...say(`Ended ${clock.full(ending.at)}.`),
      ...say(
        ending.confirmed === undefined ? '' : ending.confirmed ? 'Confirmed by a later call: it held.' : 'A later call: it did not hold.',
      ),
    ],
  }
}

/** Ends in a full stop, whoever wrote it. */
function stopped(text: string): string {
  return text === '' || /[.!?]$/.test(text) ? text : `${text}.`
}

export function timesSection(data: NoteData, clock: Clock): Section {
  const { job, ending } = data
  const pairs = [
    { label: 'Opened', value: clock.full(job.opened) },
    ...job.visits.map((visit) => ({ label: `Visit ${visit.visit}`, value: `from ${clock.full(visit.at)}, ${visit.by}` })),
    ...(job.visits.length === 0 ? [{ label: 'Visits', value: 'none' }] : []),
    { label: ending === undefined ? 'Last entry' : 'Ended', value: clock.full(ending?.at ?? job.last) },
  ]
  return { id: 'times', title: 'Times', blocks: [{ pairs }] }
}

const CAUSE_SAYS = {
  found: 'Found',
  'points-to': 'Not proved. The record points to',
  'not-found': 'Cause not found',
} as const

/** How many times as likely a result is under the cause: for the technician who goes on, and for nobody else. */
export function weighedCauseSection(data: NoteData): Section {
  return causeSections(data, true)
}

export function causeSection(data: NoteData): Section {
  return causeSections(data, false)
}

function causeSections({ cause }: NoteData, weighed: boolean): Section {
  const text = (one: NoteCause['for'][number]): string => evidenceText(one, weighed)
  const { state, label } = cause
  const blocks: Block[] =
    state === 'not-found'
      ? say('Cause not found. No result of this job speaks for one.', true)
      : say(`${CAUSE_SAYS[state]}: ${label}.`, true)
  if (state === 'not-found') return { id: 'cause', title: 'Verdict', blocks }
  const shown = cause.shownBy.filter((one) => !cause.for.some((other) => other.title === one.title && other.answer === one.answer))
  return {
    id: 'cause',
    title: 'Verdict',
    blocks: [
      ...blocks,
      ...say('For it:'),
      { list: [...cause.for, ...shown].map(text) },
      ...(cause.against.length === 0 ? say('Against it: no result.') : [...say('Against it:'), { list: cause.against.map(text) }]),
      ...(cause.others.length === 0 ? [] : say(`Other candidates with a finding of their own: ${cause.others.join('; ')}.`)),
      ...say(weighed ? 'How many times as likely: estimates of the library, not measurements.' : ''),
    ],
  }
}

function evidenceText(one: NoteCause['for'][number], weighed: boolean): string {
  return `${join(one.title, one.answer)}${one.times === undefined || !weighed ? '' : ` — ${timesWords(one.times)}`}`
}

function timesWords(times: number): string {
  if (times >= 1) return times > 50 ? 'more than 50 times as likely with this cause' : `${times} times as likely with this cause`
  return `1/${Math.round(1 / times)} as likely with this cause`
}

function join(title: string, answer: string): string {
  return `${title}${title.endsWith('?') ? '' : ':'} ${answer}`
}

export function readingsSection(data: NoteData, clock: Clock): Section {
  const time = clock.rows()
  const rows = data.readings.map((row): Cell[] => [
    cell(time(row.at), { mono: true, rail: row.rail }),
    cell(row.title),
    cell(row.typed.length === 0 ? 'see the lockout record' : row.typed.map((one) => `${one.label}: ${one.value}`).join('; ')),
    cell(row.range === '' ? 'none' : row.range),
    verdictCell(row),
    cell(row.instrument),
    cell(row.power),
  ])
  const head = ['Time', 'Reading', 'As typed', 'Range', 'Verdict', 'Instrument', 'Power state']
  return {
    id: 'readings',
    title: 'Readings',
    blocks: rows.length === 0 ? say('No reading was taken.') : [{ table: { name: 'readings', head, rows } }],
  }
}

function verdictCell(row: NoteReading): Cell {
  const mark = markOf(row)
  return mark === undefined ? cell(row.verdict) : cell(row.verdict, { mark })
}

function markOf(row: Pick<NoteReading, 'mark' | 'direction'>): MarkName | undefined {
  if (row.mark !== 'out') return row.mark
  return row.direction === undefined ? 'out' : row.direction === 'high' ? 'out-high' : 'out-low'
}

export function ruledOutSection({ ruledOut }: NoteData): Section {
  return {
    id: 'ruled-out',
    title: 'Ruled out, and how',
    blocks: listOr(
      ruledOut.map((one) => `${one.label} — ${one.by.join('; ')}`),
      'Nothing was ruled out.',
    ),
  }
}

export function notTestedSection({ notTested }: NoteData): Section {
  return {
    id: 'not-tested',
    title: 'Not tested, and why',
    blocks: listOr(
      notTested.map((one) => `${one.what} — ${one.why}`),
      'Everything that was asked for was tested.',
    ),
  }
}

/** With the rivals of each part: faults that look alike, ruled out or untested. */
export function partsSection(data: NoteData, clock: Clock): Section {
  const time = clock.rows()
  const rows = [
    ...data.partsIn.map((part): Cell[] => [
      cell(time(part.at), { mono: true }),
      cell(part.trial ? 'In, on trial' : 'In'),
      cell(part.label),
      cell(`Evidence: ${part.evidence.join('; ')}`),
      cell(part.rivals.length === 0 ? 'none named' : part.rivals.join('; ')),
    ]),
    ...data.partsOut.map((part): Cell[] => [
      cell(time(part.at), { mono: true }),
      cell('Out'),
      cell(part.label),
      cell(`Where it lies: ${part.where}`),
      cell('—'),
    ]),
  ]
  const head = ['Time', 'In or out', 'Part', 'Record', 'Rivals']
  return {
    id: 'parts',
    title: 'Parts',
    blocks: rows.length === 0 ? say('No part was fitted or taken out.') : [{ table: { name: 'parts', head, rows } }],
  }
}

/** For the invoice: what went in and out, on which evidence, and where the old part lies. */
export function partLinesSection(data: NoteData, clock: Clock): Section {
  const { title, id, blocks } = partsSection(data, clock)
  const short = blocks.map((block) =>
    'table' in block
      ? { table: { ...block.table, head: block.table.head.slice(0, 4), rows: block.table.rows.map((row) => row.slice(0, 4)) } }
      : block,
  )
  return { id, title, blocks: short }
}

export function approvalsSection(data: NoteData, clock: Clock): Section {
  const time = clock.rows()
  const rows = data.approvals.map((one): Cell[] => [
    cell(time(one.at), { mono: true }),
    one.withdrawn === true ? cell(one.what, { struck: true, after: '(withdrawn)' }) : cell(one.what),
    cell(one.by),
  ])
  return {
    id: 'approvals',
    title: 'Approvals',
    blocks: rows.length === 0 ? say('No approval was recorded.') : [{ table: { name: 'approvals', head: ['Time', 'What', 'By'], rows } }],
  }
}

export function asFoundSection(data: NoteData): Section {
  const compared = (title: string, { found, left, differences }: NoteData['switches']): Cell[] => [
    cell(title),
    cell(lines(found)),
    cell(lines(left)),
    cell(found.length === 0 || left.length === 0 ? 'cannot be compared' : differences.length === 0 ? 'none' : differences.join('; ')),
  ]
  const rows = [
    compared('Switches and jumpers', data.switches),
    compared('Conductors', data.conductors),
    compared('Loads and outlets', data.loads),
    compared('Settings', data.settings),
  ]
  return {
    id: 'as-found',
    title: 'As found and as left',
    blocks: [{ table: { name: 'as-found', head: ['What', 'As found', 'As left', 'Differences'], rows } }, ...say(data.bypass)],
  }
}

function lines(list: NoteData['switches']['found']): string {
  return list.length === 0 ? 'not recorded' : list.map((one) => `${one.label}: ${one.value}`).join('; ')
}

export function lockoutSection(data: NoteData, clock: Clock): Section {
  const { steps, proofs, locksNow } = data.lockout
  const time = clock.rows()
  const stepRows = steps.map((one): Cell[] => [cell(time(one.at), { mono: true }), cell(one.what), cell(one.by)])
  const blocks: Block[] =
    stepRows.length === 0
      ? say('Nothing was switched or locked on this job.')
      : [{ table: { name: 'lockout', head: ['Time', 'What', 'By'], rows: stepRows } }]
  for (const proof of proofs) {
    const rows = proof.places.map((place): Cell[] => [
      cell(place.place),
      ...place.pairs.map((pair) => cell(`${pair.label} ${pair.value}`.replaceAll(' ', '\u00a0'), { mono: true })),
    ])
    blocks.push(
      ...say(
        `${proof.struck ? 'Taken back: ' : ''}${clock.full(proof.at)}, ${proof.by}: ${proof.result}. Tester proved before: ${yes(proof.testerBefore)}. Tester proved after: ${yes(proof.testerAfter)}.`,
      ),
      { table: { name: 'pairs', head: [], rows } },
    )
  }
  if (proofs.length === 0) blocks.push(...say('No proof of dead was made on this job.'))
  return {
    id: 'lockout',
    title: 'Lockout record',
    blocks: [...blocks, ...say(`Locks on now: ${locksNow.length === 0 ? 'none' : locksNow.join('; ')}.`)],
  }
}

function yes(is: boolean): string {
  return is ? 'yes' : 'no'
}

const CHECK_WORDS = { done: '■ done', failed: '▲ did not hold', 'not-done': '◇ not done' } as const

export function proofSection(data: NoteData, clock: Clock): Section {
  const time = clock.rows()
  const rows = data.proof.map((row): Cell[] => [
    cell(row.at === undefined ? '—' : time(row.at), { mono: true }),
    cell(row.what),
    cell(CHECK_WORDS[row.state]),
    cell(row.detail),
  ])
  const summary = data.proved ? 'Proved: GFCI, heat off, demand cycled, settings and hold.' : 'The repair is not proved as a whole.'
  const blocks: Block[] =
    rows.length === 0
      ? say('No repair was put to the proof on this job.')
      : [...say(summary, true), { table: { name: 'proof', head: ['Time', 'Check', 'Result', 'Readings'], rows } }]
  return { id: 'proof', title: 'Proof of repair', blocks }
}

export function proofLineSection(data: NoteData): Section {
  const open = data.proof.filter((check) => check.state !== 'done').map((check) => `${check.what}: ${CHECK_WORDS[check.state]}`)
  const text =
    data.proof.length === 0
      ? 'No repair was put to the proof on this job.'
      : data.proved
        ? 'Proved: GFCI, heat off, demand cycled, settings and hold.'
        : 'The repair is not proved as a whole.'
  return { id: 'proof', title: 'Proof of repair', blocks: [...say(text), ...(open.length === 0 ? [] : [{ list: open }])] }
}

export function risksSection({ risks, voltage }: NoteData): Section {
  const measured =
    voltage.length === 0 ? [] : [`Voltage was measured at: ${voltage.map((one) => `${one.label}, ${one.value}`).join('; ')}.`]
  return { id: 'risks', title: 'Open risks', blocks: listOr([...measured, ...risks], 'None recorded.') }
}

export function cautionsSection({ cautions }: NoteData): Section {
  return { id: 'cautions', title: 'Cautions', blocks: [{ cautions }] }
}

export function nextSection({ ending }: NoteData): Section {
  return { id: 'next', title: 'What comes next', blocks: listOr(ending?.next ?? [], 'The job goes on.') }
}

export function tubSection(data: NoteData): Section {
  const pairs = data.tub.map((one) => ({ label: one.label, value: `${one.value} (${one.source})` }))
  const blocks: Block[] = pairs.length === 0 ? say('Nothing about the tub was recorded.') : [{ pairs }]
  return {
    id: 'tub',
    title: 'The tub',
    blocks: [...blocks, ...say(data.history.length === 0 ? '' : `History: ${data.history.join('; ')}.`)],
  }
}

export function peopleSection(data: NoteData, clock: Clock): Section {
  const people = data.people.map(
    (one) =>
      `${one.name}${one.name.toLowerCase() === one.role ? '' : `, ${one.role}`}${one.signed.length === 0 ? '' : `; signed off for ${one.signed.join(' and ')} (self-declared)`}`,
  )
  const handovers = data.handovers.map((one) => `${clock.full(one.at)}: ${one.what}`)
  return {
    id: 'people',
    title: 'Who',
    blocks: [...listOr(people, 'Nobody is recorded.'), ...(handovers.length === 0 ? [] : [{ list: handovers }])],
  }
}

export function photosSection({ photos }: NoteData): Section {
  return { id: 'photos', title: 'Photos', blocks: listOr(photos, 'No photo is recorded.') }
}

export function railSection(data: NoteData, clock: Clock): Section {
  const time = clock.rows()
  const rows = data.rail.map((point): Cell[] => [cell(time(point.at), { mono: true, rail: point.power }), cell(point.words)])
  return { id: 'rail', title: 'Power state', blocks: [{ table: { name: 'rail', head: ['From', 'State'], rows } }] }
}

export function pathSection(data: NoteData, clock: Clock): Section {
  const time = clock.rows()
  const shown = data.path.filter((row) => row.auto === undefined)
  const rows = shown.map((row): Cell[] => [
    cell(time(row.at), { mono: true, rail: row.power }),
    cell(row.title, struckIf(row)),
    cell(answerText(row), { ...struckIf(row), ...markIf(row), ...(row.struck === undefined ? {} : { after: `(${row.struck})` }) }),
    cell(row.by),
  ])
  const hidden = data.path.length - shown.length
  const note = hidden === 0 ? '' : `${hidden} decisions of the program between these steps are in the data (JSON).`
  return {
    id: 'path',
    title: 'The path, step by step',
    blocks: [{ table: { name: 'path', head: ['Time', 'Step', 'Answer', 'By'], rows } }, ...say(note)],
  }
}

function markIf(row: NotePathRow): { mark?: MarkName } {
  const mark = markOf(row)
  return mark === undefined ? {} : { mark }
}

function struckIf(row: NotePathRow): { struck?: true } {
  return row.struck === undefined ? {} : { struck: true }
}

function answerText(row: NotePathRow): string {
  const typed =
    row.typed.length === 0 || row.typed.length > 8 ? '' : ` · ${row.typed.map((one) => `${one.label}: ${one.value}`).join('; ')}`
  const words = row.words === undefined ? '' : ` “${row.words}”`
  return `${row.answer}${typed}${words}`
}
