import type { MassUnit } from '../../shared/contracts/kinds.ts'
import type { Reason } from '../../shared/contracts/view.ts'
import { BOARD_STEP, clockText, FINE_STEP, fuelText, spanText, type Side } from '../figures.ts'
import type { Labels } from '../labels.ts'
import type { Words } from './parts.ts'

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
  'top-off missed': ({ ship, by }) =>
    `${ship} comes to its top-off${by} after its latest contact. Move it up, or let it go with what it has.`,
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
  'hold to release': ({ ship }) => `${ship} holds its externals too long. Tell it to select them now.`,
  'hand limit overruled': ({ ship, by }) =>
    `A limit set by hand for ${ship} lies${by} below the computed one, which rules.`
}

/** How long, how near: a span that is not an excess. */
const BY_WORDS: Partial<Record<Reason['kind'], string>> = {
  'stale call': 'for ',
  'no fuel flowing': 'for ',
  'near latest contact': 'with ',
  'past latest contact': '',
  'top-off missed': '',
  'hand limit overruled': ''
}

type Bound = readonly [figure: string, of: 'shipId' | 'slotId' | 'tankerId' | 'pushGroupId']
/** The figures that a reason's excess and its instant are: which, and of what. */
const FIGURES: Partial<Record<Reason['kind'], { readonly by?: Bound; readonly at?: Bound }>> = {
  'past latest contact': { by: ['past', 'slotId'] },
  'near latest contact': { by: ['slack', 'slotId'] },
  'short at push': { by: ['shortage', 'slotId'] },
  'top-off missed': { by: ['past', 'slotId'] },
  'late push': { by: ['push late', 'pushGroupId'] },
  'past latest push': { by: ['shortage', 'slotId'] },
  'tanker dry': { by: ['short', 'tankerId'] },
  'tanker held late': { by: ['held late', 'tankerId'] },
  'weak point': { by: ['too little by', 'shipId'], at: ['too little at', 'shipId'] },
  'feed starved': { at: ['starves at', 'shipId'] },
  'no fuel flowing': { by: ['no flow for', 'shipId'] },
  'stale call': { by: ['stale for', 'shipId'] },
  'below limit': { by: ['below by', 'shipId'] },
  'hand limit overruled': { by: ['overruled by', 'shipId'] }
}

/** What is to spare is rounded down, an excess up. */
const sideOf = (kind: Reason['kind']): Side => (kind === 'near latest contact' ? 'down' : 'up')

/** A reason as one sentence, its figure apart. */
export function reasonWords(reason: Reason, labels: Labels, unit: MassUnit): Words {
  const { kind, byKg, byS } = reason
  // A ledger's figure stands in the steps of the tanker's line.
  const step = kind === 'tanker dry' ? BOARD_STEP : FINE_STEP
  const by =
    byKg !== null
      ? fuelText(Math.abs(byKg), unit, 'up', step)
      : byS !== null
        ? spanText(Math.abs(byS), sideOf(kind))
        : undefined
  const at = reason.atMs === null ? undefined : clockText(reason.atMs)
  const before = BY_WORDS[kind] ?? 'by '
  const sentence = SENTENCES[kind]({
    ship: reason.shipId === null ? '' : labels.ship(reason.shipId),
    tanker: reason.tankerId === null ? 'Its tanker' : labels.tanker(reason.tankerId),
    push: reason.pushGroupId === null ? 'A push' : labels.pushGroup(reason.pushGroupId),
    by: by === undefined ? '' : ` ${before}${by}`,
    at: at === undefined ? '' : ` at ${at}`
  })
  const { by: excess, at: when } = FIGURES[kind] ?? {}
  const bound = (whole: Words, text: string | undefined, [figure, of]: Bound | readonly [] = []): Words =>
    whole.flatMap((part): Words => {
      const place = typeof part !== 'string' || text === undefined ? -1 : part.indexOf(text)
      if (typeof part !== 'string' || text === undefined || figure === undefined || of === undefined || place < 0)
        return [part]
      return [part.slice(0, place), { figure, of: reason[of] ?? '', text }, part.slice(place + text.length)]
    })
  return bound(bound([sentence], by, excess), at, when)
}

export const SEVERITY_WORDS: Record<Reason['severity'], string> = { now: 'now', soon: 'soon', note: 'note' }
