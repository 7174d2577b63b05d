// A note in one voice and one format, from the note's data: Handlebars templates over plain blocks.
// What the note says is made before it comes here; nothing is read from a job or a store.
import { readFileSync } from 'node:fs'
import Handlebars from 'handlebars'
import { noteData } from '#graphs'
import type { Edition, JobState, NoteData } from '#graphs'
import type { JobEvent } from '#graphs/contract'
import type { NoteFormat, NoteVoice } from '../note-order.ts'
import { MARK_WORDS } from './document.ts'
import type { Cell, MarkName } from './document.ts'
import { markSvg, qrSvg, railSvg, triangleSvg } from './drawings.ts'
import { createClock } from './note-parts.ts'
import { keepUnits, linkText, markdown, markdownTable, oneLine, textTable, wrapText } from './plain-text.ts'
import { documentOf, PRACTICE } from './voices.ts'

export type NoteOptions = {
  /** IANA name; UTC where none is given. */
  readonly timeZone?: string
}

export type NoteRequest = NoteOptions & {
  readonly edition: Edition
  readonly state: JobState
  readonly events: readonly JobEvent[]
  readonly voice: NoteVoice
  readonly format: NoteFormat
  readonly shop?: string
  readonly editionHash?: string
  readonly head?: string
  readonly link?: string
}

export type RenderedNote = { readonly contentType: string; readonly body: string }

/** Built from web/public/note.css, beside the pages. */
export const CSS_HREF = '/note.css'

const CONTENT_TYPES: { readonly [format in NoteFormat]: string } = {
  html: 'text/html; charset=utf-8',
  md: 'text/markdown; charset=utf-8',
  txt: 'text/plain; charset=utf-8',
  json: 'application/json; charset=utf-8',
}

type Printed = Exclude<NoteFormat, 'json'>
const TEMPLATES: { readonly [format in Printed]: Handlebars.TemplateDelegate } = {
  html: compile('html'),
  md: compile('md'),
  txt: compile('txt'),
}

/** The note of a job. Its voice decides what is in it, its format only how it looks. */
export function render(request: NoteRequest): RenderedNote {
  const { edition, state, events, voice, format, shop, editionHash, head, link } = request
  const data = noteData(edition, state, events, {
    ...(shop === undefined ? {} : { shop }),
    ...(editionHash === undefined ? {} : { editionHash }),
    ...(head === undefined ? {} : { head }),
    ...(link === undefined ? {} : { link }),
  })
  return { contentType: CONTENT_TYPES[format], body: renderNote(data, voice, format, request) }
}

/** JSON in the customer's voice holds the customer's data and nothing else. */
export function renderNote(data: NoteData, voice: NoteVoice, format: NoteFormat, options: NoteOptions = {}): string {
  if (format === 'json') return `${JSON.stringify(voice === 'customer' ? data.customer : data, null, 2)}\n`
  const document = documentOf(data, voice, createClock(options.timeZone ?? 'UTC'))
  const body = TEMPLATES[format]({
    ...document,
    practiceWords: PRACTICE,
    practiceShort: 'invented practice job',
    qr: qrSvg(document.link),
    cssHref: CSS_HREF,
  })
  return format === 'html' ? body : `${body.replace(/\n{3,}/g, '\n\n').trim()}\n`
}

function compile(format: Printed): Handlebars.TemplateDelegate {
  const own = Handlebars.create()
  own.registerPartial('section', readTemplate(`section.${format}.hbs`))
  own.registerHelper({
    railSvg,
    markSvg,
    triangleSvg,
    keep: (text: unknown) => keepUnits(String(text)),
    markWord: (mark: MarkName) => MARK_WORDS[mark].slice(2),
    upper: (text: string) => oneLine(text).toUpperCase(),
    cellClass: (cell: Cell) =>
      [cell.rail === undefined ? '' : 'railed', cell.mono === true ? 'mono' : '', cell.mark ?? ''].filter(Boolean).join(' '),
    headOf: (head: readonly string[], index: number) => head[index] ?? '',
    md: markdown,
    url: linkText,
    line: oneLine,
    rule: (text: string) => '='.repeat(Math.min(oneLine(text).length, 78)),
    mdTable: markdownTable,
    txtTable: textTable,
    wrap: (text: string) => wrapText(text),
    wrapItem: (text: string) => wrapText(text, '- ', '  '),
    wrapPair: (pair: { label: string; value: string }) => wrapText(`${pair.label}: ${pair.value}`, '  ', '    '),
    wrapCaution: (one: { word: string; text: string }) => wrapText(`${one.word.toUpperCase()}: ${one.text}`, '', '  '),
  })
  return own.compile(readTemplate(`note.${format}.hbs`), { noEscape: format !== 'html', preventIndent: true })
}

function readTemplate(name: string): string {
  return readFileSync(new URL(`./templates/${name}`, import.meta.url), 'utf8')
}
