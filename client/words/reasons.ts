import type { MassUnit } from '../../shared/contracts/kinds.ts'
import type { Reason } from '../../shared/contracts/view.ts'
import { clockText, fuelText, spanText } from '../figures.ts'
import type { Labels } from '../labels.ts'

interface Told {
  ship: string
  tanker: string
  push: string
  by: string
  at: string
}

/** What breaks, where, by how much, and what would mend it. */
const SENTENCES: Record<Reason['kind'], (told: Told) => string> = {
  'past latest contact': ({ ship, by }) =>
    `${ship} comes to contact${by} after its latest contact. Move it up, or let it leave for its abort base.`,
  'near latest contact': ({ ship, by }) =>
    `${ship} comes to contact close to its latest contact${by === '' ? '' : `,${by} to spare`}. Move it up while that is easy.`,
  'short at push': ({ ship, by }) => `${ship} is short${by} at its push. Give it more, or push later.`,
  'late push': ({ push, by }) => `${push} is late${by}.`,
  'past latest push': ({ ship, by }) =>
    `${ship} passes its latest push${by} while it waits. It needs a top-off or pushes alone.`,
  'tanker dry': ({ tanker, by, ship }) =>
    `${tanker} runs out${by}${ship === '' ? '' : ` at ${ship}`}. Move a ship to another tanker or cut on-loads.`,
  'tanker held late': ({ tanker, by }) => `${tanker} is held${by} past its planned leaving.`,
  'station closed': ({ ship, tanker }) => `${ship} is ordered to a station of ${tanker} that takes nobody new.`,
  'waits in a circle': ({ ship }) => `${ship} waits for a ship that waits for it. Change the order of one.`,
  'weak point': ({ ship, by, at }) => `${ship} has ${by === '' ? 'no margin' : `too little${by}`} to recover${at}.`,
  'not in the order': ({ ship }) => `${ship} is planned to refuel but stands in no order.`,
  'feed starved': ({ ship, at }) => `${ship} starves its feed tank${at} while other tanks hold fuel.`,
  'no fuel flowing': ({ ship, by }) => `${ship} is in contact${by} and nobody has called fuel flowing. Ask the tanker.`,
  'stale call': ({ ship, by }) => `${ship} has not called its fuel${by}. Ask for it.`,
  'below limit': ({ ship, by }) => `${ship} is below its limit${by}.`,
  'externals not giving': ({ ship }) =>
    `${ship} gets nothing from its external tanks: they count nothing. Plan it without them.`,
  'externals unclear': ({ ship }) => `${ship} may have external fuel or none. Ask for its gauge again.`,
  'feed low': ({ ship }) => `${ship} has its low-level light on.`,
  'hand limit overruled': ({ ship, by }) =>
    `A limit set by hand for ${ship} lies${by.replace(' by', '')} below the computed one, which rules.`
}

/** How long, how near: a span that is not an excess. */
const BY_WORDS: Partial<Record<Reason['kind'], string>> = {
  'stale call': 'for ',
  'no fuel flowing': 'for ',
  'near latest contact': 'with ',
  'past latest contact': ''
}

/** A reason as one sentence. */
export function reasonSentence(reason: Reason, labels: Labels, unit: MassUnit): string {
  const by =
    reason.byKg !== null
      ? ` by ${fuelText(Math.abs(reason.byKg), unit, 'up')}`
      : reason.byS !== null
        ? ` ${BY_WORDS[reason.kind] ?? 'by '}${spanText(Math.abs(reason.byS), 'up')}`
        : ''
  return SENTENCES[reason.kind]({
    ship: reason.shipId === null ? '' : labels.ship(reason.shipId),
    tanker: reason.tankerId === null ? 'Its tanker' : labels.tanker(reason.tankerId),
    push: reason.pushGroupId === null ? 'A push' : labels.pushGroup(reason.pushGroupId),
    by,
    at: reason.atMs === null ? '' : ` at ${clockText(reason.atMs)}`
  })
}

export const SEVERITY_WORDS: Record<Reason['severity'], string> = { now: 'now', soon: 'soon', note: 'note' }
