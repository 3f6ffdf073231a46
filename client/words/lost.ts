import type { Loss } from '../../shared/live/lost.ts'
import type { Labels } from '../labels.ts'

export const LOST = {
  title: 'If one thing is lost',
  note: 'The order in force otherwise as it is: nobody re-plans. Worst first.',
  table: 'Who pushes without each thing',
  thing: 'without',
  nothing: 'nothing lost',
  onTime: 'push on time',
  lateOrShort: 'late or short',
  lost: 'no contact',
  base: 'no base',
  nobody: 'nobody',
  late: ' late ',
  short: ' short ',
  past: ' past its latest contact '
} as const

/** What is lost, by name. */
export function thingOf(loss: Loss, labels: Labels): string {
  if (loss.baseId !== undefined) return labels.base(loss.baseId)
  const { tankerId = '', stationId } = loss
  return stationId === undefined ? labels.tanker(tankerId) : labels.station(tankerId, stationId)
}

/** What closing a base takes from ships and tracks, a sentence each. */
export function baseSentences(loss: Loss, labels: Labels): string[] {
  return [
    ...loss.abort.map(({ trackId, shipIds }) => {
      const ships = shipIds.length === 0 ? '' : ` for ${labels.ships(shipIds)}`
      return `${labels.track(trackId)} has no abort base: no abort fuel${ships}.`
    }),
    ...loss.recovery.map(({ nextBaseId, shipIds }) =>
      nextBaseId === undefined
        ? `No divert is named for ${labels.ships(shipIds)}.`
        : `${labels.base(nextBaseId)} instead for ${labels.ships(shipIds)}.`
    )
  ]
}
