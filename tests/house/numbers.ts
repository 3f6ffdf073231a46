import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'
import { holdTable } from './hold-table.ts'
import { comparisons, type Comparison } from '../truth/comparison.ts'
import { ABOUT, AREAS, CHECKS, LEFT_OUT, ROWS, type Area } from '../truth/registry.ts'

/*
 * docs/numbers.md is made from the docblocks of the number rooms: what a function gives, where its formula comes from,
 * and what checks it; and from the published values, as the functions compute them when it is made. `npm run numbers`
 * writes it; a test holds it to the code.
 */

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
export const NUMBERS_FILE = join(ROOT, 'docs/numbers.md')
const ROOMS = [
  'shared/units.ts',
  'shared/density.ts',
  'shared/geodesy.ts',
  'shared/filter',
  'shared/fuel',
  'shared/tanks',
  'shared/order'
]

interface Row {
  name: string
  gives: string
  source: string
  checked: string
}

function filesOf(place: string): string[] {
  if (place.endsWith('.ts')) return [join(ROOT, place)]
  return readdirSync(join(ROOT, place))
    .filter((name) => name.endsWith('.ts'))
    .sort()
    .map((name) => join(ROOT, place, name))
}

/** Sentence, source and check of a docblock; undefined where it names neither. */
function rowOf(name: string, comment: string): Row | undefined {
  const text = comment.replace(/\s+/g, ' ').trim()
  const part = (mark: string): string => {
    const found = new RegExp(`${mark}: (.*?)(?= Source:| Checked:| @throws|$)`).exec(text)
    return (found?.[1] ?? '').replace(/\.$/, '')
  }
  const source = part('Source')
  const checked = part('Checked')
  if (source === '' && checked === '') return undefined
  const gives = (/^(.*?[.;](?= |$))/.exec(text.replace(/ (Source|Checked):.*/, ''))?.[1] ?? text).replace(/[.;]$/, '')
  return { name, gives, source, checked }
}

function rowsOf(file: string): Row[] {
  const source = ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.Latest, true)
  return source.statements.flatMap((statement) => {
    const isExport =
      ts.canHaveModifiers(statement) &&
      ts.getModifiers(statement)?.some((one) => one.kind === ts.SyntaxKind.ExportKeyword)
    if (isExport !== true) return []
    const name = ts.isFunctionDeclaration(statement)
      ? statement.name?.text
      : ts.isVariableStatement(statement)
        ? statement.declarationList.declarations[0]?.name.getText(source)
        : undefined
    const comment = ts
      .getJSDocCommentsAndTags(statement)
      .map((block) => block.getText(source))
      .join('\n')
    if (name === undefined || comment === '') return []
    return rowOf(name, comment.replace(/^\/\*\*|\*\/$/g, '').replace(/^\s*\* ?/gm, '')) ?? []
  })
}

const cell = (text: string): string => (text === '' ? '—' : text.replaceAll('|', '\\|'))

/** A figure of one digit, rounded up; what lies below 1e-11 is the rounding of the machine and not worth a digit. */
function roughly(error: number): string {
  if (error === 0) return '0'
  if (error < 1e-11) return 'below 1e-11'
  const power = 10 ** Math.floor(Math.log10(error))
  return String(Number((Math.ceil(error / power - 1e-9) * power).toPrecision(1)))
}

/** The figure that takes the greatest part of its tolerance. */
function worstOf(compared: readonly Comparison[]): string {
  const part = ({ error, tolerance }: Comparison): number => (error === 0 ? 0 : error / tolerance)
  const [worst] = compared.toSorted((a, b) => part(b) - part(a))
  if (worst === undefined) return '—'
  if (compared.every(({ error }) => error < 1e-11)) return `${roughly(worst.error)} in all`
  const name = worst.figure === undefined ? worst.id : `${worst.id} ${worst.figure}`
  return `${roughly(worst.error)} of ${String(Number(worst.tolerance.toPrecision(2)))} allowed (${name})`
}

/** What each area computes, from which source, over which range, and its worst error against the published values now. */
function truthPart(): string {
  const compared = comparisons()
  const lineOf = (area: Area): string => {
    const { formula, source, range } = ABOUT[area]
    const gates = compared.filter((one) => one.area === area && !one.fromMemory)
    const recalled = compared.filter((one) => one.area === area && one.fromMemory)
    const rows = new Set(gates.map((one) => one.id)).size
    return `| ${[area, formula, source, range, `${rows} of ${ROWS[area].length}`, worstOf(gates), worstOf(recalled)].map(cell).join(' | ')} |`
  }
  const partly = Object.entries(CHECKS).flatMap(([id, { without = {} }]) =>
    Object.entries(without).map(([figure, reason]): [string, string] => [`${id} ${figure}`, reason])
  )
  const byReason = new Map<string, string[]>()
  for (const [id, reason] of [...Object.entries(LEFT_OUT), ...partly])
    byReason.set(reason, [...(byReason.get(reason) ?? []), id])
  const without = [...byReason].map(([reason, of]) => `| ${cell(of.join(', '))} | ${cell(reason)} |`)
  return [
    '## Published values\n',
    'Each row of tests/truth/ids.json is computed with the functions below, or left out for a reason. The worst error is the one that takes the greatest part of its tolerance, in the unit of its row. Rows recalled from memory are shown and hold nothing.\n',
    '| area | formula | source | range | rows that hold | worst error | worst error of rows from memory |',
    '|---|---|---|---|---|---|---|',
    ...AREAS.map(lineOf),
    '\n| not computed | why |',
    '|---|---|',
    ...without,
    ''
  ].join('\n')
}

/** What a hold saves one ship, over start fuels and station rates. */
const holdPart = (): string =>
  `## Holding externals before the tanker\n\nMinutes on the tanker for the same fuel at disconnect, worked out by \`adviseHold\` as this is written.\n\n${holdTable()}\n`

/** The document as the code would have it now. */
export function numbersDocument(): string {
  const parts = ROOMS.flatMap(filesOf).flatMap((file) => {
    const rows = rowsOf(file)
    if (rows.length === 0) return []
    const lines = rows.map(
      (row) => `| \`${row.name}\` | ${cell(row.gives)} | ${cell(row.source)} | ${cell(row.checked)} |`
    )
    return [
      `## ${relative(ROOT, file)}\n\n| function | gives | source | checked |\n|---|---|---|---|\n${lines.join('\n')}\n`
    ]
  })
  return `# Numbers\n\nMade from the code by \`npm run numbers\`. What each function gives, where its formula comes from, and which test holds it to something outside itself.\n\n${truthPart()}\n${holdPart()}\n${parts.join('\n')}`
}

if (process.argv.includes('--write')) writeFileSync(NUMBERS_FILE, numbersDocument())
