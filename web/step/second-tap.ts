// A second tap within a blink was not meant: the next card stands where the finger still is.
// One memory for the whole page, whatever card was tapped.
const SECOND_TAP_MS = 300
let lastTap = -SECOND_TAP_MS

export function isSecondTap(): boolean {
  const now = performance.now()
  if (now - lastTap < SECOND_TAP_MS) return true
  lastTap = now
  return false
}
