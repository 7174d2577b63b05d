// Splits an event into the part that is chained for ever and the texts that can be erased, and joins them again.
// Which fields are content stands here and nowhere else; how texts are kept is the store's.
import { hash, randomBytes } from 'node:crypto'
import { FACTS } from '#graphs'
import type { JobEvent } from '#graphs/contract'

/** Stands in the log in place of a text. The salt lies beside the text, so that an erased text cannot be guessed from its hash. */
export type ContentRef = { readonly $content: string; readonly $hash: string }
export type Content = { readonly id: string; readonly salt: string; readonly text: string }
/** An event whose texts are refs: plain JSON, ready for the chain. */
export type SplitEvent = { readonly [key: string]: unknown }
export type Split = { readonly event: SplitEvent; readonly contents: readonly Content[] }

/** What a reader sees where a text was erased. */
export const ERASED = '(erased)'

/** A fact that is neither a number nor a choice is free words. */
const WORD_FACTS: ReadonlySet<string> = new Set(
  FACTS.filter((fact) => fact.quantity === undefined && fact.choices === undefined).map((fact) => fact.slug),
)

type Path = readonly string[]

/** Paths below `body`, by type of event; a function where they depend on what the body holds. */
const CONTENT_PATHS: { readonly [type in JobEvent['type']]?: (body: { readonly [key: string]: unknown }) => readonly Path[] } = {
  'job-opened': () => [['words']],
  'person-joined': () => [['person', 'name']],
  'answer-given': answerPaths,
  'answer-changed': answerPaths,
  'fact-stated': (body) => (WORD_FACTS.has(String(body['slug'])) ? [['value'], ['typed']] : []),
  'hazard-seen': () => [['words']],
  'approval-given': () => [['words']],
  'outcome-confirmed': () => [['words']],
  'photo-taken': () => [['name']],
}

export function splitEvent(event: JobEvent): Split {
  const paths = contentPaths(event)
  if (paths.length === 0) return { event: event as unknown as SplitEvent, contents: [] }
  let body: unknown = event.body
  const contents: Content[] = []
  for (const path of paths) {
    const text = follow(body, path)
    if (typeof text !== 'string') continue
    const content = createContent(`${event.id}:${path.join('.')}`, text)
    contents.push(content)
    body = withValue(body, path, { $content: content.id, $hash: hashContent(content) } satisfies ContentRef)
  }
  return { event: { ...event, body }, contents }
}

/** `find` gives the text of an id, or undefined once it is erased. */
export function joinEvent(event: SplitEvent, find: (id: string) => string | undefined): unknown {
  return putBack(event, find)
}

export function createContent(id: string, text: string): Content {
  return { id, salt: randomBytes(16).toString('base64url'), text }
}

export function hashContent(content: Content): string {
  return hash('sha256', `${content.salt}\n${content.text}`, 'base64url')
}

/** Every ref of a stored event, for checking and for finding texts. */
export function contentRefs(value: unknown): ContentRef[] {
  if (typeof value !== 'object' || value === null) return []
  if (isRef(value)) return [value]
  return Object.values(value).flatMap((part) => contentRefs(part))
}

function answerPaths(body: { readonly [key: string]: unknown }): Path[] {
  const paths: Path[] = [['words']]
  const form = body['form']
  if (!isRecord(form)) return paths
  if (form['form'] === 'text' && isRecord(form['fields'])) {
    for (const name of Object.keys(form['fields'])) paths.push(['form', 'fields', name])
  }
  if (form['form'] === 'facts' && isRecord(form['facts'])) {
    for (const name of Object.keys(form['facts'])) if (WORD_FACTS.has(name)) paths.push(['form', 'facts', name])
  }
  return paths
}

function contentPaths(event: JobEvent): readonly Path[] {
  return CONTENT_PATHS[event.type]?.(event.body as { readonly [key: string]: unknown }) ?? []
}

function follow(start: unknown, path: Path): unknown {
  let at = start
  for (const name of path) at = isRecord(at) && Object.hasOwn(at, name) ? at[name] : undefined
  return at
}

/** Copies what lies on the path and nothing else: the event that was handed in stays as it is. */
function withValue(at: unknown, [name, ...rest]: Path, value: unknown): unknown {
  return name === undefined || !isRecord(at) ? value : { ...at, [name]: withValue(at[name], rest, value) }
}

function putBack(value: unknown, find: (id: string) => string | undefined): unknown {
  if (typeof value !== 'object' || value === null) return value
  if (Array.isArray(value)) return value.map((part) => putBack(part, find))
  if (isRef(value)) return find(value.$content) ?? ERASED
  return Object.fromEntries(Object.entries(value).map(([key, part]) => [key, putBack(part, find)]))
}

function isRecord(value: unknown): value is { [key: string]: unknown } {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

/** Slugs hold no dollar sign, so nothing that somebody typed can pass for a ref. */
function isRef(value: object): value is ContentRef {
  const record = value as { readonly [key: string]: unknown }
  return typeof record['$content'] === 'string' && typeof record['$hash'] === 'string'
}
