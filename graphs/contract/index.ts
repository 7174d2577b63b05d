// The contract: shapes that cross a border. Shells that only need types import them as types and ship no zod.
// Nothing is computed here.
export * from './common.ts'
export * from './commands.ts'
export * from './events.ts'
export * from './view.ts'
