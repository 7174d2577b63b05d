// What never scrolls away: which job, the power state with its mark, how much is left, and Stop.
// It has a place of its own at the top and covers nothing.
import type { JobView } from '#graphs/contract'
import { atMostWords, clock, powerNow } from '../job/words.ts'
import { PowerMark } from './rail.tsx'

export function JobHeader({ view, stop }: { readonly view: JobView; readonly stop: (() => void) | undefined }) {
  return (
    <header class="job-header">
      <div class="job-words">
        <h1>
          <a href="/" class="short" aria-label={`Job ${view.short}. To the start page`}>
            {view.short}
          </a>{' '}
          <span class="job-title">{view.title}</span>
        </h1>
        <p class="job-power">
          <PowerMark power={view.power} /> {powerNow(view)} <span class="number">{clock(view.since)}</span>
        </p>
        <p class="job-most">
          {view.practice && <strong>{view.ended === undefined ? 'Invented · ' : 'Invented'}</strong>}
          {view.ended === undefined && atMostWords(view)}
        </p>
      </div>
      {stop !== undefined && (
        <button type="button" class="stop" onClick={stop}>
          Stop
        </button>
      )}
    </header>
  )
}
