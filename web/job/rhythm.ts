// When a page looks again: on waking, when the network comes back, and every now and then while somebody looks at it.
// What is done then is the source's.
import type { JobSource } from './source.ts'

const LOOK_AGAIN_MS = 20_000

export function keepRhythm(source: Pick<JobSource, 'wake'>): void {
  const look = (): void => {
    if (document.visibilityState === 'visible') source.wake()
  }
  for (const moment of ['online', 'pageshow', 'focus']) addEventListener(moment, look)
  document.addEventListener('visibilitychange', look)
  setInterval(look, LOOK_AGAIN_MS)
}
