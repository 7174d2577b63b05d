// An independent watchman: from raw events alone it knows who may put hands where, and says which offered step would be unsafe.
// It shares no code with the engine or its observers; it only reads what the library says of the step.
import type { Edition, Step } from '#graphs'
import type { JobEvent, StepView } from '#graphs/contract'

type Known = { role: string; signed: readonly string[] }
type Proof = { places: readonly string[]; prover: string; witnesses: readonly string[] }

/** A "nobody in the water" answer counts so long, milliseconds. */
const CLEAR_FOR = 3 * 60_000
const ELECTRIC_STOPS = ['shock', 'voltage', 'flood']

export class Monitor {
  readonly #edition: Edition
  readonly #people = new Map<string, Known>()
  readonly #here = new Set<string>()
  readonly #locks = new Set<string>()
  readonly #hazards = new Set<string>()
  #proofs: Proof[] = []
  #off = false
  #covers = 'on'
  #clear: number | undefined
  #gfciDue = false

  constructor(edition: Edition) {
    this.#edition = edition
  }

  see(event: JobEvent): void {
    switch (event.type) {
      case 'person-joined': {
        const { person, on_site } = event.body
        this.#people.set(person.id, { role: person.role, signed: person.signed })
        if (on_site) this.#here.add(person.id)
        return
      }
      case 'person-left':
        this.#here.delete(event.body.person)
        this.#proofs = this.#proofs.filter(({ prover }) => prover !== event.body.person)
        return
      case 'powered':
        return this.#power(event.body.to)
      case 'lock-put':
        this.#locks.add(event.body.owner)
        return
      case 'lock-taken':
        this.#locks.delete(event.body.owner)
        this.#proofs = this.#proofs.filter(({ prover }) => prover !== event.body.owner)
        return
      case 'proof-made':
        this.#proofs.push(event.body)
        return
      case 'proof-lapsed':
        this.#proofs = []
        return
      case 'tub-handed':
        this.#proofs = []
        this.#clear = undefined
        return
      default:
        this.#seeRest(event)
    }
  }

  #seeRest(event: JobEvent): void {
    switch (event.type) {
      case 'covered':
        this.#covers = event.body.to
        return
      case 'gfci-tested':
        this.#gfciDue = false
        return
      case 'water-cleared':
        this.#clear = event.at
        return
      case 'unmarked':
        if (event.body.mark === 'water-clear') this.#clear = undefined
        return
      case 'arrived':
        this.#clear = undefined
        return
      case 'hazard-seen':
        this.#hazards.add(event.body.hazard)
        return
      case 'hazard-cleared':
        this.#hazards.delete(event.body.hazard)
        return
      default:
    }
  }

  #power(to: 'on' | 'off' | 'unknown'): void {
    if (to === 'on' && this.#off) this.#gfciDue = true
    if (to !== 'on') this.#gfciDue = false
    if (to !== 'off') this.#proofs = []
    else this.#clear = undefined
    this.#off = to === 'off'
  }

  /**
   * What is wrong with offering this step to this person; undefined when it may be offered.
   * `now` is given when the step has just come up: then the water-clear answer must be fresh. Later it stands while the step is being done.
   */
  danger(shown: StepView, person: string, now: number | undefined): string | undefined {
    const step = this.#edition.blocks[shown.block]?.steps[shown.step]
    if (step === undefined) return 'no such step'
    // Only the way round, or only leaving it out: no hand moves.
    const ways =
      shown.outcomes.filter(({ outcome }) => outcome !== 'otherwise').length + shown.readings.length + (shown.form === undefined ? 0 : 1)
    if (ways === 0 && step.kind !== 'wait') return undefined
    return this.#strangers(step, person) ?? this.#inside(step, person) ?? this.#live(step, person) ?? this.#starting(step, now)
  }

  #strangers(step: Step, person: string): string | undefined {
    const known = this.#people.get(person)
    if (known === undefined) return 'the person never joined'
    if (!step.who.some((role) => role === known.role)) return `it is not for a ${known.role}`
    const missing = step.signed.filter((one) => !known.signed.includes(one))
    if (missing.length > 0) return `the person is not signed off: ${missing.join(', ')}`
    const outsider = known.role === 'homeowner' || known.role === 'dispatcher'
    if (outsider && step.needs !== 'talk' && step.needs !== 'shut' && step.needs !== 'live-shut')
      return 'an outsider would open the cabinet'
    if (outsider && step.hands === 'inside') return 'an outsider would reach in'
    return undefined
  }

  #inside(step: Step, person: string): string | undefined {
    if (step.needs !== 'dead' && step.needs !== 'proving') return undefined
    if (!this.#off) return 'the power is not off'
    if (!this.#locks.has(person)) return 'the own lock is not on'
    if (!this.#here.has(person)) return 'the person is not at the tub'
    if (step.needs === 'proving')
      return this.#people.get(person)?.signed.includes('absence-of-voltage') ? undefined : 'no sign-off to prove dead'
    if (this.#hazards.has('voltage')) return 'voltage was found'
    const open = step.at.filter(
      (place) =>
        !this.#proofs.some(
          ({ places, prover, witnesses }) =>
            places.includes(place) && (prover === person || (witnesses.includes(person) && this.#here.has(prover))),
        ),
    )
    return open.length === 0 ? undefined : `not proved dead: ${open.join(', ')}`
  }

  #live(step: Step, person: string): string | undefined {
    if (step.needs === 'live-shut' && this.#covers !== 'on') return 'a cover is off'
    if (step.needs !== 'live-open') return undefined
    if (step.kind !== 'read') return 'live and open, and not a measurement'
    return this.#people.get(person)?.signed.includes('energized-work') ? undefined : 'live work without the sign-off'
  }

  #starting(step: Step, now: number | undefined): string | undefined {
    if (step.starts === undefined) return undefined
    if (this.#covers !== 'on') return 'something starts with a cover off'
    if ([...this.#locks].some((owner) => owner !== 'shop')) return 'something starts under a personal lock'
    const stop = ELECTRIC_STOPS.find((hazard) => this.#hazards.has(hazard))
    if (stop !== undefined) return `something starts while ${stop} stands`
    if (this.#clear === undefined) return 'something starts and nobody said that the water is clear'
    if (now !== undefined && now - this.#clear > CLEAR_FOR) return 'the water was clear too long ago'
    const testsGfci = Object.values(step.outcomes).some(({ effects }) => effects?.some((effect) => effect.do === 'gfci'))
    return this.#gfciDue && !testsGfci ? 'the first press is not the GFCI test' : undefined
  }
}
