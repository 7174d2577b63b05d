// The way a job has come, level by level: the block it stands in, the blocks that called it, and the steps answered in each.
// Read from keys and the trail alone; nothing is drawn here.
import type { JobView } from '#graphs/contract'

export type Level = {
  readonly block: string
  /** Steps of this block in the order they were come by; the last is where the job stands. */
  readonly steps: readonly { readonly step: string; readonly title: string }[]
}

type Frame = { readonly block: string; readonly step: string }

/** The present step, else the last one that stands. */
export function presentKey(view: Pick<JobView, 'step' | 'trail'>): string | undefined {
  return view.step?.key ?? view.trail.findLast((item) => !item.struck)?.key
}

export function levelsOf(view: Pick<JobView, 'step' | 'trail'>): Level[] {
  const present = presentKey(view)
  if (present === undefined) return []
  const titles = new Map(view.trail.map((item) => [item.key, item.title]))
  if (view.step !== undefined) titles.set(view.step.key, view.step.title)
  const keys = [...view.trail.filter((item) => !item.struck).map((item) => item.key), present]
  const own = present.split('>')
  return own.map((frame, depth) => {
    const above = own.slice(0, depth).join('>')
    const inside = keys.map((key) => key.split('>')).filter((parts) => depth === 0 || parts.slice(0, depth).join('>') === above)
    const visits = inside.map((parts) => parts.slice(0, depth + 1).join('>')).filter((path, at, all) => path !== all[at - 1])
    const { block } = frameOf(frame)
    const steps = visits.map((path) => ({ ...frameOf(path.split('>').at(-1) ?? ''), title: titles.get(path) }))
    return { block, steps: steps.filter((one) => one.block === block).map(({ step, title }) => ({ step, title: title ?? wordsOf(step) })) }
  })
}

/** `0|+1make-dead.lock#2` is step `lock` of `make-dead`. */
function frameOf(frame: string): Frame {
  const text = frame.slice(frame.indexOf('|') + 1).replace(/^\+\d+/, '')
  const dot = text.indexOf('.')
  return { block: text.slice(0, dot), step: text.slice(dot + 1, text.lastIndexOf('#')) }
}

/** A slug as words with a capital. */
export function wordsOf(slug: string): string {
  const words = slug.replace(/~.*/, '').replaceAll('-', ' ')
  return words.charAt(0).toUpperCase() + words.slice(1)
}
