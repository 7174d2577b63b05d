// The practice job: an invented shop, an invented tub that answers by itself, so that anybody reaches a finished note in minutes.
// What the tub answers is the edition's.
import { useRef, useState } from 'preact/hooks'
import { newId } from '../job/device.ts'
import { newOpeningId, openAndGo } from './opening.ts'

export function PracticeOffer({ isFirst }: { readonly isFirst: boolean }) {
  const [problem, setProblem] = useState<string>()
  const id = useRef(newOpeningId())
  const open = (): void => {
    const person = {
      id: newId(),
      name: 'Robin (invented)',
      role: 'technician' as const,
      signed: ['absence-of-voltage' as const, 'energized-work' as const],
    }
    const complaint = { flow: 'overheating', complaint: 'hotter-than-set' }
    void openAndGo({ complaint, words: 'It is much hotter than we set it (invented).', person, practice: true, id: id.current }).then(
      setProblem,
    )
  }
  return (
    <section class={isFirst ? 'practice-offer first' : 'practice-offer'} aria-labelledby="practice">
      <h2 id="practice">{isFirst ? 'New here? Practise first.' : 'Practise'}</h2>
      <p>A job in an invented shop, on an invented tub. It tells you what it shows. About five minutes to a finished note.</p>
      <p role="alert">{problem}</p>
      <button type="button" class={isFirst ? 'main' : 'second'} onClick={open}>
        Open the practice job
      </button>
    </section>
  )
}
