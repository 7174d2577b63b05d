// The shapes of the note's data that sections are made of, by short names; and the clock that prints their times.
// The data itself is made by #graphs.
import type { NoteData } from '#graphs'

export type NoteCaution = NoteData['cautions'][number]
export type NoteReading = NoteData['readings'][number]
export type NotePathRow = NoteData['path'][number]
export type NoteCause = NoteData['cause']

export type Clock = {
  /** "4 Mar 2026, 09:31". */
  readonly full: (at: number) => string
  /** "4 Mar 2026". */
  readonly day: (at: number) => string
  /** "09:31" for one row after the other; a new day is said with its date. */
  readonly rows: () => (at: number) => string
  readonly zone: string
}

/** Times in the zone that is handed in. Throws on a zone that does not exist: it is checked where it is read. */
export function createClock(timeZone: string): Clock {
  const days = new Intl.DateTimeFormat('en-GB', { timeZone, day: 'numeric', month: 'short', year: 'numeric' })
  const short = new Intl.DateTimeFormat('en-GB', { timeZone, day: 'numeric', month: 'short' })
  const hours = new Intl.DateTimeFormat('en-GB', { timeZone, hour: '2-digit', minute: '2-digit', hourCycle: 'h23' })
  return {
    zone: timeZone,
    day: (at) => days.format(at),
    full: (at) => `${days.format(at)}, ${hours.format(at)}`,
    rows: () => {
      let before = ''
      return (at) => {
        const day = short.format(at)
        // A date does not break, so that it stands above its time in a narrow column.
        const text = day === before ? hours.format(at) : `${day.replaceAll(' ', '\u00a0')} ${hours.format(at)}`
        before = day
        return text
      }
    },
  }
}
