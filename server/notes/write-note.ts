// The writer of job notes as the server asks for it: an order of the route, the text of the note.
// Hashes come from here; who may read which voice is the route's.
import type { Editions } from '../editions.ts'
import type { NoteOrder, WriteNote } from '../note-order.ts'
import { render } from './render.ts'

/** What the notes of this shop have in common: its name at the top, and the zone of its clocks. */
export type NoteShop = { readonly shop?: string; readonly timeZone?: string }

export function createNoteWriter(editions: Editions, shop: NoteShop = {}): WriteNote {
  return (order: NoteOrder) => {
    const { engine, state, events, voice, format, head, link } = order
    const editionHash = editions.get(state.edition)?.hash
    return render({
      edition: engine.edition,
      state,
      events,
      voice,
      format,
      ...(shop.shop === undefined ? {} : { shop: shop.shop }),
      ...(editionHash === undefined ? {} : { editionHash }),
      head,
      ...(link === undefined ? {} : { link }),
      ...(shop.timeZone === undefined ? {} : { timeZone: shop.timeZone }),
    }).body
  }
}
