// The log above the present step, ruled like a field notebook, with the rail down its left.
// Lines that were there when the page came are plain text; only new ones are told to a screen reader.
import { useEffect, useRef, useState } from 'preact/hooks'
import type { JobView, TrailItem } from '#graphs/contract'
import { verdictWords } from '../job/words.ts'
import { linesOf } from './lines.ts'
import { Hatching } from './rail.tsx'
import { AnswerRow, StateRow } from './row.tsx'

export function Log({ view, change }: { view: JobView; change: ((item: TrailItem) => void) | undefined }) {
  const lines = linesOf(view)
  return (
    <section class="log" aria-label="Log of this job">
      <Hatching />
      {view.trail.length === 0 && <p class="log-empty">“{view.complaint}”. Nothing is answered yet.</p>}
      <ol>
        {lines.map((line) =>
          line.kind === 'answer' ? (
            <AnswerRow key={`${line.item.key} ${line.item.at}`} item={line.item} change={change} />
          ) : (
            <StateRow key={`${line.change.at} ${line.change.power}`} change={line.change} />
          ),
        )}
      </ol>
      <NewLines view={view} />
    </section>
  )
}

/** Empty when the page comes; each new answer is added as one sentence, without times. */
function NewLines({ view }: { view: JobView }) {
  const known = useRef(new Set(view.trail.map(idOf)))
  const [said, setSaid] = useState<readonly string[]>([])
  useEffect(() => {
    const fresh = view.trail.filter((item) => !known.current.has(idOf(item)))
    if (fresh.length === 0) return
    for (const item of fresh) known.current.add(idOf(item))
    setSaid((before) => [...before, ...fresh.map(sentenceOf)].slice(-8))
  }, [view.trail])
  return (
    <div role="log" aria-label="New lines" class="unseen">
      {said.map((line, index) => (
        <p key={`${index} ${line}`}>{line}</p>
      ))}
    </div>
  )
}

function idOf(item: TrailItem): string {
  return `${item.key} ${item.answer} ${item.struck ? 'struck' : ''}`
}

function sentenceOf(item: TrailItem): string {
  const verdict = item.verdict === undefined ? '' : ` ${verdictWords(item.verdict)}. ${item.verdict.reason}`
  return `${item.struck ? 'Struck out: ' : ''}${item.title}: ${item.answer}.${verdict}`
}
