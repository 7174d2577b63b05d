// JSON Schemas of the library's files, for completion in a text editor.
// The zod schemas of library-schema.ts are the one source.
import { z } from 'zod'
import {
  blockSchema,
  faultsSchema,
  familySchema,
  historySchema,
  interruptsSchema,
  partsSchema,
  suppliesSchema,
  symptomsSchema,
  testSchema,
} from './library-schema.ts'

export function librarySchemas(): { [file: string]: unknown } {
  const schemas = {
    'flows/*.yaml': blockSchema,
    'procedures/*.yaml': blockSchema,
    'tests/*.yaml': testSchema,
    'likelihoods/*.yaml': familySchema,
    'interrupts.yaml': interruptsSchema,
    'symptoms.yaml': symptomsSchema,
    'faults.yaml': faultsSchema,
    'parts.yaml': partsSchema,
    'history.yaml': historySchema,
    'supplies.yaml': suppliesSchema,
  }
  return Object.fromEntries(Object.entries(schemas).map(([file, schema]) => [file, z.toJSONSchema(schema)]))
}
