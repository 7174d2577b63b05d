// A row of radio buttons drawn as one segmented control: units, yes or no, on or off.
// It is a plain radio group underneath: arrow keys and screen readers work as usual.
import { useId } from 'preact/hooks'

export type Segment<T extends string> = { readonly value: T; readonly label: string; readonly spoken?: string }

type Props<T extends string> = {
  readonly legend: string
  readonly segments: readonly Segment<T>[]
  readonly value: T | undefined
  readonly onChange: (value: T) => void
  /** Shown above; otherwise only read aloud. */
  readonly shown?: boolean
}

export function Segments<T extends string>({ legend, segments, value, onChange, shown = false }: Props<T>) {
  const name = useId()
  return (
    <fieldset class="segments">
      <legend class={shown ? undefined : 'unseen'}>{legend}</legend>
      <div class="segments-row">
        {segments.map((segment) => (
          <label key={segment.value} class={segment.value === value ? 'segment chosen' : 'segment'}>
            <input
              type="radio"
              name={name}
              value={segment.value}
              checked={segment.value === value}
              aria-label={segment.spoken}
              onChange={() => onChange(segment.value)}
            />
            <span aria-hidden={segment.spoken === undefined ? undefined : true}>{segment.label}</span>
          </label>
        ))}
      </div>
    </fieldset>
  )
}
