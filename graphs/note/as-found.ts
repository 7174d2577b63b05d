// What was recorded as found and as left: switches, conductors, loads, settings; and where the two differ.
// A record that was never made stays empty; nothing is filled in.
import type { Edition, FormSpec } from '../edition/compiled.ts'
import { switchWords, typedList } from '../engine/words.ts'
import type { Answer } from './answers.ts'
import type { NoteCompared, NoteLine } from './note-data.ts'

type Which = 'found' | 'left'

/** The record of one form: the first is as found, a later one as left, unless the form says itself which it is. */
function recorded(answers: readonly Answer[], form: FormSpec['form'], which: Which): Answer | undefined {
  const all = answers.filter((answer) => answer.struck === undefined && answer.entry.form?.form === form && answer.step.form?.form === form)
  const said = all.filter((answer) => saysWhich(answer.step.form) === which)
  if (all.some((answer) => saysWhich(answer.step.form) !== undefined)) return said.at(-1)
  return which === 'found' ? all[0] : all.length > 1 ? all.at(-1) : undefined
}

function saysWhich(form: FormSpec | undefined): Which | undefined {
  if (form?.form === 'settings') return form.which
  if (form?.form === 'switches') return form.which === 'old' ? 'found' : 'left'
  return undefined
}

export function comparedOf(answers: readonly Answer[], form: 'switches' | 'conductors' | 'loads' | 'settings'): NoteCompared {
  const found = recorded(answers, form, 'found')
  const left = recorded(answers, form, 'left')
  return {
    found: found === undefined ? [] : typedList(found.step, found.entry),
    left: left === undefined ? [] : typedList(left.step, left.entry),
    differences:
      found === undefined || left === undefined ? [] : form === 'switches' ? switchDifferences(found, left) : lineDifferences(found, left),
  }
}

function switchDifferences(found: Answer, left: Answer): string[] {
  const [old, now] = [found.entry.form, left.entry.form]
  if (old?.form !== 'switches' || now?.form !== 'switches') return []
  const length = Math.max(old.positions.length, now.positions.length)
  const list: string[] = []
  for (let index = 0; index < length; index += 1) {
    const [before, after] = [old.positions[index] ?? '-', now.positions[index] ?? '-']
    if (before !== after) list.push(`Switch ${index + 1}: ${one(before)} as found, ${one(after)} as left`)
  }
  if (old.jumpers.trim() !== now.jumpers.trim()) list.push(`Jumpers: ${old.jumpers || 'none'} as found, ${now.jumpers || 'none'} as left`)
  return list
}

function one(position: string): string {
  return switchWords(position).slice(2)
}

function lineDifferences(found: Answer, left: Answer): string[] {
  const before = new Map(typedList(found.step, found.entry).map((line) => [line.label, line.value]))
  const after = new Map(typedList(left.step, left.entry).map((line) => [line.label, line.value]))
  const labels = [...new Set([...before.keys(), ...after.keys()])]
  return labels
    .filter((label) => before.get(label) !== after.get(label))
    .map((label) => `${label}: ${before.get(label) ?? 'not written'} as found, ${after.get(label) ?? 'not written'} as left`)
}

/** The facts of the tub as a table, kept apart from what the job did. */
export function historyOf(edition: Edition, flags: { readonly [flag: string]: string }): readonly string[] {
  return Object.keys(flags).flatMap((flag) => edition.history[flag]?.label ?? [])
}

export function asLines(lines: readonly NoteLine[]): string {
  return lines.map((line) => `${line.label}: ${line.value}`).join('; ')
}
