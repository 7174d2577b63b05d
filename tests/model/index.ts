// The door of the model tub: make one, put a fault in, observe it, repair it, prove it.
// A driver maps the steps of a program to these functions and imports nothing behind this file.
export * from './box.ts'
export { bringToComplaint, FAULT_SLUGS, insertFault } from './faults.ts'
export type { Complaint, FaultForm, FaultSlug } from './faults.ts'
export * from './person.ts'
export { isolate, pass, removeLeftoverFeed, restorePower } from './power.ts'
export * from './repairs.ts'
export { pairsOf } from './supply.ts'
export type { Conductor, Leftover, Pair, SupplyProfile } from './supply.ts'
export * from './trials.ts'
export { advance, createTub, nominalTub } from './tub.ts'
export type { Plan, Tub } from './tub.ts'
export type { Exposure, InsertedFault, Message, SensorName, Speed } from './state.ts'
