/*
 * `npm run instances -- FOLDER [--jobs N] [--judgements N] [--labels N] [--only TEXT]`: published sequencing instances
 * against the values known for them. Ends with 1 when something cannot be, see compare.ts.
 */
import { parseArgs } from 'node:util'
import { HEAD, instancesIn, outcomeOf, rowOf } from './compare.ts'

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    jobs: { type: 'string' },
    judgements: { type: 'string', default: '200000' },
    labels: { type: 'string', default: '400000' },
    only: { type: 'string', default: '' }
  }
})
const [folder] = positionals
if (folder === undefined || positionals.length > 1) stop('Say the one folder that has the instances.')
const budget = { judgements: Number(values.judgements), labels: Number(values.labels), orders: 0 }
const { instances, known } = instancesIn(folder, values.jobs === undefined ? undefined : Number(values.jobs))
const chosen = instances.filter(({ name }) => name.includes(values.only))
if (chosen.length === 0) stop(`There is no instance in ${folder}.`)

console.log(`${String(budget.judgements)} orders judged, ${String(budget.labels)} labels at most, for each instance`)
console.log(HEAD)
let faults = 0
let proved = 0
const gaps: number[] = []
for (const instance of chosen) {
  const outcome = outcomeOf(instance, budget, known.get(instance.name))
  console.log(rowOf(outcome))
  if (outcome.fault !== undefined) faults++
  if (outcome.proved) proved++
  if (outcome.gapPercent !== undefined && Number.isFinite(outcome.gapPercent)) gaps.push(outcome.gapPercent)
}
const mean = gaps.length === 0 ? '-' : (gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length).toFixed(2)
const counts = [`${String(chosen.length)} instances`, `${String(proved)} proved`, `mean gap ${mean} %`]
console.log([...counts, `${String(faults)} faults`].join(', '))
if (faults > 0) process.exitCode = 1

function stop(reason: string): never {
  console.error(reason)
  process.exit(2)
}
