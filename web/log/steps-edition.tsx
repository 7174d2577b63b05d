// Which edition of the steps this job goes by, and the move to a newer one. Answers that were given stay as they are.
// Whether a job can move is the engine's.
import { useState } from 'preact/hooks'
import type { Command, JobView } from '#graphs/contract'
import { currentEdition } from '../remote/api.ts'

type Props = { readonly view: JobView; readonly give: (command: Command) => void }

export function StepsEdition({ view, give }: Props) {
  const [newest, setNewest] = useState<number>()
  const [trouble, setTrouble] = useState<string>()
  const look = async (): Promise<void> => {
    const found = await currentEdition()
    if (found.ok) setNewest(found.value.current)
    setTrouble(found.ok ? undefined : found.problem.message)
  }
  return (
    <details onToggle={(event) => void (event.currentTarget.open && look())}>
      <summary>Edition of the steps</summary>
      <p>
        This job goes by edition {view.edition}.{newest === view.edition && ' It is the newest.'} {trouble}
      </p>
      {newest !== undefined && newest > view.edition && view.ended === undefined && (
        <>
          <p class="hint">Edition {newest} is out. Every answer stays as it was given.</p>
          <div class="row-buttons">
            <button type="button" class="small" onClick={() => give({ type: 'carry-over', to: newest })}>
              Go on with edition {newest}
            </button>
          </div>
        </>
      )}
    </details>
  )
}
