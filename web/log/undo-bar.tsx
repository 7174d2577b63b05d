// Ten seconds in which the last answer can be taken back; in place of asking whether one is sure.
// What an undo can take back is the engine's: never what hands did to the tub.
import { useEffect, useState } from 'preact/hooks'
import { useNow } from '../job/use-source.ts'

export type Done = { readonly words: string; readonly at: number }

const UNDO_MS = 10_000

type Props = { readonly done: Done | undefined; readonly canUndo: boolean; readonly undo: () => void }

export function UndoBar({ done, canUndo, undo }: Props) {
  const now = useNow(1000)
  const [gone, setGone] = useState<number>()
  useEffect(() => {
    if (done === undefined) return undefined
    const timer = setTimeout(() => setGone(done.at), UNDO_MS)
    return () => clearTimeout(timer)
  }, [done])
  if (done === undefined || gone === done.at) return null
  const left = Math.max(1, Math.min(10, Math.ceil((UNDO_MS - (now - done.at)) / 1000)))
  return (
    <div class="undo-bar">
      <p>{done.words}</p>
      {canUndo && (
        <button type="button" class="small" onClick={undo}>
          Undo{' '}
          <span class="number" aria-hidden="true">
            {left} s
          </span>
        </button>
      )}
    </div>
  )
}
