// What `draw` and `figures` leave behind: files where they were asked for, words where something is missing.
// What stands in the files is tested with the drawing.
import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { draw, figures } from '../../server/commands/drawing.ts'
import { createFolder, testEdition } from './edition.ts'

const folder = createFolder()
afterAll(folder.remove)
const file = (name: string): string => join(folder.path, name)

async function drawn(...args: string[]): Promise<[number, string]> {
  const said: string[] = []
  return [await draw(testEdition(), args, (line) => said.push(line)), said.join('\n')]
}

test('a block goes out as picture, state chart or text', async () => {
  expect(await drawn('no-meter', '--out', file('a.svg'))).toEqual([0, expect.stringMatching(/^Wrote .*a\.svg, \d+ kB\.$/)])
  expect(readFileSync(file('a.svg'), 'utf8')).toMatch(/^<svg /)
  expect((await drawn('no-meter', '--scxml', '--out', file('a.scxml')))[0]).toBe(0)
  expect(readFileSync(file('a.scxml'), 'utf8')).toMatch(/^<\?xml [^>]*>\n<scxml /)
  expect(await drawn('no-meter', '--text')).toEqual([0, expect.stringMatching(/^no-meter: /)])
})

test.each([[['no-such-block']], [['constructor']], [['no-meter', '--colour']], [['no-meter', 'two']]])(
  '%j draws nothing and says how',
  async (args) => {
    const [code, said] = await drawn(...args, '--out', file('none.svg'))
    expect(code).toBe(1)
    expect(said).toContain('Use: draw BLOCK')
    expect(existsSync(file('none.svg'))).toBe(false)
  },
)

test('the figures of a family go out, and an unknown family names those there are', () => {
  const said: string[] = []
  expect(figures(testEdition(), ['--out', file('d.csv')], (line) => said.push(line))).toBe(0)
  expect(readFileSync(file('d.csv'), 'utf8')).toMatch(/^fault,prior:hotter-than-set,/)
  expect(figures(testEdition(), ['nothing'], (line) => said.push(line))).toBe(1)
  expect(said.at(-1)).toContain('Families: overheating.')
})
