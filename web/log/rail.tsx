// The rail: the power state of the tub as a line, told apart by shape alone.
// Which state holds when is said by the view.
import type { PowerState } from '#graphs/contract'

/** Drawn once on the page; the live-open bar takes its hatching from here. */
export function Hatching() {
  return (
    <svg class="hatching" aria-hidden="true" width="0" height="0">
      <defs>
        <pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <line class="rail-line" x1="0" y1="0" x2="0" y2="7" stroke-width="5" />
        </pattern>
      </defs>
    </svg>
  )
}

export function Rail({ power }: { power: PowerState }) {
  return (
    <svg class="rail" aria-hidden="true" width="20" height="100%">
      <RailShape power={power} end="100%" />
    </svg>
  )
}

/** The same shape beside the state in words. */
export function PowerMark({ power }: { power: PowerState }) {
  return (
    <svg class="power-mark" aria-hidden="true" viewBox="0 0 20 20" width="18" height="18">
      <RailShape power={power} end="20" />
    </svg>
  )
}

function RailShape({ power, end }: { power: PowerState; end: string }) {
  switch (power) {
    case 'closed':
      return <line class="rail-line" x1="10" x2="10" y1="0" y2={end} stroke-width="2" />
    case 'live-shut':
      return <line class="rail-line" x1="10" x2="10" y1="0" y2={end} stroke-width="5" stroke-dasharray="7 5" />
    case 'proving':
      return (
        <>
          <line class="rail-line" x1="5" x2="5" y1="0" y2={end} stroke-width="4" />
          <line class="rail-line" x1="15" x2="15" y1="0" y2={end} stroke-width="4" stroke-dasharray="6 5" />
        </>
      )
    case 'locked':
      return (
        <>
          <line class="rail-line" x1="5" x2="5" y1="0" y2={end} stroke-width="4" />
          <line class="rail-line" x1="15" x2="15" y1="0" y2={end} stroke-width="4" />
        </>
      )
    default:
      return <rect class="rail-hatch" x="2" y="-2" width="16" height="105%" fill="url(#hatch)" stroke-width="2" />
  }
}
