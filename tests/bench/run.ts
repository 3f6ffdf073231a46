/*
 * `npm run bench` prints every figure as JSON; `npm run bench -- fill,order` only these. What goes on is told on stderr.
 */
import { spawnSync } from 'node:child_process'
import { availableParallelism, loadavg } from 'node:os'
import { ROOT } from '../../server/root.ts'
import { backRows } from './back.ts'
import { boardScreenRows } from './board-screen.ts'
import { callRows } from './call.ts'
import { durableRows } from './durable.ts'
import { estimateRows } from './estimate.ts'
import { fillRows } from './fill.ts'
import { filterRows } from './filter.ts'
import { holdRows } from './hold.ts'
import { ladderRows } from './ladder.ts'
import { manyRows } from './many.ts'
import { orderRows } from './order.ts'
import { planEditRows } from './plan-edit.ts'
import { planBodyRows } from './plan-body.ts'
import { readyRows } from './ready.ts'
import { replayRows } from './replay.ts'
import { searchLoadRows } from './search-load.ts'
import { serviceRows } from './service.ts'
import { suggestRows } from './suggest.ts'
import type { Row } from './timing.ts'

const IN_PROCESS: Record<string, () => Row[]> = {
  fill: fillRows,
  hold: holdRows,
  ladder: ladderRows,
  service: serviceRows,
  order: orderRows,
  suggest: suggestRows,
  replay: replayRows,
  estimate: estimateRows,
  filter: filterRows
}
const WITH_SERVER: Record<string, () => Promise<Row[]>> = {
  call: callRows,
  durable: durableRows,
  ready: readyRows,
  many: manyRows,
  back: backRows,
  'plan-body': planBodyRows,
  'search-load': searchLoadRows,
  'board-screen': boardScreenRows,
  'plan-edit': planEditRows
}
const ALL: Record<string, () => Row[] | Promise<Row[]>> = { ...IN_PROCESS, ...WITH_SERVER }

const wanted = process.argv.slice(2).flatMap((list) => list.split(','))
const unknown = wanted.filter((name) => !(name in ALL))
if (unknown.length > 0) stop(`There is no ${unknown.join(', ')}; there are ${Object.keys(ALL).join(', ')}.`)
const chosen = Object.entries(ALL).filter(([name]) => wanted.length === 0 || wanted.includes(name))
if (chosen.some(([name]) => name in WITH_SERVER) && !build()) stop('The build failed; its messages are above.')

const rows: Row[] = []
for (const [name, measure] of chosen) {
  console.error(`${name} ...`)
  rows.push(...(await measure()))
}
const machine = { cores: availableParallelism(), node: process.version, loadPerMinute: loadavg()[0] }
console.log(JSON.stringify({ machine, rows }, roundedTo4, 2))

/** Figures of no more digits than mean something. */
function roundedTo4(_: string, value: unknown): unknown {
  return typeof value === 'number' ? Number(value.toPrecision(4)) : value
}

/** Built when a source changed; whatever the tools say goes to stderr, where the JSON is not. */
function build(): boolean {
  const script = "import { buildWhenStale } from './build.mjs'; if (!(await buildWhenStale())) process.exit(1)"
  const args = ['--input-type=module', '--eval', script]
  return spawnSync(process.execPath, args, { cwd: ROOT, stdio: ['ignore', 2, 2] }).status === 0
}

function stop(reason: string): never {
  console.error(reason)
  process.exit(1)
}
