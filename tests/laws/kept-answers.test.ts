// After a correction the path comes by answers that were given before; what they did to the tub and to people was done then, once.
// The path itself is held against the plain walker in jobs.test.ts.
import { expect, test } from 'vitest'
import { Play, LEARNER, TECHNICIAN } from '../graphs/engine/play.ts'

/** The first technician leaves in order, the second one stays; then the first one comes back. */
function cameBack(): Play {
  const play = new Play()
  play.send({ type: 'arrive' })
  play.join(LEARNER)
  play.send({ type: 'arrive' }, LEARNER)
  for (const outcome of ['read', 'dry']) {
    while (play.view().step?.outcomes.some((one) => one.outcome === outcome) === false) pass(play)
    play.send({ type: 'answer', place: play.view().step?.place ?? '', outcome })
  }
  play.send({ type: 'leave' })
  play.send({ type: 'answer', place: play.view().step?.place ?? '', outcome: 'stays' })
  play.send({ type: 'answer', place: play.view().step?.place ?? '', outcome: 'handed' })
  play.join(TECHNICIAN)
  play.send({ type: 'arrive' })
  return play
}

/** Any answer that goes on. */
function pass(play: Play): void {
  const step = play.view().step
  const calm = step?.outcomes.find(({ outcome }) =>
    /^(done|nobody|none|thermometer-below|running|whole|agreed|nothing|cool|recent)$/.test(outcome),
  )
  if (step === undefined || calm === undefined) throw new Error(`no calm answer at ${step?.key}`)
  play.send({ type: 'answer', place: step.place, outcome: calm.outcome })
}

test('somebody who left and came back is not sent away again by a correction of what came before', () => {
  const play = cameBack()
  expect(play.state.people[TECHNICIAN.id]?.here).toBe(true)
  const key = play.state.path.trail.find((one) => one.includes('overheating.site-history#')) ?? ''
  const reply = play.send({ type: 'change', key, outcome: 'repeat' }, LEARNER)
  expect(reply.message).toBe('')
  expect(reply.events.filter((event) => event.type === 'person-left')).toEqual([])
  expect(play.state.people[TECHNICIAN.id]?.here).toBe(true)
})
