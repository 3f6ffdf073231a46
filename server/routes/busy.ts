import { Problem } from '../problem.ts'
import { TooBusy, type Computed } from '../work/computer.ts'

const BUSY_S = 5

/**
 * What the computing thread made of a text, as JSON.
 * @throws Problem what is wrong with the text, or `busy`
 */
export async function unlessBusy(computing: Promise<Computed>): Promise<string> {
  const computed = await computing.catch((error: unknown) => {
    throw error instanceof TooBusy ? new Problem('busy', {}, BUSY_S) : error
  })
  if ('json' in computed) return computed.json
  throw new Problem(computed.code, computed.details)
}
