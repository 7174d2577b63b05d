// Rules 1 to 3: hands inside only where it was proved dead, by this person, since the last switch-off.
// Each observer keeps its own memory and trusts no other part of the program.
import type { Act, Observer } from '../act.ts'

type Locked = {
  readonly off: boolean
  readonly locks: readonly string[]
  readonly proofs: readonly { readonly prover: string; readonly places: readonly string[]; readonly witnesses: readonly string[] }[]
  readonly here: readonly string[]
}

function keepLocked(memory: Locked, act: Act): Locked {
  switch (act.act) {
    case 'power':
      return { ...memory, off: act.to === 'off', proofs: act.to === 'off' ? memory.proofs : [] }
    case 'lock':
      return { ...memory, locks: [...memory.locks, act.owner] }
    case 'unlock':
      return { ...memory, locks: memory.locks.filter((owner) => owner !== act.owner) }
    case 'proof':
      return { ...memory, proofs: [...memory.proofs, act] }
    case 'lapse':
    case 'handed':
      return { ...memory, proofs: [] }
    case 'arrived':
      return { ...memory, proofs: [], here: act.person === undefined ? [] : [act.person] }
    case 'joined':
      return act.onSite ? { ...memory, here: [...memory.here, act.person] } : memory
    case 'left':
      return {
        ...memory,
        here: memory.here.filter((person) => person !== act.person),
        proofs: memory.proofs
          .filter((proof) => proof.prover !== act.person)
          .map((proof) => ({ ...proof, witnesses: proof.witnesses.filter((person) => person !== act.person) })),
      }
    default:
      return memory
  }
}

/** Nothing that puts hands inside unless the tub is proved dead at each place, for this person. */
export const handsInside: Observer<Locked> = {
  rule: 1,
  name: 'hands inside only where it is proved dead',
  start: { off: false, locks: [], proofs: [], here: [] },
  next: (memory, act) => {
    if (act.act !== 'step' || !act.done || (act.needs !== 'dead' && act.needs !== 'proving')) return keepLocked(memory, act)
    if (!memory.off) return { breach: 'The power is not off. Switch it off and lock it first.' }
    if (!memory.locks.includes(act.person)) return { breach: 'Your own lock is not on. Put it on first.' }
    if (act.needs === 'proving') {
      return act.signed.includes('absence-of-voltage') ? memory : { breach: 'Only a person signed off to prove dead takes the cover off.' }
    }
    const unproved = act.at.filter(
      (place) =>
        !memory.proofs.some(
          (proof) =>
            proof.places.includes(place) &&
            (proof.prover === act.person || (proof.witnesses.includes(act.person) && memory.here.includes(proof.prover))),
        ),
    )
    return unproved.length === 0 ? memory : { breach: `Not proved dead for you at: ${unproved.join(', ')}. Prove it first.` }
  },
}

type Proving = { readonly off: boolean; readonly locks: readonly string[]; readonly voltage: boolean }

/** A proof counts only with load off, own lock on, sign-off, and no unexplained voltage. */
export const proofOfDead: Observer<Proving> = {
  rule: 2,
  name: 'a proof of dead is complete or it is none',
  start: { off: false, locks: [], voltage: false },
  next: (memory, act) => {
    switch (act.act) {
      case 'power':
        return { ...memory, off: act.to === 'off' }
      case 'lock':
        return { ...memory, locks: [...memory.locks, act.owner] }
      case 'unlock':
        return { ...memory, locks: memory.locks.filter((owner) => owner !== act.owner) }
      case 'hazard':
        return act.hazard === 'voltage' ? { ...memory, voltage: true } : memory
      case 'cleared':
        return act.hazard === 'voltage' ? { ...memory, voltage: false } : memory
      case 'proof':
        if (memory.voltage) return { breach: 'Voltage was found after switching off. Only an electrician clears that.' }
        if (!memory.off || !memory.locks.includes(act.prover)) return { breach: 'A proof needs the power off and your own lock on.' }
        if (!act.signed) return { breach: 'Only a person signed off for it proves dead.' }
        return act.places.length > 0 ? memory : { breach: 'A proof names the places that were proved.' }
      case 'step':
        return act.needs === 'dead' && act.done && memory.voltage
          ? { breach: 'Voltage was found after switching off. Hands stay out.' }
          : memory
      default:
        return memory
    }
  },
}

type Fresh = { readonly prover: string | null }

/** The proof ends with re-energizing, leaving, a hand-over, a long pause or the lock coming off. */
export const proofEnds: Observer<Fresh> = {
  rule: 3,
  name: 'a proof ends when the power returns or its prover goes',
  start: { prover: null },
  next: (memory, act) => {
    if (act.act === 'proof') return { prover: act.prover }
    if (act.act === 'lapse' || act.act === 'handed' || act.act === 'arrived' || (act.act === 'power' && act.to !== 'off'))
      return { prover: null }
    if (act.act === 'left' && act.person === memory.prover) return { prover: null }
    if (act.act === 'unlock' && act.owner === memory.prover) return { prover: null }
    if (act.act === 'step' && act.needs === 'dead' && act.done && memory.prover === null) {
      return { breach: 'The proof of dead has ended. Prove it again before hands go in.' }
    }
    return memory
  },
}
