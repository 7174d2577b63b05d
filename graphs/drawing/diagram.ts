// A block as boxes and arrows with their words and sizes: what is drawn, before anybody says where.
// Positions are worked out elsewhere and handed to picture.ts.
import type { Block, Edition, Need, Outcome, SignalWord, Step, StepKind } from '../edition/compiled.ts'

export type Size = { readonly width: number; readonly height: number }
/** link: a small box that names where the way goes on, in place of a long arrow to it. */
export type BoxKind = StepKind | 'start' | 'exit' | 'link'
export type Box = Size & {
  readonly id: string
  readonly kind: BoxKind
  /** Small first line: kind, minutes, what it needs of the tub. */
  readonly head: string
  readonly lines: readonly string[]
  readonly foot: readonly string[]
  readonly needs: Need
  readonly hazard?: SignalWord
}
export type Arrow = Size & {
  readonly id: string
  readonly from: string
  /** The steps it leads to: several where it ends in a link that names them. */
  readonly to: readonly string[]
  readonly lines: readonly string[]
  /** The box it is drawn to. */
  readonly tip: string
  /** The answers that take this arrow. */
  readonly outcomes: readonly string[]
  /** A way back, with the most times it is taken. */
  readonly back: boolean
}
type Way = {
  readonly from: string
  readonly to: string
  readonly words: readonly string[]
  readonly outcomes: readonly string[]
  readonly back: boolean
}
type Drawn = { readonly arrows: readonly Arrow[]; readonly boxes: readonly Box[] }
export type Diagram = { readonly block: string; readonly title: string; readonly boxes: readonly Box[]; readonly arrows: readonly Arrow[] }

const TITLE_CHARACTERS = 24
const LABEL_CHARACTERS = 24
const TITLE_PX = 16
const LABEL_PX = 13
/** Height of a line for one pixel of type, and the widest usual letter of a plain sans. */
const LINE = 1.25
const LETTER = 0.58
const LINK_CHARACTERS = 34
const BOX_WIDTH = 300
const TERMINAL_WIDTH = 190

export const NEED_WORDS: { readonly [need in Need]: string } = {
  talk: '',
  shut: 'covers on',
  'live-shut': 'live, covers on',
  proving: 'locked, not proved',
  dead: 'proved dead',
  'live-open': 'live, cover off',
}

/**
 * Boxes and arrows of one block, in the order in which the steps are met from its entries.
 *
 * Shape:  sizes are wide enough for the words; answers that lead the same way share an arrow. Pure, the same for the same block.
 * Units:  px of the picture.
 * Errors: none; a call of a block that the edition does not hold shows its slug.
 */
export function diagramOf(block: Block, edition: Pick<Edition, 'blocks'>): Diagram {
  const steps = stepsAsMet(block)
  const entries = [
    { id: 'entry:start', to: block.start, words: 'Begins here' },
    ...(block.arrive === undefined ? [] : [{ id: 'entry:arrive', to: block.arrive, words: 'Arrives on site' }]),
  ]
  const ways = steps.flatMap((step) => waysOf(step))
  const exits = [...new Set(ways.map(({ to }) => to).filter((to) => to.startsWith('exit:')))]
  const drawn = withLinks(ways, new Set(entries.map(({ to }) => to)), block)
  return {
    block: block.id,
    title: block.title,
    boxes: [
      ...entries.map(({ id, words }) => terminal(id, 'start', words)),
      ...steps.map((step) => boxOf(step, edition)),
      ...exits.map((id) => terminal(id, 'exit', nameOf(id, block))),
      ...drawn.boxes,
    ],
    arrows: [...entries.map(({ id, to }) => arrow(id, [to], to, [], [], false)), ...drawn.arrows],
  }
}

function nameOf(id: string, block: Block): string {
  return id.startsWith('exit:') ? `Leaves: ${slugWords(id.slice('exit:'.length))}` : (block.steps[id]?.title ?? id)
}

/** One arrow into each box is drawn, and every way back; a step's other ways share one link that names where they go. */
function withLinks(ways: readonly Way[], entered: ReadonlySet<string>, block: Block): Drawn {
  const reached = new Set(entered)
  const arrows: Arrow[] = []
  const links = new Map<string, { ways: Way[]; lines: string[] }>()
  for (const way of ways) {
    if (way.back || !reached.has(way.to)) {
      reached.add(way.to)
      arrows.push(arrow(way.from, [way.to], way.to, way.words, way.outcomes, way.back))
      continue
    }
    const link = links.get(way.from) ?? { ways: [], lines: [] }
    link.ways.push(way)
    link.lines.push(
      ...wrap(`${way.words.join(', ')} → ${nameOf(way.to, block)}`, LINK_CHARACTERS).map((line, at) => (at === 0 ? line : `  ${line}`)),
    )
    links.set(way.from, link)
  }
  const boxes = [...links].map(([from, { lines }]) => linkBox(`link:${from}`, lines))
  const toLinks = [...links].map(([from, link]) =>
    arrow(
      from,
      link.ways.map(({ to }) => to),
      `link:${from}`,
      [],
      link.ways.flatMap(({ outcomes }) => outcomes),
      false,
    ),
  )
  return { arrows: [...arrows, ...toLinks], boxes }
}

function linkBox(id: string, lines: readonly string[]): Box {
  const width = Math.ceil(Math.max(...lines.map((line) => line.length)) * LABEL_PX * LETTER) + 20
  return { id, kind: 'link', head: '', lines, foot: [], needs: 'talk', width, height: Math.ceil(lines.length * LABEL_PX * LINE + 14) }
}

/** Every step that an entry leads to, each way followed to its end before the next. */
export function stepsAsMet(block: Block): Step[] {
  const found = new Map<string, Step>()
  const open = [block.arrive ?? block.start, block.start]
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    const step = block.steps[id]
    if (step === undefined || found.has(id)) continue
    found.set(id, step)
    open.push(
      ...inOrder(step)
        .flatMap(([, { to, again }]) => (again === undefined ? [to] : [again.then, to]))
        .toReversed(),
    )
  }
  return [...found.values()]
}

/** Slugs in words: `not-done` is "not done". */
export function slugWords(slug: string): string {
  return slug.replaceAll('-', ' ')
}

/** Lines of at most so many characters; a longer word stands alone. */
export function wrap(text: string, characters: number): string[] {
  const lines: string[] = []
  for (const word of text.split(/\s+/).filter((part) => part !== '')) {
    const last = lines.at(-1)
    if (last !== undefined && last.length + 1 + word.length <= characters) lines[lines.length - 1] = `${last} ${word}`
    else lines.push(word)
  }
  return lines
}

function boxOf(step: Step, edition: Pick<Edition, 'blocks'>): Box {
  const minutes = step.minutes > 0 ? `${step.minutes} min` : ''
  const lines = wrap(step.title, TITLE_CHARACTERS)
  const foot = footOf(step, edition)
  const rows = LABEL_PX * LINE + lines.length * TITLE_PX * LINE + foot.length * LABEL_PX * LINE + (step.hazard === undefined ? 0 : 24)
  return {
    id: step.id,
    kind: step.kind,
    head: [step.kind, minutes, NEED_WORDS[step.needs]].filter((word) => word !== '').join(' · '),
    lines,
    foot,
    needs: step.needs,
    ...(step.hazard === undefined ? {} : { hazard: step.hazard.word }),
    width: BOX_WIDTH,
    height: Math.ceil(rows + 28),
  }
}

/** What a call calls, and with what words a job ends. */
function footOf(step: Step, edition: Pick<Edition, 'blocks'>): string[] {
  if (step.call !== undefined) return wrap(`→ ${edition.blocks[step.call.block]?.title ?? step.call.block}`, LABEL_CHARACTERS + 4)
  const end = step.finish ?? step.refer
  return end === undefined ? [] : wrap(`Ends: ${slugWords(end.ending)}. Tub: ${slugWords(end.tub)}.`, LABEL_CHARACTERS + 2)
}

function terminal(id: string, kind: 'start' | 'exit', words: string): Box {
  const lines = wrap(words, 20)
  const height = Math.ceil(lines.length * TITLE_PX * LINE + 24)
  return { id, kind, head: '', lines, foot: [], needs: 'talk', width: TERMINAL_WIDTH, height }
}

function waysOf(step: Step): Way[] {
  const ways = new Map<string, { from: string; to: string; words: string[]; outcomes: string[]; back: boolean }>()
  const add = (to: string, words: string, name: string, back: boolean): void => {
    const way = ways.get(`${back} ${to}`) ?? { from: step.id, to, words: [], outcomes: [], back }
    way.words.push(words)
    way.outcomes.push(name)
    ways.set(`${back} ${to}`, way)
  }
  for (const [name, outcome] of inOrder(step)) {
    const { again } = outcome
    if (again === undefined) add(outcome.to, outcome.label, name, false)
    else {
      add(outcome.to, `${outcome.label} (at most ${again.most}×)`, name, true)
      add(again.then, `${outcome.label}, after that`, name, false)
    }
  }
  return [...ways.values()]
}

function inOrder(step: Step): [string, Outcome][] {
  return step.order.flatMap((name) => {
    const outcome = step.outcomes[name]
    return outcome === undefined ? [] : [[name, outcome] as [string, Outcome]]
  })
}

function arrow(
  from: string,
  to: readonly string[],
  tip: string,
  words: readonly string[],
  outcomes: readonly string[],
  back: boolean,
): Arrow {
  const lines = words.flatMap((text) => wrap(text, LABEL_CHARACTERS).map((line, index) => (index === 0 ? line : `  ${line}`)))
  const longest = Math.max(0, ...lines.map((line) => line.length))
  return {
    id: `${from}>${tip}${back ? '!' : ''}`,
    from,
    to,
    tip,
    lines,
    outcomes,
    back,
    width: Math.ceil(longest * LABEL_PX * LETTER),
    height: Math.ceil(lines.length * LABEL_PX * LINE),
  }
}
