import type { SlotView } from '../../shared/contracts/view.ts'
import { clockText } from '../figures.ts'

type SaidOf = Pick<SlotView, 'notBeforeAtMs' | 'internalsOnly'>

/** What the order says of a slot beside its turn; empty where it says nothing. An instant is never shown too early. */
export const saidWords = ({ notBeforeAtMs, internalsOnly }: SaidOf): string =>
  [
    ...(notBeforeAtMs === null ? [] : [`not before ${clockText(notBeforeAtMs, 'up')}`]),
    ...(internalsOnly ? ['internal fuel only'] : [])
  ].join(', ')

/** What another order says of a slot that the one before does not, and what it no longer says. */
export function saidChange(before: SaidOf | undefined, after: SaidOf): string {
  const { notBeforeAtMs: was = null, internalsOnly: wasInternals = false } = before ?? {}
  const { notBeforeAtMs: becomes, internalsOnly: becomesInternals } = after
  const news = saidWords({
    notBeforeAtMs: becomes === was ? null : becomes,
    internalsOnly: becomesInternals && !wasInternals
  })
  return [
    ...(news === '' ? [] : [news]),
    ...(was !== null && becomes === null ? ['as soon as it can'] : []),
    ...(wasInternals && !becomesInternals ? ['full on-load'] : [])
  ].join(', ')
}
