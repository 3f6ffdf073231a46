import { describe, expect, it } from 'vitest'
import { anyRequest } from '../../../shared/contracts/requests.ts'
import { heard } from '../../../shared/entry/heard.ts'
import { clock } from '../../../shared/entry/moment.ts'
import { understand } from '../../../shared/entry/understand.ts'
import type { Understanding } from '../../../shared/entry/understanding.ts'
import { vocabulary } from './event.ts'
import { ASKED_BACK, SPOKEN } from './spoken.ts'

/* The table of spoken forms: each means one thing, and those that could mean two mean nothing. */

const FORMS_LEAST = 150
const ASKED_LEAST = 40
const A_PATTERN_MOST = 4

/** A request in short: its kind, and its values in turn. */
function meaning(understood: Understanding): string {
  if (understood.kind !== 'understood') return `${understood.kind}: ${JSON.stringify(understood)}`
  if (understood.action.kind !== 'record') return understood.action.kind
  const { kind, atMs, ...fields } = understood.action.request
  if (kind === 'setTankerTimes') return `${kind} ${String(Object.values(fields)[0])}`
  const said = Object.entries(fields).flatMap(([name, value]: [string, unknown]): unknown[] => {
    if (name === 'keeps' && Object.hasOwn(fields, 'mostTransferable')) return []
    if (typeof value === 'number' && name.endsWith('Ms')) return [clock(value)]
    if (Array.isArray(value)) return value
    return typeof value === 'object' && value !== null ? Object.values(value) : [value]
  })
  return [kind, ...said, ...(atMs === undefined ? [] : [`at ${clock(atMs)}`])].join(' ')
}

const NAMES = new Set(
  [...vocabulary.ships, ...vocabulary.flights, ...vocabulary.tankers].flatMap(({ callSign }) =>
    callSign.toLowerCase().split(' ').slice(0, 1)
  )
)

/** What kinds of words a line is made of, in turn: names by how they are said, figures by how they are, words as they are. */
function pattern(line: string): string {
  return line
    .toLowerCase()
    .split(/\s+/)
    .map((word) => {
      if (/^\d+[a-z]+$/.test(word) || /^\d\d:\d\d/.test(word)) return 'time'
      if (/^[a-z]{1,3}\d{2}$/.test(word)) return 'short'
      if (NAMES.has(word)) return 'name'
      if (/^\d{1,2}$/.test(word)) return 'two digits'
      if (/^\d+$/.test(word)) return 'digits'
      if (/^[\d.,]+k?$/.test(word)) return 'decimal'
      return /^\d+$/.test(heard(word, vocabulary)[0] ?? '') ? 'spoken digit' : word
    })
    .join(' ')
}

const said = (line: string) => understand(line, vocabulary)

describe('spoken forms', () => {
  it.each(SPOKEN)('%s', (line, wanted) => {
    const understood = said(line)
    expect(meaning(understood)).toBe(wanted)
    // What it makes is what the contract takes.
    if (understood.kind !== 'understood' || understood.action.kind !== 'record') return
    expect(anyRequest.safeParse({ requestId: 'request-1', ...understood.action.request }).success).toBe(true)
  })

  it('are many, none twice, and of many patterns', () => {
    const patterns = new Map<string, string[]>()
    for (const [line] of SPOKEN) patterns.set(pattern(line), [...(patterns.get(pattern(line)) ?? []), line])
    expect([...patterns].filter(([, lines]) => lines.length > A_PATTERN_MOST)).toEqual([])
    expect(new Set(SPOKEN.map(([line]) => line)).size).toBe(SPOKEN.length)
    expect(SPOKEN.length).toBeGreaterThanOrEqual(FORMS_LEAST)
  })

  it('means the same in capitals, with blanks around, and with commas between', () => {
    for (const [line, wanted] of SPOKEN) {
      expect(meaning(said(`  ${line.toUpperCase().replaceAll(' ', '  ')} `)), line).toBe(wanted)
      expect(meaning(said(line.replace(' ', ', '))), line).toBe(wanted)
    }
  })
})

describe('lines that record nothing', () => {
  it.each(ASKED_BACK)('%s', (line, question, choiceCount) => {
    const understood = said(line)
    expect(understood.kind, JSON.stringify(understood)).toBe('ask')
    if (understood.kind !== 'ask') return
    expect(understood.sentence).toContain(question)
    expect(understood.choices.map(({ text }) => text)).toHaveLength(choiceCount)
    // A choice says the same without doubt, or asks on; it never ends in nothing.
    for (const { text } of understood.choices) {
      const chosen = said(text)
      expect(chosen.kind === 'understood' || (chosen.kind === 'ask' && chosen.choices.length > 0), text).toBe(true)
    }
  })

  it('are many', () => {
    expect(ASKED_BACK.length).toBeGreaterThanOrEqual(ASKED_LEAST)
  })

  it('do not come of leaving a word of a spoken form away and typing on: no beginning throws', () => {
    for (const [line] of [...SPOKEN, ...ASKED_BACK]) {
      for (let end = 1; end < line.length; end++) expect(said(line.slice(0, end)).kind).not.toBe('nothing')
    }
  })
})
