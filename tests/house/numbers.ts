import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'

/*
 * docs/numbers.md is made from the docblocks of the number rooms: what a function gives, where its formula comes from,
 * and what checks it. `npm run numbers` writes it; a test holds it to the code.
 */

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
export const NUMBERS_FILE = join(ROOT, 'docs/numbers.md')
const ROOMS = [
  'shared/units.ts',
  'shared/density.ts',
  'shared/geodesy.ts',
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
  return `# Numbers\n\nMade from the code by \`npm run numbers\`. What each function gives, where its formula comes from, and which test holds it to something outside itself.\n\n${parts.join('\n')}`
}

if (process.argv.includes('--write')) writeFileSync(NUMBERS_FILE, numbersDocument())
