/*
 * `npm run long` runs every part and prints its figures as JSON; `npm run long -- kills,cuts` only these. A number is the
 * part's size: `cuts=900`. What goes on is told on stderr; the exit code is 1 when something did not hold.
 */
import { loadavg } from 'node:os'
import { cutRows } from './cuts.ts'
import { errorRows } from './errors.ts'
import { fullRows } from './full.ts'
import { fuzzRows } from './fuzz.ts'
import { historyRows } from './history.ts'
import { killRows } from './kills.ts'
import { loadRows } from './load.ts'
import { removeFolders } from './service.ts'
import { soakRows } from './soak.ts'

interface Part {
  /** How much of it where nothing is said, and in what. */
  size: number
  unit: string
  run: (size: number, seed: number) => Promise<{ holds: boolean }>
}

const PARTS: Record<string, Part> = {
  kills: { size: 200, unit: 'kills', run: (kills, seed) => killRows({ kills, seed }) },
  history: {
    size: 100_000,
    unit: 'requests acknowledged',
    run: (acknowledged, seed) => historyRows({ acknowledged, seed })
  },
  cuts: { size: 900, unit: 'cuts each', run: (cuts, seed) => cutRows({ cuts, seed, calls: 1_600 }) },
  errors: { size: 120, unit: 'points', run: (points) => errorRows({ points }) },
  fuzz: { size: 50_000, unit: 'requests', run: (requests) => fuzzRows({ requests }) },
  full: { size: 1, unit: 'disk', run: () => fullRows() },
  load: { size: 10, unit: 'minutes', run: (minutes) => loadRows({ minutes }) },
  soak: { size: 30, unit: 'minutes', run: (minutes) => soakRows({ minutes }) }
}

const wanted = process.argv.slice(2).flatMap((list) => list.split(','))
const chosen = (wanted.length === 0 ? Object.keys(PARTS) : wanted).map((word) => {
  const [name = '', size] = word.split('=')
  const part = PARTS[name]
  if (part === undefined || (size !== undefined && !(Number(size) > 0))) {
    console.error(`There is no ${word}; there are ${Object.keys(PARTS).join(', ')}, each with =SIZE if wanted.`)
    process.exit(1)
  }
  return { name, part, size: size === undefined ? part.size : Number(size) }
})

const parts: Record<string, unknown> = {}
let allHold = true
try {
  for (const { name, part, size } of chosen) {
    console.error(`${name}: ${String(size)} ${part.unit} ...`)
    const beganMs = performance.now()
    const figures = await part.run(size, Date.now() % 1_000_000)
    allHold &&= figures.holds
    parts[name] = { ...figures, tookS: Math.round((performance.now() - beganMs) / 1000), loadPerMinute: loadavg()[0] }
    // Told at once: what comes after may be broken off.
    console.error(JSON.stringify(parts[name]))
  }
} finally {
  removeFolders()
}
console.log(JSON.stringify(parts, null, 2))
process.exitCode = allHold ? 0 : 1
