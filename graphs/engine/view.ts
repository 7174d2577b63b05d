// What one person sees and may do now: the present step, the log, the tub in words. Made from the state, never kept.
// Nothing is decided here; safety observers are asked so that no unsafe step is ever offered.
import type { JobView, StepView } from '../contract/index.ts'
import type { Edition, Role } from '../edition/compiled.ts'
import { longestFrom } from '../edition/lengths.ts'
import type { LengthTable } from '../edition/lengths.ts'
import { powerState } from '../safety/power.ts'
import { fillText } from '../trade/placeholder.ts'
import type { ShopUnits } from '../trade/placeholder.ts'
import { goesOtherwise, here, isHeldByOther, lastByHand, mayCorrect, partNow, personOf, refusal, safetyRefusal } from './offer.ts'
import type { Here } from './offer.ts'
import { stepOfKey } from './lookup.ts'
import type { JobState } from './state.ts'
import { stepView, otherwiseView } from './step-view.ts'
import { createTrail } from './trail.ts'
import { ENDING_WORDS, factLabel, factWords, HAZARD_WORDS, TUB_WORDS, unitsOfShop } from './words.ts'

export function createView(
  edition: Edition,
  lengths: LengthTable,
): (state: JobState, person: string, now: number, device?: string) => JobView {
  const trailOf = createTrail(edition)
  return (state, personId, now, device) => {
    const units = unitsOfShop(state)
    const role = personOf(state, personId)?.role ?? 'homeowner'
    const at = here(edition, state)
    const part = partNow(edition, state)
    return {
      job: state.job,
      short: state.short,
      practice: state.practice,
      flow: state.flow,
      title: edition.blocks[state.flow]?.title ?? state.flow,
      complaint: edition.symptoms.find((symptom) => symptom.complaint === state.complaint)?.label ?? state.complaint,
      edition: state.edition,
      opened: state.openedAt,
      visit: state.visit,
      power: powerState(state.tub),
      since: state.rail.at(-1)?.at ?? state.openedAt,
      part,
      at_most: state.ended === undefined ? longestFrom(lengths, edition, state.path.frames, part) : 0,
      ...present(edition, state, { id: personId, device }, at, units, now),
      ...endedOf(edition, state, role, units),
      hazards: hazardsOf(state),
      ...holderOf(state),
      holds: state.tub.holder !== undefined && !isHeldByOther(state, { id: personId, ...(device === undefined ? {} : { device }) }),
      people: peopleOf(state, role),
      can_undo: canUndo(edition, state, role),
      can_arrive: role === 'technician' && !state.tub.onSite.includes(personId),
      facts: role === 'homeowner' ? [] : factsOf(state, units),
      red_flags: edition.red_flags.map(({ slug, label }) => ({ slug, label })),
      not_done: edition.not_done.map(({ slug, label }) => ({ slug, label })),
      trail: trailOf(state, role, units),
      rail: [...state.rail],
    }
  }
}

const OUTSIDE: NonNullable<JobView['waiting']> = {
  says: 'A technician goes on from here. Nobody goes into the tub until we say so.',
  roles: ['technician'],
  signed: [],
  holder: false,
  step: '',
}

type Present = { step?: StepView; waiting?: NonNullable<JobView['waiting']> }

type Viewer = { readonly id: string; readonly device: string | undefined }

/** The step if this person may do it now; else whom the job waits for. */
function present(edition: Edition, state: JobState, viewer: Viewer, at: Here | undefined, units: ShopUnits, now: number): Present {
  const personId = viewer.id
  if (at === undefined || state.ended !== undefined) return {}
  const person = personOf(state, personId, viewer.device)
  const outside = person?.role === 'homeowner' || (person === undefined && !at.step.who.includes('homeowner'))
  const waiting = (says: string, holder = false): Present => ({
    // Whoever stands outside learns that somebody is at it, not what is behind the cover.
    waiting:
      outside && !at.step.who.includes('homeowner')
        ? OUTSIDE
        : { says, roles: [...at.step.who], signed: [...at.step.signed], holder, step: fillText(at.step.title, units) },
  })
  if (person === undefined) return waiting('Say who you are to go on.')
  const problem = refusal(state, person, at)
  if (problem === undefined) {
    const unsafe = safetyRefusal(edition, state, personId, at.key)
    // What is left out breaks no rule: the step is shown with that way only.
    if (unsafe !== undefined) return { ...waiting(unsafe.message), ...leaveOut(edition, state, at, units, now, unsafe.message) }
    return { step: stepView(edition, state, personId, at, units, now) }
  }
  if (goesOtherwise(state, person, at)) return { ...waiting(problem.message), step: otherwiseView(at, units) }
  const isOwnPhone = problem.code === 'JOB_NOT_HOLDER' && state.tub.holder?.person === personId
  return waiting(isOwnPhone ? OWN_PHONE : waitingWords(at, problem.code), problem.code === 'JOB_NOT_HOLDER')
}

const OWN_PHONE = 'Your other phone holds the tub. This step is done there, or take the tub over with this one.'

function leaveOut(edition: Edition, state: JobState, at: Here, units: ShopUnits, now: number, why: string): Present {
  if (at.step.outcomes['not-done'] === undefined) return {}
  const shown = stepView(edition, state, '', at, units, now)
  const { form: _form, starts: _starts, ...rest } = shown
  return { step: { ...rest, says: [why], outcomes: [], readings: [], can_not_do: true } }
}

function waitingWords(at: Here, code: string): string {
  if (code === 'JOB_NOT_HOLDER') return 'Another phone holds the tub. This step is done there.'
  if (code === 'JOB_SIGN_OFF_MISSING') return `Waits for a person signed off for: ${at.step.signed.join(', ').replaceAll('-', ' ')}.`
  return at.step.who.includes('homeowner') || at.step.who.includes('dispatcher')
    ? 'Waits for whoever speaks with the customer.'
    : 'Waits for a technician on site.'
}

function endedOf(edition: Edition, state: JobState, role: Role, units: ShopUnits): Pick<JobView, 'ended'> {
  if (state.ended === undefined) return {}
  const { ending, tub, at, step: key, guard } = state.ended
  const closing = stepOfKey(edition, key)
  const says = closing?.says ?? []
  const who = closing?.who ?? []
  const forThem = role !== 'homeowner' || who.includes('homeowner')
  return {
    ended: {
      ending: ENDING_WORDS[ending],
      tub: TUB_WORDS[tub],
      says: forThem ? says.map((line) => fillText(line, units)) : [],
      at,
      ...(guard === undefined ? {} : { guard: fillText(guard, units) }),
    },
  }
}

function hazardsOf(state: JobState): JobView['hazards'] {
  return Object.keys(state.tub.hazards).map((hazard) => ({
    hazard,
    ...(HAZARD_WORDS[hazard as keyof typeof HAZARD_WORDS] ?? { label: hazard, sticky: true }),
  }))
}

function holderOf(state: JobState): { holder?: string } {
  const holder = state.tub.holder === undefined ? undefined : state.people[state.tub.holder.person]?.name
  return holder === undefined ? {} : { holder }
}

function peopleOf(state: JobState, viewer: Role): JobView['people'] {
  return Object.values(state.people).map(({ id, name, role, signed, here: isHere }) => ({
    id,
    name,
    role,
    signed: viewer === 'homeowner' ? [] : [...signed],
    here: isHere,
  }))
}

function factsOf(state: JobState, units: ShopUnits): JobView['facts'] {
  return Object.values(state.facts)
    .filter((fact) => fact.slug !== 'complaint')
    .map((fact) => ({ slug: fact.slug, label: factLabel(fact.slug), value: factWords(fact, units), source: fact.source }))
}

function canUndo(edition: Edition, state: JobState, role: Role): boolean {
  const key = lastByHand(state)
  const entry = key === undefined ? undefined : state.path.entries[key]
  const step = key === undefined ? undefined : stepOfKey(edition, key)
  return entry !== undefined && step !== undefined && mayCorrect(state, step, entry, role)
}
