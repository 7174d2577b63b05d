// What the server hands to the writer of job notes, and what it takes back.
// The writer itself, its words and its templates live in server/notes.
import { z } from 'zod'
import type { Engine, JobState } from '#graphs'
import type { JobEvent } from '#graphs/contract'

export const noteVoiceSchema = z.enum(['customer', 'office', 'next-technician', 'warranty'])
export const noteFormatSchema = z.enum(['html', 'md', 'txt', 'json'])
export type NoteVoice = z.infer<typeof noteVoiceSchema>
export type NoteFormat = z.infer<typeof noteFormatSchema>

export type NoteOrder = {
  readonly engine: Engine
  readonly state: JobState
  /** The whole log, names and words put back. */
  readonly events: readonly JobEvent[]
  readonly voice: NoteVoice
  readonly format: NoteFormat
  readonly now: number
  /** Hash of the last line of the log: what the note was written from. */
  readonly head: string
  /** The homeowner's own link, when it was the homeowner who asked. */
  readonly link?: string
}

/** The note as one text in the format asked for. A throw is a fault of the program. */
export type WriteNote = (order: NoteOrder) => string | Promise<string>
