// A place that a job cannot get past stops it in order, and the second time there is no way back: every job comes to its end.
// Stops that people ask for are decide.test.ts.
import { describe, expect, test } from 'vitest'
import { DESK, Play, TECHNICIAN } from './play.ts'
import { force } from './practised.ts'

/** By phone with somebody at the tub, whom no command brings there: the ending "not checked on site" is refused. */
function endingRefused(): Play {
  const play = new Play(DESK)
  play.to('overheating.other-heat', {}, DESK)
  play.pick('second-heater', DESK)
  force(play, 'person-joined', { person: TECHNICIAN, on_site: true })
  play.pick('heat-gone', DESK)
  return play
}

function stops(play: Play): number {
  return play.events.filter((event) => event.type === 'procedure-put' && event.body.cause === 'stop').length
}

function offered(play: Play): string[] {
  return play.step().outcomes.map(({ outcome }) => outcome)
}

describe('a place that the job cannot get past', () => {
  test('stops the job in order, which may go on when the reason is gone', () => {
    const play = endingRefused()
    expect(play.state.ended).toBeUndefined()
    expect(stops(play)).toBe(1)
    play.to('stop-now.pause-or-end', { 'stop-now.why-stop': 'other' })
    expect(offered(play)).toEqual(['over', 'end'])
  })

  test('stops the job for good when it is refused again: nothing leads back to it', () => {
    const play = endingRefused()
    play.to('stop-now.pause-or-end', { 'stop-now.why-stop': 'other' })
    play.pick('over')
    expect(stops(play)).toBe(2)
    const { place } = play.to('stop-now.pause-or-end', { 'stop-now.why-stop': 'other' })
    expect(offered(play)).toEqual(['end'])
    const sent = play.send({ type: 'answer', place, outcome: 'over' })
    expect(sent.code).toBe('JOB_SAFETY')
    expect(stops(play)).toBe(2)
    play.pick('end')
    expect(play.step().place).not.toBe(place)
    expect(play.state.path.frames.some((frame) => frame.block === 'rebook')).toBe(true)
  })

  test('is stopped for good as well when the same procedure was put on it again and again in vain', () => {
    const play = new Play()
    play.send({ type: 'arrive' })
    const { place } = play.to('as-found-record.photos')
    // As often as it is proved dead, somebody takes the proof away.
    while (stops(play) === 0 && play.events.length < 400) {
      play.to('as-found-record.photos', { 'make-dead.see-lock': 'mine' })
      force(play, 'proof-lapsed', { reason: 'withdrawn' })
      play.send({ type: 'wake' })
    }
    play.to('stop-now.pause-or-end', { 'stop-now.why-stop': 'other' })
    expect(offered(play)).toEqual(['over', 'end'])
    play.pick('over')
    expect(stops(play)).toBe(2)
    const stopped = play.to('stop-now.pause-or-end', { 'stop-now.why-stop': 'other' })
    expect(stopped.place.startsWith(`${place}>`)).toBe(true)
    expect(offered(play)).toEqual(['end'])
    expect(play.send({ type: 'answer', place: stopped.place, outcome: 'over' }).code).toBe('JOB_ANSWER_NOT_OFFERED')
    expect(play.pick('end').ok).toBe(true)
  })

  test('a stop that somebody asked for always lets the job go on', () => {
    const play = new Play()
    play.send({ type: 'arrive' })
    for (let time = 0; time < 3; time += 1) {
      const { place } = play.step()
      play.send({ type: 'stop' })
      play.to('stop-now.pause-or-end', { 'stop-now.why-stop': 'other' })
      expect(offered(play)).toContain('over')
      play.pick('over')
      expect(play.step().place).toBe(place)
    }
  })
})
