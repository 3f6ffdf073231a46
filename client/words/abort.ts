import type { AbortWhy } from '../../shared/contracts/kinds.ts'
import type { SlotView } from '../../shared/contracts/view.ts'
import type { Labels } from '../labels.ts'

/** What is against a base. */
export const ABORT_WHY: Record<AbortWhy, string> = {
  closed: 'is closed',
  'not fit': 'is not fit for its type',
  'not open': 'is not open then',
  'out of reach': 'is out of reach'
}

/** The base that abort fuel counts to, and why it is not the first one: `Cresset, as the first abort base is closed`. */
export function abortBaseWords(
  { abortBaseId, abortWhy }: Pick<SlotView, 'abortBaseId' | 'abortWhy'>,
  labels: Labels
): string {
  const why = abortWhy === null ? undefined : `the first abort base ${ABORT_WHY[abortWhy]}`
  if (abortBaseId === null) return ['no abort base', why].filter(Boolean).join(': ')
  return why === undefined ? labels.base(abortBaseId) : `${labels.base(abortBaseId)}, as ${why}`
}

/** The same with both bases named, below a working. */
export const abortRule = (why: AbortWhy, base: string, firstBase: string): string =>
  `To ${base}, the second abort base: ${firstBase} ${ABORT_WHY[why]}.`
