// Forms that grow line by line: conductors and loads.
// Lines that are still empty are not sent.
import type { Form } from '#graphs/contract'
import { TextField } from './field.tsx'

type Conductors = Extract<Form, { form: 'conductors' }>
type Loads = Extract<Form, { form: 'loads' }>

export function ConductorsForm({ value, onChange }: { readonly value: Conductors; readonly onChange: (value: Conductors) => void }) {
  const rows = value.conductors
  const put = (index: number, part: Partial<Conductors['conductors'][number]>): void =>
    onChange({ ...value, conductors: rows.map((row, other) => (other === index ? { ...row, ...part } : row)) })
  return (
    <div class="rows">
      <p class="hint">One line for each conductor, before it is loosened.</p>
      {rows.map((row, index) => (
        <fieldset key={index} class="line">
          <legend>Conductor {index + 1}</legend>
          <TextField label="From" value={row.from} most={60} onInput={(from) => put(index, { from })} />
          <TextField label="To" value={row.to} most={60} onInput={(to) => put(index, { to })} />
          <TextField label="Colour" value={row.colour} most={40} onInput={(colour) => put(index, { colour })} />
          <TextField label="What the meter says" value={row.meter ?? ''} most={60} onInput={(meter) => put(index, { meter })} />
          <RemoveLine
            what={`conductor ${index + 1}`}
            onRemove={() => onChange({ ...value, conductors: rows.filter((_, other) => other !== index) })}
          />
        </fieldset>
      ))}
      <button type="button" class="second" onClick={() => onChange({ ...value, conductors: [...rows, { from: '', to: '', colour: '' }] })}>
        Add a conductor
      </button>
    </div>
  )
}

export function LoadsForm({ value, onChange }: { readonly value: Loads; readonly onChange: (value: Loads) => void }) {
  const rows = value.loads
  const put = (index: number, part: Partial<Loads['loads'][number]>): void =>
    onChange({ ...value, loads: rows.map((row, other) => (other === index ? { ...row, ...part } : row)) })
  return (
    <div class="rows">
      <p class="hint">One line for each load: pump, heater, blower, light.</p>
      {rows.map((row, index) => (
        <fieldset key={index} class="line">
          <legend>Load {index + 1}</legend>
          <TextField label="Load" value={row.load} most={60} onInput={(load) => put(index, { load })} />
          <TextField label="Outlet on the board" value={row.outlet} most={60} onInput={(outlet) => put(index, { outlet })} />
          <TextField label="Volts on its label" value={row.volts} most={20} mode="decimal" onInput={(volts) => put(index, { volts })} />
          <RemoveLine
            what={`load ${index + 1}`}
            onRemove={() => onChange({ ...value, loads: rows.filter((_, other) => other !== index) })}
          />
        </fieldset>
      ))}
      <button type="button" class="second" onClick={() => onChange({ ...value, loads: [...rows, { load: '', outlet: '', volts: '' }] })}>
        Add a load
      </button>
    </div>
  )
}

function RemoveLine({ what, onRemove }: { readonly what: string; readonly onRemove: () => void }) {
  return (
    <button type="button" class="small" onClick={onRemove}>
      remove<span class="unseen"> {what}</span>
    </button>
  )
}
