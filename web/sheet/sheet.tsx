// A sheet over the page: the browser's own dialog, so that Escape closes it and focus stays inside and comes back.
// What stands in it is each sheet's own.
import { useEffect, useId, useRef } from 'preact/hooks'
import type { ComponentChildren } from 'preact'

type Props = { readonly title: string; readonly onClose: () => void; readonly children: ComponentChildren; readonly closeWords?: string }

export function Sheet({ title, onClose, children, closeWords = 'Close' }: Props) {
  const dialog = useRef<HTMLDialogElement>(null)
  const id = useId()
  useEffect(() => {
    const shown = dialog.current
    if (shown === null) return undefined
    shown.showModal()
    return () => shown.close()
  }, [])
  return (
    <dialog ref={dialog} class="sheet" aria-labelledby={id} onClose={onClose}>
      <div class="sheet-head">
        <h2 id={id} tabIndex={-1}>
          {title}
        </h2>
        <button type="button" class="small" onClick={onClose}>
          {closeWords}
        </button>
      </div>
      <div class="sheet-body">{children}</div>
    </dialog>
  )
}
