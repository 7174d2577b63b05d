// The phone's copy in IndexedDB. A write counts only when the browser says that it is on disk; a lost handle is thrown away and opened anew.
// What is written when is phone-job.ts.
import { openDB } from 'idb'
import type { DBSchema, IDBPDatabase, StoreNames } from 'idb'
import type { JobEvent } from '#graphs/contract'
import type { KeptJob, Outgoing, PhoneStore } from './store.ts'

interface Shelves extends DBSchema {
  jobs: { key: string; value: KeptJob }
  events: { key: [string, number]; value: { token: string; seq: number; event: JobEvent } }
  outgoing: { key: [string, number]; value: Outgoing }
  editions: { key: number; value: unknown }
}

type Shelf = StoreNames<Shelves>
const STRICT = { durability: 'strict' } as const

export function createBrowserStore(name = 'backwrench'): PhoneStore {
  let opening: Promise<IDBPDatabase<Shelves>> | undefined
  const open = async (): Promise<IDBPDatabase<Shelves>> => {
    opening ??= openShelves(name, () => (opening = undefined))
    return await opening
  }
  /** Some browsers lose the database while the phone sleeps: the handle is dead for good, a new one works. */
  const withShelves = async <T>(work: (db: IDBPDatabase<Shelves>) => Promise<T>): Promise<T> => {
    try {
      return await work(await open())
    } catch {
      opening?.then((db) => db.close()).catch(() => undefined)
      opening = undefined
      return await work(await open())
    }
  }
  return {
    load: async (token) => await withShelves(async (db) => await loadJob(db, token)),
    put: async (one) =>
      await withShelves(async (db) => {
        const writing = db.transaction('outgoing', 'readwrite', STRICT)
        await Promise.all([writing.store.put(one), writing.done])
      }),
    settle: async ({ job, events, put, remove }) =>
      await withShelves(async (db) => {
        const shelves: Shelf[] = ['jobs', 'events', 'outgoing']
        const writing = db.transaction(shelves, 'readwrite', STRICT)
        const { token } = job
        await Promise.all([
          writing.objectStore('jobs').put(job),
          ...events.map((event) => writing.objectStore('events').put({ token, seq: event.seq ?? 0, event })),
          ...put.map((one) => writing.objectStore('outgoing').put(one)),
          ...remove.map((n) => writing.objectStore('outgoing').delete([token, n])),
          writing.done,
        ])
      }),
    edition: async (number) => await withShelves(async (db) => await db.get('editions', number)),
    keepEdition: async (number, edition) => void (await withShelves(async (db) => await db.put('editions', edition, number))),
    jobs: async () => await withShelves(async (db) => await db.getAll('jobs')),
  }
}

async function openShelves(name: string, lost: () => void): Promise<IDBPDatabase<Shelves>> {
  try {
    return await openDB<Shelves>(name, 1, {
      upgrade: (db) => {
        db.createObjectStore('jobs', { keyPath: 'token' })
        db.createObjectStore('events', { keyPath: ['token', 'seq'] })
        db.createObjectStore('outgoing', { keyPath: ['token', 'n'] })
        db.createObjectStore('editions')
      },
      terminated: lost,
      blocking: (_current, _blocked, event) => {
        ;(event.target as IDBDatabase).close()
        lost()
      },
    })
  } catch (error) {
    lost()
    throw error
  }
}

async function loadJob(db: IDBPDatabase<Shelves>, token: string): ReturnType<PhoneStore['load']> {
  const range = IDBKeyRange.bound([token, 0], [token, Number.MAX_SAFE_INTEGER])
  const reading = db.transaction(['jobs', 'events', 'outgoing'])
  const [job, lines, outgoing] = await Promise.all([
    reading.objectStore('jobs').get(token),
    reading.objectStore('events').getAll(range),
    reading.objectStore('outgoing').getAll(range),
    reading.done,
  ])
  return { job, events: lines.map((line) => line.event), outgoing }
}
