// What the engine and the shells may use of the trade's computations.
// Nothing is computed here.
export { EVALUATORS } from './evaluators.ts'
export { FACTS } from './facts.ts'
export type { FactChoice, FactDefinition, WideDefault } from './facts.ts'
export type { Band, Evaluator, Fact, Facts, FactValue, Quantity, Reading, Readings, Verdict } from './verdict.ts'
