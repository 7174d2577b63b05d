// Where the focus goes: to the title of the step after the person's own action, and nowhere when others write.
// The card comes into view when the page is opened and after each own answer.
import { useCallback, useEffect, useRef } from 'preact/hooks'
import type { RefObject } from 'preact'

type StepFocus = {
  readonly cardRef: RefObject<HTMLElement | null>
  /** The person did something: whatever step comes next takes the focus. False takes it back. */
  readonly noteAct: (did: boolean) => void
}

export function useStepFocus(place: string | undefined, hasLog: boolean): StepFocus {
  const cardRef = useRef<HTMLElement>(null)
  const actedRef = useRef(false)
  const openedRef = useRef(false)
  useEffect(() => {
    const isOpening = !openedRef.current
    openedRef.current = true
    if (isOpening && hasLog) cardRef.current?.scrollIntoView({ block: 'start' })
  }, [hasLog])
  useEffect(() => {
    if (!actedRef.current) return
    actedRef.current = false
    cardRef.current?.querySelector<HTMLElement>('h2')?.focus({ preventScroll: true })
    cardRef.current?.scrollIntoView({ block: 'start' })
  }, [place])
  const noteAct = useCallback((did: boolean) => {
    actedRef.current = did
  }, [])
  return { cardRef, noteAct }
}
