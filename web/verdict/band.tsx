// The band under a verdict: expected ranges on a line, the reading as a triangle over it, its error as a bar.
// The numbers stand in words below, so that nothing depends on seeing the picture.
import type { TrailItem } from '#graphs/contract'
import { useTrade } from '../job/trade-door.ts'
import type { TradeDoor } from '../job/trade-door.ts'
import { scaleOf } from './scale.ts'
import type { Piece, Scale } from './scale.ts'

type Verdict = NonNullable<TrailItem['verdict']>

const WIDTH = 320
const LINE = 30

export function Band({ verdict }: { verdict: Verdict }) {
  const trade = useTrade()
  const scale = scaleOf(verdict)
  if (scale === undefined || scale.pieces.length === 0) return null
  return (
    <div class="band">
      <svg viewBox={`0 0 ${WIDTH} 44`} aria-hidden="true" preserveAspectRatio="none" height="44" width="100%">
        <line class="band-line" x1="0" x2={WIDTH} y1={LINE} y2={LINE} stroke-width="2" vector-effect="non-scaling-stroke" />
        {scale.pieces.map((piece, index) => (
          <rect
            key={index}
            class={piece.good ? 'band-good' : 'band-bad'}
            x={piece.from * WIDTH}
            y={LINE - 9}
            width={Math.max(4, (piece.to - piece.from) * WIDTH)}
            height="18"
            stroke-width="3"
            vector-effect="non-scaling-stroke"
          />
        ))}
        <ErrorBar scale={scale} />
      </svg>
      <svg class="band-needle-row" aria-hidden="true" width="100%" height="18" overflow="visible">
        <svg x={`${scale.at * 100}%`} overflow="visible">
          <path class={`band-needle ${verdict.mark}`} d="M0 18 -9 3H9Z" />
        </svg>
      </svg>
      <ul class="band-words">
        {scale.pieces.map((piece, index) => (
          <li key={index}>
            <span class={piece.good ? 'key good' : 'key bad'} aria-hidden="true" /> {pieceWords(piece, verdict, trade)}
          </li>
        ))}
      </ul>
    </div>
  )
}

function ErrorBar({ scale }: { scale: Scale }) {
  if (scale.errorTo <= scale.errorFrom) return null
  const [from, to] = [scale.errorFrom * WIDTH, scale.errorTo * WIDTH]
  return <path class="band-error" d={`M${from} 2V12M${from} 7H${to}M${to} 2V12`} stroke-width="3" vector-effect="non-scaling-stroke" />
}

function pieceWords(piece: Piece, verdict: Verdict, trade: TradeDoor): string {
  const format = trade.format
  if (format === undefined) return piece.label
  const { quantity } = verdict
  const { low, high, label } = piece
  if (low !== undefined && high !== undefined) return `${label}: ${format(quantity, low)} to ${format(quantity, high)}`
  if (low !== undefined) return `${label}: from ${format(quantity, low)}`
  return high === undefined ? label : `${label}: up to ${format(quantity, high)}`
}
