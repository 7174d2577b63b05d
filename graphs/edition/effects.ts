// Effects as authors write them ("energy off", "hazard voltage") become typed effects. What effects do is safety/tub.ts and engine/effects.ts.
// One effect is one phrase; a list of them is the caller's business.
import { HAZARD_SLUGS } from './compiled.ts'
import type { Effect, HazardSlug } from './compiled.ts'
import { nearest } from './nearest.ts'

/** One effect, or a sentence that says what is wrong with it. */
export function effectFromWords(words: string): Effect | string {
  const [verb = '', first = '', ...rest] = words.trim().split(/\s+/)
  const second = rest.join(' ')
  switch (verb) {
    case 'energy':
      return first === 'on' || first === 'off' ? { do: 'energy', to: first } : `energy is on or off, not "${first}"`
    case 'unlock':
      if (first === 'others') return { do: 'unlock', owner: 'others' }
      return first === 'own' || first === 'shop'
        ? { do: 'unlock', owner: first }
        : `unlock own, unlock shop or unlock others, not "${first}"`
    case 'lock':
      return first === 'own' || first === 'shop' ? { do: 'lock', owner: first } : `lock own or lock shop, not "${first}"`
    case 'covers':
      return first === 'on' || first === 'off' ? { do: 'covers', to: first } : `covers are on or off, not "${first}"`
    case 'proof':
    case 'reset':
    case 'water-clear':
      return first === '' ? { do: verb } : `${verb} stands alone`
    case 'leads':
      return first === 'capped' || first === 'on' ? { do: 'leads', to: first } : `leads are capped or on, not "${first}"`
    case 'part-out':
    case 'part-in':
      return first === '' ? `${verb} names a part` : { do: verb, part: first }
    case 'hazard':
    case 'clear-hazard':
      return HAZARD_SLUGS.includes(first as HazardSlug)
        ? { do: verb, hazard: first as HazardSlug }
        : `no hazard "${first}"; there are ${HAZARD_SLUGS.join(', ')}`
    case 'gfci':
      return first === 'passed' || first === 'failed' ? { do: 'gfci', result: first } : `gfci passed or gfci failed, not "${first}"`
    case 'mark':
    case 'unmark':
      return first === '' ? `${verb} names a mark` : { do: verb, mark: first }
    case 'flag':
      return first === '' ? 'flag names a flag' : { do: 'flag', flag: first }
    case 'fact':
      return second === '' ? 'fact names a slug and a value' : { do: 'fact', slug: first, value: scalarFromWords(second) }
    case 'approve':
      return first === '' ? 'approve says what' : { do: 'approve', what: [first, ...rest].join(' ') }
    default:
      return unknownVerb(verb)
  }
}

function scalarFromWords(words: string): string | number | boolean {
  if (words === 'true') return true
  if (words === 'false') return false
  const number = Number(words)
  return Number.isFinite(number) ? number : words
}

const VERBS = [
  'energy',
  'lock',
  'unlock',
  'covers',
  'proof',
  'reset',
  'water-clear',
  'leads',
  'part-out',
  'part-in',
  'hazard',
  'clear-hazard',
  'gfci',
  'mark',
  'unmark',
  'flag',
  'fact',
  'approve',
]

function unknownVerb(verb: string): string {
  const near = nearest(verb, VERBS)
  return near === undefined ? `no effect "${verb}"; there are ${VERBS.join(', ')}` : `no effect "${verb}"; did you mean "${near}"?`
}
