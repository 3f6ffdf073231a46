import type { MassUnit } from '../../shared/contracts/kinds.ts'
import type { Sharing } from '../../shared/order/share.ts'
import { BOARD_STEP, fuelText } from '../figures.ts'
import type { Labels } from '../labels.ts'
import type { Words } from './parts.ts'

export const SHARE = {
  open: 'share it',
  note: 'A proposal: nothing is recorded by it.'
} as const

/** The give shared out: one figure where all get as much, else each that gets less than it needs. */
export function sharedWords(
  { shared }: Sharing,
  shipOf: (slotId: string) => string,
  { labels, unit }: { labels: Labels; unit: MassUnit }
): Words {
  const part = ({ slotId, givenKg }: Sharing['shared'][number]) => ({
    figure: 'share',
    of: slotId,
    text: fuelText(givenKg, unit, 'down')
  })
  const [first] = shared
  const texts = new Set(shared.map((portion) => part(portion).text))
  if (first && shared.length > 1 && texts.size === 1) return ['Shared: each gets ', part(first), '.']
  const less = shared.filter((portion) => portion.givenKg < portion.neededKg - 1e-6)
  const words = less.flatMap((portion, place) => [
    `${place === 0 ? '' : ', '}${labels.ship(shipOf(portion.slotId))} `,
    part(portion)
  ])
  return ['Shared: ', ...words, less.length < shared.length ? ', all others whole.' : '.']
}

/** The order served whole, and who goes home for it. */
export function homeSentence({ home }: Sharing, shipOf: (slotId: string) => string, labels: Labels): string {
  const ships = [...new Set(home.map(shipOf))]
  return `Served in order: ${labels.ships(ships)} ${ships.length === 1 ? 'goes' : 'go'} home.`
}

/** How much more give would make everybody whole. */
export const lackingWords = ({ lackingKg }: Sharing, tankerId: string, unit: MassUnit): Words => [
  { figure: 'give lacking', of: tankerId, text: fuelText(lackingKg, unit, 'up', BOARD_STEP) },
  ' more give would mend it.'
]
