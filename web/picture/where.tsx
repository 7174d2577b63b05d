// Where the job stands: the picture of the block with the way taken marked on it, and the same as a nested list.
// Loaded only when somebody asks; the pictures come from the server as they were drawn at the release.
import { useEffect, useRef, useState } from 'preact/hooks'
import type { JobView } from '#graphs/contract'
import { Sheet } from '../sheet/sheet.tsx'
import { levelsOf, wordsOf } from './path.ts'
import type { Level } from './path.ts'

type Props = { readonly view: JobView; readonly close: () => void }

export function Where({ view, close }: Props) {
  const levels = levelsOf(view)
  const [chosen, setChosen] = useState(levels.length - 1)
  const level = levels[chosen]
  const here = levels.at(-1)?.steps.at(-1)?.title
  return (
    <Sheet title="Where am I" onClose={close}>
      <p>{here === undefined ? 'The job has not begun yet.' : <strong>You are here: {here}</strong>}</p>
      {levels.length > 1 && (
        <div class="row-buttons" role="group" aria-label="Which picture">
          {levels.map(({ block }, index) => (
            <button key={index} type="button" class="small" aria-pressed={index === chosen} onClick={() => setChosen(index)}>
              {wordsOf(block)}
            </button>
          ))}
        </div>
      )}
      {level !== undefined && <Picture key={chosen} level={level} edition={view.edition} />}
      <Outline levels={levels} depth={0} />
    </Sheet>
  )
}

function Outline({ levels, depth }: { readonly levels: readonly Level[]; readonly depth: number }) {
  const level = levels[depth]
  if (level === undefined) return null
  const isDeepest = depth === levels.length - 1
  return (
    <div class="outline">
      <p>
        <strong>{wordsOf(level.block)}</strong>
      </p>
      <ol>
        {level.steps.map(({ title }, index) => {
          const isLast = index === level.steps.length - 1
          return (
            <li key={index} aria-current={isLast && isDeepest ? 'step' : undefined}>
              {isLast && isDeepest ? <strong>You are here: {title}</strong> : title}
              {isLast && <Outline levels={levels} depth={depth + 1} />}
            </li>
          )
        })}
      </ol>
    </div>
  )
}

/** A region that scrolls has to be reached by the keyboard. */
const SCROLLS = { role: 'region', tabIndex: 0 } as const

function Picture({ level, edition }: { readonly level: Level; readonly edition: number }) {
  const frame = useRef<HTMLDivElement>(null)
  const [picture, setPicture] = useState<SVGSVGElement | 'coming' | 'missing'>('coming')
  const [scale, setScale] = useState(1)
  const { block } = level
  const path = level.steps.map(({ step }) => step).join(' ')
  const isThere = typeof picture !== 'string'
  useEffect(() => {
    const leaving = new AbortController()
    const load = async (): Promise<void> => {
      const found = await fetchPicture(edition, block, leaving.signal)
      if (!leaving.signal.aborted) setPicture(found ?? 'missing')
    }
    void load()
    return () => leaving.abort()
  }, [edition, block])
  useEffect(() => {
    if (typeof picture === 'string') return
    const shown = picture.cloneNode(true) as SVGSVGElement
    mark(shown, path.split(' '))
    for (const side of ['width', 'height']) shown.setAttribute(side, String(Number(picture.getAttribute(side)) * scale))
    frame.current?.replaceChildren(shown)
    showPresent(frame.current)
  }, [picture, path, scale])
  const zoom = (words: string, factor: number, isEnd: boolean) => (
    <button type="button" class="small" disabled={isEnd} onClick={() => setScale(scale * factor)}>
      {words}
    </button>
  )
  return (
    <>
      <p role="status" class="hint">
        {picture === 'coming' && 'The picture is being fetched.'}
        {picture === 'missing' && 'The picture is not here. Look again when there is signal. The list below is complete.'}
      </p>
      {isThere && (
        <div class="row-buttons">
          {zoom('Smaller', 0.5, scale < 0.2)}
          {zoom('Larger', 2, scale >= 1)}
        </div>
      )}
      <div ref={frame} class="picture" hidden={!isThere} aria-label={`Picture: ${wordsOf(block)}`} {...SCROLLS} />
    </>
  )
}

async function fetchPicture(edition: number, block: string, signal: AbortSignal): Promise<SVGSVGElement | undefined> {
  try {
    const reply = await fetch(`/api/editions/${edition}/pictures/${encodeURIComponent(block)}`, { signal })
    if (!reply.ok) return undefined
    const parsed = new DOMParser().parseFromString(await reply.text(), 'image/svg+xml').documentElement
    return parsed instanceof SVGSVGElement ? document.importNode(parsed, true) : undefined
  } catch {
    return undefined
  }
}

/** The way taken by thick lines, the present step by a frame and words of its own: nothing by hue. */
function mark(picture: SVGSVGElement, steps: readonly string[]): void {
  const at = (step: string | undefined): Element | null => picture.querySelector(`[data-step="${CSS.escape(step ?? '')}"]`)
  steps.forEach((step, index) => {
    at(step)?.classList.add('taken')
    const from = CSS.escape(steps[index - 1] ?? '')
    if (index > 0) picture.querySelector(`[data-from="${from}"][data-to~="${CSS.escape(step)}"]`)?.classList.add('taken')
  })
  const present = at(steps.at(-1))
  if (present === null) return
  present.classList.add('present')
  const flag = document.createElementNS('http://www.w3.org/2000/svg', 'text')
  flag.setAttribute('class', 'flag')
  flag.setAttribute('y', '-12')
  flag.textContent = '▼ You are here'
  present.append(flag)
}

function showPresent(frame: HTMLElement | null): void {
  const [present, around] = [frame?.querySelector('.present')?.getBoundingClientRect(), frame?.getBoundingClientRect()]
  if (frame === null || present === undefined || around === undefined) return
  frame.scrollLeft += present.left - around.left - (around.width - present.width) / 2
  frame.scrollTop += present.top - around.top - (around.height - present.height) / 2
}
