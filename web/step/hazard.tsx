// The hazard panel: signal word, safety sign and a thick frame, by severity; black text inside, shown whole.
// The words are the library's; colour is never alone.
import type { StepView } from '#graphs/contract'
import { unbroken } from '../job/words.ts'

type Hazard = NonNullable<StepView['hazard']>

export function HazardPanel({ hazard }: { hazard: Hazard }) {
  return (
    <section class={`hazard ${hazard.word}`} aria-label={`${hazard.word} notice`}>
      <p class="hazard-word">
        {hazard.word !== 'notice' && (
          <svg aria-hidden="true" viewBox="0 0 24 22" width="26" height="24">
            <path class="sign" d="M12 1 23.5 21H.5Z" />
            <path class="sign-stroke" d="M12 8v6M12 16.2v2.4" />
          </svg>
        )}
        {hazard.word.toUpperCase()}
      </p>
      <p class="hazard-text">{unbroken(hazard.text)}</p>
    </section>
  )
}
