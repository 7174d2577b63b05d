// This phone and who speaks on it: ids from the browser's own randomness, kept in the browser.
// Without that store they live as long as the page.
import type { Person } from '#graphs/contract'

/** 128 random bits, URL-safe. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16))
  return btoa(String.fromCharCode(...bytes))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replaceAll('=', '')
}

const memory = new Map<string, string>()

export function recall(key: string): string | undefined {
  try {
    return localStorage.getItem(key) ?? memory.get(key)
  } catch {
    return memory.get(key)
  }
}

export function remember(key: string, text: string | undefined): void {
  if (text === undefined) memory.delete(key)
  else memory.set(key, text)
  try {
    if (text === undefined) localStorage.removeItem(key)
    else localStorage.setItem(key, text)
  } catch {
    // Kept in memory; the page says nothing, because no answer is lost by it.
  }
}

export function deviceId(): string {
  const known = recall('device')
  if (known !== undefined) return known
  const made = newId()
  remember('device', made)
  return made
}

/** Who speaks on this phone, in this job or in the job before. */
export function recallPerson(job: string): Person | undefined {
  return parsePerson(recall(`person:${job}`))
}

export function lastPerson(): Person | undefined {
  return parsePerson(recall('person'))
}

export function rememberPerson(job: string, person: Person, isPractice = false): void {
  remember(`person:${job}`, JSON.stringify(person))
  if (!isPractice) remember('person', JSON.stringify(person))
}

function parsePerson(text: string | undefined): Person | undefined {
  if (text === undefined) return undefined
  try {
    const person = JSON.parse(text) as Person
    return typeof person.id === 'string' && typeof person.name === 'string' && Array.isArray(person.signed) ? person : undefined
  } catch {
    return undefined
  }
}
