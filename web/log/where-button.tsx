// The button to the picture of where the job stands.
// What it opens is loaded when it is pressed, and not before.
import { useState } from 'preact/hooks'
import type { JobView } from '#graphs/contract'
import type { Where as WhereSheet } from '../picture/where.tsx'

export function WhereButton({ view }: { readonly view: JobView }) {
  const [loaded, setLoaded] = useState<{ readonly Where: typeof WhereSheet }>()
  const [isMissing, setMissing] = useState(false)
  const open = async (): Promise<void> => {
    setMissing(false)
    try {
      setLoaded(await import('../picture/where.tsx'))
    } catch {
      setMissing(true)
    }
  }
  return (
    <>
      <button type="button" class="small" onClick={() => void open()}>
        Where am I
      </button>
      <span role="status">{isMissing && 'This needs signal. Press again when there is some.'}</span>
      {loaded !== undefined && <loaded.Where view={view} close={() => setLoaded(undefined)} />}
    </>
  )
}
