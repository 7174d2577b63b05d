// The mark of a verdict, told apart by shape: filled square, filled triangle pointing the way, hollow diamond.
// The word and the number stand beside it, always.
import type { TrailItem } from '#graphs/contract'

type Verdict = NonNullable<TrailItem['verdict']>

export function VerdictMark({ verdict }: { verdict: Pick<Verdict, 'mark' | 'direction'> }) {
  return (
    <svg class={`mark ${verdict.mark}`} aria-hidden="true" viewBox="0 0 20 20" width="18" height="18">
      <MarkShape verdict={verdict} />
    </svg>
  )
}

function MarkShape({ verdict }: { verdict: Pick<Verdict, 'mark' | 'direction'> }) {
  if (verdict.mark === 'in') return <rect x="2" y="2" width="16" height="16" />
  if (verdict.mark === 'cannot-tell') return <path class="hollow" d="M10 2 18 10 10 18 2 10Z" />
  return <path d={verdict.direction === 'low' ? 'M1 3H19L10 18Z' : 'M10 2 19 17H1Z'} />
}
