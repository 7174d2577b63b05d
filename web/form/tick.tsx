// A tick with its sentence: a plain checkbox with a large target.
// Never ticked beforehand.
import type { ComponentChildren } from 'preact'

type Props = { readonly checked: boolean; readonly onChange: (checked: boolean) => void; readonly children: ComponentChildren }

export function Tick({ checked, onChange, children }: Props) {
  return (
    <label class={checked ? 'tick chosen' : 'tick'}>
      <input type="checkbox" checked={checked} onChange={(event) => onChange(event.currentTarget.checked)} />
      <span>{children}</span>
    </label>
  )
}
