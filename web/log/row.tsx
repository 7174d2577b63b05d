// One line of the log: what was asked, what was answered, the readings as typed, the verdict with its band.
// Struck lines stay readable: they are crossed out and said to be so.
import type { TrailItem } from '#graphs/contract'
import { AUTO, clock, verdictWords } from '../job/words.ts'
import { useTrade } from '../job/trade-door.ts'
import { Band } from '../verdict/band.tsx'
import { VerdictMark } from '../verdict/mark.tsx'
import { Rail } from './rail.tsx'
import { gatherTyped } from './lines.ts'
import type { StateChange } from './lines.ts'

export function AnswerRow({ item, change }: { item: TrailItem; change: ((item: TrailItem) => void) | undefined }) {
  const isOpen = change !== undefined && item.can_change && !item.struck
  const said = item.struck ? <s>{item.answer}</s> : item.answer
  return (
    <li class={`row${item.struck ? ' struck' : ''}${isOpen ? ' can-change' : ''}`}>
      <Rail power={item.power} />
      <div class="row-text">
        <p class="row-title">{item.title}</p>
        <p class="row-answer">
          {item.struck && <span class="struck-word">Struck out: </span>}
          {said}
          {item.auto !== undefined && <span class="row-auto"> ({AUTO[item.auto] ?? item.auto})</span>}
        </p>
        {isOpen && (
          <button type="button" class="change" onClick={() => change(item)}>
            change<span class="unseen"> {item.title}</span>
          </button>
        )}
        <Typed item={item} />
        {item.words !== undefined && item.words !== '' && <p class="row-words">“{item.words}”</p>}
        {item.verdict !== undefined && !item.struck && <VerdictLines verdict={item.verdict} />}
      </div>
    </li>
  )
}

/** One value alone needs no list; many are set as a small table. */
function Typed({ item }: { item: TrailItem }) {
  if (item.typed.length === 0) return null
  const cross = (text: string) => (item.struck ? <s>{text}</s> : text)
  return (
    <dl class="typed">
      {gatherTyped(item.typed).map(({ label, value }, index) => (
        <div key={index}>
          <dt>{label}</dt>
          <dd>{cross(value)}</dd>
        </div>
      ))}
    </dl>
  )
}

function VerdictLines({ verdict }: { verdict: NonNullable<TrailItem['verdict']> }) {
  const { format } = useTrade()
  const number = verdict.value === null ? 'open (OL)' : format?.(verdict.quantity, verdict.value)
  const error =
    verdict.error === null || verdict.error === 0 || verdict.value === null
      ? undefined
      : format?.(errorQuantity(verdict.quantity), verdict.error)
  return (
    <>
      <p class={`verdict ${verdict.mark}`}>
        <VerdictMark verdict={verdict} /> <strong>{verdictWords(verdict)}</strong>
        {number !== undefined && <span class="number">: {number}</span>}
        {error !== undefined && <span class="number"> ± {error}</span>}
      </p>
      <Band verdict={verdict} />
      <p class="reason">{verdict.reason}</p>
      {verdict.settle !== undefined && <p class="reason">To settle it: {verdict.settle}</p>}
    </>
  )
}

/** The error of a temperature is a difference: 1 K is 1.8 °F, not 33.8 °F. */
function errorQuantity(quantity: string): string {
  return quantity === 'temperature' ? 'temperature-difference' : quantity
}

export function StateRow({ change }: { change: StateChange }) {
  return (
    <li class="row state-row">
      <Rail power={change.power} />
      <div class="row-text">
        <p>
          <time class="at">{clock(change.at)}</time> {change.words}
        </p>
      </div>
    </li>
  )
}
