// What the person must know besides the step: not saved, not sent, refused, changed by others, standing hazards.
// Each says what to do next.
import type { JobView } from '#graphs/contract'
import type { JobSource, Snapshot } from '../job/source.ts'

export function Notices({ snapshot, source }: { readonly snapshot: Snapshot; readonly source: JobSource }) {
  const { kept, unsent, offline, parked, news, trouble } = snapshot
  return (
    <div class="notices">
      <div role="status">
        {kept === 'memory' && (
          <p class="bar strong">
            <strong>Not saved on this phone.</strong> Keep this page open until everything is sent.
          </p>
        )}
        {unsent > 0 && offline && (
          <p class="bar">
            No signal. {unsent} {unsent === 1 ? 'entry waits' : 'entries wait'} to be sent. Go on working.
          </p>
        )}
        {kept === 'server' && offline && <p class="bar">No signal. Answers can be sent when it is back.</p>}
        {trouble !== undefined && <p class="bar strong">{trouble.message}</p>}
        {news !== undefined && (
          <p class="bar">
            {news}{' '}
            <button type="button" class="small" onClick={source.seenNews}>
              Seen
            </button>
          </p>
        )}
      </div>
      {parked.map((one) => (
        <section key={one.id} class="parked" aria-label="Not taken">
          <p>
            <strong>Not taken: {one.title}.</strong> {one.problem.message}
          </p>
          {one.lines.length > 0 && <p class="number">{one.lines.join(' · ')}</p>}
          <button type="button" class="small" onClick={() => source.setAside(one.id)}>
            Seen, take it off this list
          </button>
        </section>
      ))}
    </div>
  )
}

export function Hazards({ view }: { readonly view: JobView }) {
  if (view.hazards.length === 0) return null
  return (
    <section class="standing" aria-label="Standing hazards">
      {view.hazards.map((one) => (
        <p key={one.hazard}>
          <strong>{one.sticky ? 'Standing until cleared:' : 'Standing:'}</strong> {one.label}.
        </p>
      ))}
    </section>
  )
}
