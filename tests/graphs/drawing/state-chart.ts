// A small reader and runner of SCXML 1.0, only as much of the standard as the drawn charts use; it knows nothing of the library.
// Semantics after the W3C Recommendation of 1 September 2015: sections 3.5 (transition), 3.7 (final), 3.8 (onentry), 3.12.1 (event descriptors), appendix D.
import { DOMParser } from '@xmldom/xmldom'
import type { Element } from '@xmldom/xmldom'

type Transition = {
  readonly event: string | null
  readonly cond: string | null
  readonly target: string
  readonly assigns: readonly Assign[]
}
type Assign = { readonly location: string; readonly expr: string }
export type State = {
  readonly id: string
  readonly parent: string | undefined
  readonly initial: string | null
  readonly isFinal: boolean
  readonly transitions: readonly Transition[]
  readonly onEntry: { readonly assigns: readonly Assign[]; readonly raises: readonly string[] }
}
export type Chart = {
  readonly root: Element
  readonly initial: string
  readonly states: ReadonlyMap<string, State>
  readonly ids: readonly string[]
  readonly data: readonly string[]
}

/** Throws where the text is not well-formed XML. The parser lets a bare ampersand pass, which XML 1.0, section 2.4, does not. */
export function readXml(text: string): Element {
  const bare = /&(?!(?:amp|lt|gt|quot|apos|#\d+|#x[\da-fA-F]+);).{0,20}/.exec(text)
  if (bare !== null) throw new Error(`a bare ampersand: ${bare[0]}`)
  const found = new DOMParser({
    onError: (_level, message) => {
      throw new Error(message)
    },
  }).parseFromString(text, 'text/xml').documentElement
  if (found === null) throw new Error('no element')
  return found
}

export function children(element: Element, ...names: readonly string[]): Element[] {
  return Array.from(element.childNodes).filter((node): node is Element => node.nodeType === 1 && names.includes(node.nodeName))
}

export function readChart(text: string): Chart {
  const root = readXml(text)
  const states = new Map<string, State>()
  const ids: string[] = []
  const visit = (element: Element, parent: string | undefined): void => {
    for (const child of children(element, 'state', 'final')) {
      const id = child.getAttribute('id') ?? ''
      ids.push(id)
      const onEntry = children(child, 'onentry')
      states.set(id, {
        id,
        parent,
        initial: child.getAttribute('initial'),
        isFinal: child.nodeName === 'final',
        transitions: children(child, 'transition').map((one) => ({
          event: one.getAttribute('event'),
          cond: one.getAttribute('cond'),
          target: one.getAttribute('target') ?? '',
          assigns: assignsOf(one),
        })),
        onEntry: {
          assigns: onEntry.flatMap(assignsOf),
          raises: onEntry.flatMap((one) => children(one, 'raise').map((raise) => raise.getAttribute('event') ?? '')),
        },
      })
      visit(child, id)
    }
  }
  visit(root, undefined)
  const data = children(root, 'datamodel').flatMap((model) => children(model, 'data').map((one) => one.getAttribute('id') ?? ''))
  return { root, initial: root.getAttribute('initial') ?? '', states, ids, data }
}

function assignsOf(element: Element): Assign[] {
  return children(element, 'assign').map((one) => ({ location: one.getAttribute('location') ?? '', expr: one.getAttribute('expr') ?? '' }))
}

export type Run = { readonly at: () => string; readonly send: (event: string) => boolean }

export function runChart({ states, initial, data }: Chart): Run {
  const values = new Map(data.map((id) => [id, 0]))
  const raised: string[] = []
  let at = ''
  const ancestors = (id: string): string[] => {
    const state = states.get(id)
    return state === undefined ? [] : [id, ...(state.parent === undefined ? [] : ancestors(state.parent))]
  }
  const assign = ({ location, expr }: Assign): void => void values.set(location, valueOf(expr))
  /** `n`, or `name + n`: the only expressions in use. */
  const valueOf = (expr: string): number => expr.split(' + ').reduce((sum, part) => sum + (values.get(part) ?? Number(part)), 0)
  const holds = (cond: string | null): boolean => {
    if (cond === null) return true
    const [left = '', right = ''] = cond.split(' < ')
    return valueOf(left) < valueOf(right)
  }
  const enter = (target: string, from: readonly string[]): void => {
    const entered = ancestors(target)
      .toReversed()
      .filter((id) => id === target || !from.includes(id))
    for (const id of entered) {
      const state = states.get(id)
      state?.onEntry.assigns.forEach(assign)
      raised.push(...(state?.onEntry.raises ?? []))
    }
    const inner = states.get(target)?.initial
    if (inner === null || inner === undefined) at = target
    else enter(inner, ancestors(target))
  }
  const take = (event: string | null): boolean => {
    for (const source of ancestors(at)) {
      const found = states.get(source)?.transitions.find((one) => matches(one.event, event) && holds(one.cond))
      if (found === undefined) continue
      // An external transition leaves its source and everything below the ancestor that source and target share.
      const above = ancestors(source).slice(1)
      found.assigns.forEach(assign)
      enter(found.target, above)
      return true
    }
    return false
  }
  const settle = (): void => {
    for (;;) {
      if (take(null)) continue
      const event = raised.shift()
      if (event === undefined) return
      take(event)
    }
  }
  enter(initial, [])
  settle()
  return {
    at: () => at,
    send: (event) => {
      const taken = take(event)
      settle()
      return taken
    },
  }
}

function matches(descriptor: string | null, event: string | null): boolean {
  if (descriptor === null || event === null) return descriptor === event
  return descriptor.split(' ').some((one) => event === one || event.startsWith(`${one}.`))
}
