// The truthful plain answer of a calm, dry, well-ordered visit, for steps that no instrument and no repair answers.
// A step that is neither here nor in the other tables stops the run: nothing is guessed.
import type { StepView } from '#graphs/contract'
import type { Given } from './driver.ts'

export const PLAIN_ANSWERS: { readonly [step: string]: string } = {
  'red-flags.reach-back': 'done',
  'red-flags.people': 'nobody',
  'red-flags.out-now': 'out',
  'red-flags.shock': 'none',
  'red-flags.burning': 'none',
  'red-flags.water-at-wiring': 'none',
  'red-flags.suction': 'whole',
  'red-flags.fumes': 'none',
  'red-flags.standing-words': 'agreed',
  'frost-plan.ice': 'none',
  'frost-plan.either-plan': 'named',
  'frost-plan.drain-plan': 'named',
  'overheating.other-heat': 'none',
  'overheating.earlier-visit': 'first',
  'overheating.level': 'fine',
  'overheating.fill': 'filled',
  'overheating.valves': 'open',
  'overheating.book-now': 'booked',
  'overheating.book-next-slot': 'booked',
  'overheating.book-next-day': 'booked',
  'overheating.before-visit': 'agreed',
  'overheating.safe-words': 'said',
  'overheating.site-history': 'read',
  'overheating.ground': 'dry',
  'overheating.suction': 'whole',
  'overheating.site-fill': 'filled',
  'overheating.burnt-where': 'spa-side',
  'overheating.find-drip': 'none-found',
  'overheating.log-offer': 'agreed',
  'overheating.display-again': 'noted',
  'history-questions.more-work': 'nothing',
  'cool-down-trial.conditions': 'all',
  'make-dead.get-access': 'none',
  'make-dead.gfci-seen': 'seen',
  'make-dead.other-loads': 'agreed',
  'make-dead.take-lock-back': 'done',
  'make-dead.find-right-one': 'not-found',
  'make-dead.let-it-settle': 'done',
  'make-dead.covers-off': 'off',
  'make-dead.tester-or-person': 'none',
  'prove-place.open-place': 'off',
  'prove-place.tester-or-person': 'none',
  'prove-place.own-lock': 'mine',
  'close-and-power-up.covers-on': 'closed',
  'close-and-power-up.fit-to-run': 'right',
  'close-and-power-up.fill': 'filled',
  'close-and-power-up.tell-everybody': 'told',
  'close-and-power-up.locks-off': 'own',
  'close-and-power-up.their-locks': 'done',
  'water-clear.clear': 'yes',
  'as-found-record.look': 'neither',
  'board-replacement.all-known': 'known',
  'board-replacement.price': 'approved',
  'board-replacement.feed-lands': 'block',
  'board-replacement.screws': 'out',
  'board-replacement.plugs': 'done',
  'load-voltage-map.test': 'match',
  'loads-sound.capacitors': 'all-good',
  'sensor-replacement.right-sensor': 'here',
  'sensor-replacement.price': 'approved',
  'sensor-replacement.well': 'dry-well',
  'live-gate.no-qualified-person': 'understood',
  'live-gate.needed': 'substitute',
  'prove-the-repair.read-back': 'same',
  'prove-the-repair.what-was-mended': 'nothing-else',
  'prove-the-repair.jets-high': 'dry',
  'prove-the-repair.wipe-joints': 'dry',
  'prove-the-repair.last-round': 'done',
  'prove-the-repair.leave-thermometer': 'agreed',
  'escalate.hands-out': 'out',
  'leave-off.covers-back': 'closed',
  'leave-off.shop-lock': 'locked',
  'leave-off.tell': 'told',
  'leave-off.their-locks': 'done',
  'leave-off.own-lock-off': 'changed',
  'leave-off.guard': 'took-over',
  'part-on-order.may-it-harm': 'harm',
  'frost-heater-isolated.pump-runs': 'runs',
  'frost-heater-isolated.tell': 'told',
  'no-meter.note': 'noted',
  'cannot-prove.hands-out': 'tester',
  'stop-for-electrician.hands-out': 'back',
  'breaker-unknown.note': 'noted',
  'disconnect-wanted.note': 'noted',
  'rebook.reason': 'other',
  'stop-now.why-stop': 'other',
  'stop-now.pause-or-end': 'end',
  'wet-day.note': 'noted',
  'no-access.say-what': 'other',
}

/** Records that only write down what stands there. */
export function plainForm(step: StepView): Given | undefined {
  switch (step.form?.form) {
    case 'text':
      return { form: { form: 'text', fields: Object.fromEntries(step.form.fields.map((field) => [field.name, 'as seen'])) } }
    case 'checklist':
      return { form: { form: 'checklist', ticked: step.form.items } }
    case 'switches':
      return { form: { form: 'switches', positions: step.form.old?.positions ?? '110100', jumpers: step.form.old?.jumpers ?? 'J1 on' } }
    case 'conductors':
      return { form: { form: 'conductors', conductors: [{ from: 'block 1', to: 'board L1', colour: 'black', meter: 'hot' }] } }
    case 'loads':
      return { form: { form: 'loads', loads: [{ load: 'pump 1', outlet: 'A', volts: '240' }] } }
    default:
      return undefined
  }
}
