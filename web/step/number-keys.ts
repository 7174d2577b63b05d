// Keys 1 to 9 answer, for a desk without a mouse. Never while somebody types, never while a sheet is open.
// Steps that can hurt somebody have no keys: the card hands in no outcomes for them.
import { useEffect } from 'preact/hooks'
import type { StepView } from '#graphs/contract'

export function useNumberKeys(outcomes: StepView['outcomes'], press: (outcome: string) => void): void {
  useEffect(() => {
    const read = (event: KeyboardEvent): void => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.repeat || !/^[1-9]$/.test(event.key)) return
      const target = event.target as HTMLElement
      if (/^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName) || document.querySelector('dialog[open]') !== null) return
      const picked = outcomes[Number(event.key) - 1]
      if (picked === undefined) return
      event.preventDefault()
      press(picked.outcome)
    }
    document.addEventListener('keydown', read)
    return () => document.removeEventListener('keydown', read)
  })
}
