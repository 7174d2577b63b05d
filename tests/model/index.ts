// The door of the model tub: make one, put a fault in, observe it, repair it, prove it.
// A driver maps the steps of a program to these functions and imports nothing behind this file.
//
// In short, by what is asked:
//   covers on   heatingSymbol panelMessage thermometer displayReading thermometerAndDisplay settings pumpBehaviour
//               filterOutImproves returnFlow houseMeter houseMeterWithTubOff heatingSymbolOnRequest airWeekMean nightLow
//               sunOnTub gfciTestButton outputWalk coolDownTrial riseSeries
//   power       isolate restorePower proofVoltages deadFeed (exposures: tub.exposures must stay empty)
//   box, dead   deadLook seating sensorResistance cupThermometer plugCleanedChangesReading exchangeSensorPlugs switchesMatch
//               relayContacts elementResistance elementToGround heaterLeads heaterOutComparison
//   box, live   heaterWithDemandOff liveHeater supplyVolts (qualified person)
//   proofs      heatOnTrial heatOffTrial holdTrial: `truth` is what really happened, the rest is what was read
// Clock: observations that take minutes let them pass. Temperatures end in C, display and sheet in F.

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
