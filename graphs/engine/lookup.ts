// Looking up by names that came from outside: only what was really put there is found, never what every object has by nature.
// What is looked up is the callers' business.
import type { Edition, Step } from '../edition/compiled.ts'
import { endOfKey } from './place.ts'

/** The member of that name, if it is the record's own. */
export function own<T>(record: { readonly [name: string]: T } | undefined, name: string): T | undefined {
  return record !== undefined && Object.hasOwn(record, name) ? record[name] : undefined
}

/** The step that a key ends in; undefined when the edition has none. */
export function stepOfKey(edition: Edition, key: string): Step | undefined {
  const { block, step } = endOfKey(key)
  return own(own(edition.blocks, block)?.steps, step)
}
