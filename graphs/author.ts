// The door for making an edition: YAML in, checked and compiled edition out.
// The phone never ships this.
export { compileLibrary } from './edition/compile.ts'
export type { LibraryProblem, SourceFile } from './edition/compile.ts'
export { PART_LIMIT } from './edition/checks.ts'
export { createLengths, PARTS } from './edition/lengths.ts'
export { diffEditions } from './edition/diff.ts'
export type { EditionDiff } from './edition/diff.ts'
export { drawFlow } from './edition/draw.ts'
export { librarySchemas } from './edition/json-schema.ts'
export { flowVersions, versionOf } from './edition/versions.ts'
