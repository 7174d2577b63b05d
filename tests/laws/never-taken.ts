// What random jobs leave out, each with its reason in words. A part of the library that nobody can reach is taken out of it, not listed here.
// Names are block.step=outcome, block.step, or a whole block; endings by their words.

const ONLY_COPIES = 'only its copies with a named sensor are called; this block is the pattern they are made from'
const VISIT = 'only arriving on site goes on from here, and the visit has an entry of its own'
const QUALIFIED_ONLY = 'the gate is put on top for a qualified person; somebody without the sign-off would have to answer in between'
const PROVER_ONLY = 'a further place is proved on top of an own proof; somebody else would have to take the tub over in between'
const OPEN_AND_LIVE =
  'the tub would have to stand open and live before the gate is asked for, which a correction in that moment alone brings about'
const BROKEN_WORD = 'a lock or a switch would have to be called back, by a correction, in the moments between the lock and the last look'
const HAZARD_IN_BETWEEN = 'the hazard would have to be reported between two steps, one of which stops the job for it already'

const STILL_RUNNING =
  'the work stops for this reason although the tub was running, with nothing against its running on: two rare things at once'
const WEATHER_ALONE =
  'weather explains the heat on site, nothing is fitted, and the whole proof is run all the same; the invented creep job ends so'

/** Cannot be come to by answers alone, or only by a correction at one certain moment. */
export const NEVER_TAKEN: { readonly [name: string]: string } = {
  'sensor-replacement': ONLY_COPIES,
  'overheating.visit-booked': VISIT,
  'heater-current-demand-off.clamp=cannot-tell': 'a clamp that reads to a tenth of an ampere tells any heater from none',
  'live-gate.open-already=shock-stands': HAZARD_IN_BETWEEN,
  'live-gate.open-already=voltage-stands': HAZARD_IN_BETWEEN,
  'live-gate.open-already=flood-stands': HAZARD_IN_BETWEEN,
  'live-gate.open-already=open-and-on': OPEN_AND_LIVE,
  'live-gate.still-so': OPEN_AND_LIVE,
  'live-gate.needed=otherwise': QUALIFIED_ONLY,
  'live-gate.place=otherwise': QUALIFIED_ONLY,
  'live-gate.gear=otherwise': QUALIFIED_ONLY,
  'live-gate.open-live=otherwise': QUALIFIED_ONLY,
  'live-gate.no-qualified-person': QUALIFIED_ONLY,
  'prove-place.open-place=otherwise': PROVER_ONLY,
  'prove-place.prove=otherwise': PROVER_ONLY,
  'leave-off.as-said=others-locked': BROKEN_WORD,
  'leave-off.as-said=own-lock-on': BROKEN_WORD,
  'leave-off.as-said=no-lock': BROKEN_WORD,
  'leave-off.left-to-guard=not-off': BROKEN_WORD,
  'leave-off.left-to-guard=own-lock-on': BROKEN_WORD,
  'leave-off.left-to-guard=others-locked': BROKEN_WORD,
  'leave-tub.may-it-run-on=others-locked':
    'the holder of the tub would have to leave while a colleague has a lock on and the power is called on',
  'stop-now.open-or-shut=open-unlocked':
    'a cover would have to be off with the power off and no lock on, which a correction alone brings about',
  'stop-now.open-or-shut=open-and-live': 'stop would have to be pressed while the box is open for a live reading',
  'prove-the-repair.unfinished=gfci-open': 'the proof leaves by another way when its GFCI test does not pass',
  'overheating.sensor-or-heat=heats-by-itself': HAZARD_IN_BETWEEN,
  'overheating.may-log=heat-damage-open': HAZARD_IN_BETWEEN,
  'overheating.may-log=cover-open': HAZARD_IN_BETWEEN,
  'overheating.may-log=gfci-open': HAZARD_IN_BETWEEN,
  'overheating.may-log=bridge-open': HAZARD_IN_BETWEEN,
  'overheating.may-log=wet-open': HAZARD_IN_BETWEEN,
  'overheating.confirm-allowed=heat-damage-open': HAZARD_IN_BETWEEN,
  'overheating.confirm-allowed=cover-open': HAZARD_IN_BETWEEN,
  'overheating.confirm-allowed=gfci-open': HAZARD_IN_BETWEEN,
  'overheating.confirm-allowed=bridge-open': HAZARD_IN_BETWEEN,
  'overheating.confirm-allowed=wet-open': HAZARD_IN_BETWEEN,
  'overheating.all-closed=heat-open': HAZARD_IN_BETWEEN,
  'overheating.all-closed=hot-water-open': HAZARD_IN_BETWEEN,
}

/** Endings that are come to less often than the others, or in some runs not at all: chains of several rare answers. By their words, or by step. */
export const SELDOM_REACHED: { readonly [ending: string]: string } = {
  'for-electrician, usable-with-limits':
    'an electrician is wanted for the disconnect or the region, and yet nothing speaks against the tub running on',
  'specialist, not-checked-on-site': 'a second heater is there and is the one that heats',
  'repaired-to-confirm, usable-with-limits': 'everything is proved but the hold, and the customer agrees to watch it',
  'normal, safe-to-use': WEATHER_ALONE,
  'breaker-unknown.end-running': STILL_RUNNING,
  'no-meter.end-running': STILL_RUNNING,
  'part-on-order.end-running': STILL_RUNNING,
  'overheating.end-normal': WEATHER_ALONE,
  'overheating.end-likely': WEATHER_ALONE,
}
