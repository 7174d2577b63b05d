// The hooks by which the page follows a job and the time.
// Nothing is sent from here.
import { useEffect, useState } from 'preact/hooks'
import type { JobSource, Snapshot } from './source.ts'

export function useSource(source: JobSource): Snapshot {
  const [snapshot, setSnapshot] = useState(source.read)
  useEffect(() => {
    const follow = (): void => setSnapshot(source.read())
    follow()
    return source.subscribe(follow)
  }, [source])
  return snapshot
}

/** The time now, painted again every `every` ms while the page is looked at. */
export function useNow(every: number): number {
  const [now, setNow] = useState(Date.now)
  useEffect(() => {
    const timer = setInterval(() => setNow(Date.now()), every)
    return () => clearInterval(timer)
  }, [every])
  return now
}
