import type { View } from '../shared/contracts/view.ts'

type Ask = View['asks'][number]

/** Whom to ask now: the one named before for as long as it is worth it, so that names do not change while one is spoken to. */
export function askAfter(before: string | undefined, asks: readonly Ask[]): Ask | undefined {
  const [first] = asks
  return first?.why === 'may be worst' ? (asks.find(({ shipId }) => shipId === before) ?? first) : first
}
