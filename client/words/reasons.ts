import type { MassUnit } from '../../shared/contracts/kinds.ts'
import type { Reason } from '../../shared/contracts/view.ts'
import { BOARD_STEP, clockText, FINE_STEP, fuelText, spanText, type Side } from '../figures.ts'
import type { Labels } from '../labels.ts'
import { ABORT_WHY } from './abort.ts'
import type { Words } from './parts.ts'

interface Told {
  ship: string
  tanker: string
  station: string
  base: string
  push: string
  /** Why there is no abort base. */
  why: Reason['why']
  by: string
  at: string
  /** What a ship that runs out would have come to next. */
  before: NonNullable<Reason['before']>
  /** Which contact of its tanker it is, from 1; undefined where nobody counts. */
  contact: number | undefined
  /** It has not come about yet. */
  ahead: boolean
  /** The excess is of time, not of fuel. */
  inTime: boolean
}

const BEFORE: Record<NonNullable<Reason['before']>, string> = {
  contact: 'its contact',
  push: 'its push',
  landing: 'it lands'
}

/** What breaks, where, by how much. */
const SENTENCES: Record<Reason['kind'], (told: Told) => string> = {
  'short at base': ({ ship, by, base }) =>
    `${ship} comes to ${base} with${by} less than its reserve, on the safe side. Send it to a nearer base.`,
  'past latest contact': ({ ship, by }) => `${ship} comes to contact${by} after its latest contact.`,
  'near latest contact': ({ ship, by }) =>
    `${ship} comes to contact close to its latest contact${by === '' ? '' : `,${by} to spare`}. Move it up while that is easy.`,
  'short at push': ({ ship, by }) => `${ship} will be short${by} at its push.`,
  'late push': ({ push, by, ahead }) => `${push === '' ? 'A push' : push} ${ahead ? 'will be' : 'is'} late${by}.`,
  'past latest push': ({ ship, by, ahead, inTime }) =>
    inTime
      ? `${ship} waits${by} past its latest push.`
      : `${ship} will lack${by} at its push: it ${ahead ? 'will wait' : 'waits'} past its latest push.`,
  'top-off missed': ({ ship, by }) => `${ship} comes to its top-off${by} after its latest contact.`,
  'tanker dry': ({ tanker, by, ship, contact }) =>
    `${tanker} runs out${by}${ship === '' ? '' : ` at ${contact === undefined ? '' : `contact ${contact}, `}${ship}`}.`,
  'tanker held late': ({ tanker, by, ahead }) =>
    `${tanker} ${ahead ? 'will be' : 'is'} held${by} past its planned leaving.`,
  'station closed': ({ ship, tanker }) => `${ship} is ordered to a station of ${tanker} that takes nobody then.`,
  'station suspect': ({ station }) => `${station} is suspect: it takes nobody new until the tanker calls it good.`,
  'waits in a circle': ({ ship }) => `${ship} waits for a ship that waits for it.`,
  'out of fuel': ({ ship, at, before }) =>
    `${ship} runs out of fuel${at} on its planned way, before ${BEFORE[before]}. Give it more before that, or send it home while it can recover.`,
  'weak point': ({ ship, by, at, ahead }) =>
    `${ship} ${ahead ? 'will be' : 'is'}${by} below recovery fuel${at} on its planned way.`,
  'no abort base': ({ ship, base, why }) =>
    `${ship} has no abort base: ${base} ${ABORT_WHY[why ?? 'closed']}. Move it to another tanker, or send it home while it can recover.`,
  'no open base': ({ ship, base }) =>
    `${ship} has no open base left to recover to: ${base} is closed. Name one within its reach.`,
  'base not open': ({ ship, base, at }) =>
    `${ship} comes to ${base}${at}, when it is not open. Push earlier, or name a base that is open then.`,
  'not in the order': ({ ship, push }) =>
    `${ship} is planned to refuel${push === '' ? '' : ` before ${push}`} but stands in no order.`,
  'no room': ({ ship }) => `${ship} is to take more than its tanks have room for: it takes what there is room for.`,
  'feed starved': ({ ship, at }) => `${ship} starves its feed tank${at} while other tanks hold fuel.`,
  'no fuel flowing': ({ ship, by }) => `${ship} is in contact${by} and nobody has called fuel flowing. Ask the tanker.`,
  'stale call': ({ ship, by }) => `${ship} has not called its fuel${by}. Ask for it.`,
  'below limit': ({ ship, by }) => `${ship} is below its limit${by}.`,
  'below recovery fuel': ({ ship, by }) =>
    `${ship} is below recovery fuel from where it is${by}, on the safe side. Send it to the nearest open base now.`,
  'externals not giving': ({ ship }) =>
    `${ship} gets nothing from its external tanks: they count nothing. Plan it without them.`,
  'externals unclear': ({ ship }) => `${ship} may have external fuel or none. Ask for its gauge again.`,
  'feed low': ({ ship }) => `${ship} has its low-level light on.`,
  'hold to release': ({ ship }) => `${ship} holds its externals too long. Tell it to select them now.`,
  'hand limit overruled': ({ ship, by }) =>
    `A limit set by hand for ${ship} lies${by} below the computed one, which rules.`
}

type MendKind = NonNullable<Reason['mend']>['kind']

/** What would mend it: by how much, where that is not the figure of the sentence before. */
const MENDS: Record<MendKind, (told: { by: string; else: string }) => string> = {
  'contact earlier': (told) => `Move it up, or let it ${told.else}.`,
  'another station': (told) =>
    `No turn at this station is early enough: give it another station, or let it ${told.else}.`,
  'another turn': () => 'Change the order of one.',
  'put in order': () => 'Give it a turn.',
  'open station': () => 'Give it another station, or wait until the tanker calls this one good.',
  'close later': ({ by }) => `Give it an earlier turn, or keep the station open${by} longer.`,
  'take more': (told) => `Let it take${told.by} more, or ${told.else}.`,
  'top off': ({ by }) => `It needs a top-off${by === '' ? '' : ` of${by}`}, or pushes alone.`,
  'more give': ({ by }) =>
    `Move a ship to another tanker or cut on-loads${by === '' ? '' : `: it takes${by} more to give`}.`,
  'leave later': () => 'Plan its leaving later, or move its last ship up.',
  'push later': () => 'Serve its last ship earlier, or plan it later.',
  'no order': () =>
    'No order can help: full tanks hold too little for it. Ask less of it, or let it refuel again on its way.'
}

/** How long, how near: a span that is not an excess. */
const BY_WORDS: Partial<Record<Reason['kind'], string>> = {
  'short at base': '',
  'weak point': '',
  'stale call': 'for ',
  'no fuel flowing': 'for ',
  'near latest contact': 'with ',
  'past latest contact': '',
  'past latest push': '',
  'top-off missed': '',
  'hand limit overruled': ''
}

/** Since when it is so: an excess of time has grown from there. */
const beganMs = ({ kind, atMs, byS }: Reason): number =>
  (atMs ?? -Infinity) - (kind === 'late push' || kind === 'tanker held late' ? (byS ?? 0) * 1000 : 0)

/** Whether a reason is of what is still to come; where nobody says what time it is, everything that has its time is. */
const isAhead = (reason: Reason, nowMs: number): boolean => beganMs(reason) > nowMs

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
  'out of fuel': { at: ['runs out at', 'shipId'] },
  'weak point': { by: ['too little by', 'shipId'], at: ['too little at', 'shipId'] },
  'feed starved': { at: ['starves at', 'shipId'] },
  'no fuel flowing': { by: ['no flow for', 'shipId'] },
  'stale call': { by: ['stale for', 'shipId'] },
  'below limit': { by: ['below by', 'shipId'] },
  'below recovery fuel': { by: ['below recovery by', 'shipId'] },
  'hand limit overruled': { by: ['overruled by', 'shipId'] }
}

/** What is to spare is rounded down, an excess up. */
const sideOf = (kind: Reason['kind']): Side => (kind === 'near latest contact' ? 'down' : 'up')

/** What would mend it, behind the sentence that says it; its figure only where that one has another. */
function mendWords({ kind, mend }: Reason, said: string | undefined, unit: MassUnit): string {
  if (mend === null) return UNMENDED[kind] ?? ''
  const step = kind === 'tanker dry' ? BOARD_STEP : FINE_STEP
  const by =
    mend.byKg !== null ? fuelText(mend.byKg, unit, 'up', step) : mend.byS !== null ? spanText(mend.byS, 'up') : said
  const told = {
    by: by === said || by === undefined ? '' : ` ${by}`,
    else: ELSE_WORDS[kind] ?? 'leave for its abort base'
  }
  return ` ${MENDS[mend.kind](told)}`
}

/** What to do where no order tells what would mend it. */
const UNMENDED: Partial<Record<Reason['kind'], string>> = {
  'past latest push': ' It needs a top-off, or pushes alone.',
  'weak point': ' Send it home while it can recover.'
}

/** What is done when it is not mended. */
const ELSE_WORDS: Partial<Record<Reason['kind'], string>> = {
  'top-off missed': 'go with what it has',
  'short at push': 'push later with a top-off',
  'past latest push': 'push later with a top-off',
  'weak point': 'send it home while it can recover'
}

/**
 * A reason with what would mend it, its figure apart. `contactNumber` counts the contacts of a tanker; what lies after
 * `nowMs` is told as still to come, left out everything is.
 */
export function reasonWords(
  reason: Reason,
  labels: Labels,
  unit: MassUnit,
  { contactNumber, nowMs = -Infinity }: { contactNumber?: (slotId: string) => number | undefined; nowMs?: number } = {}
): Words {
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
    station:
      reason.tankerId === null || reason.stationId === undefined
        ? 'A station'
        : labels.station(reason.tankerId, reason.stationId),
    base: reason.baseId === undefined ? 'its base' : labels.base(reason.baseId),
    contact: reason.slotId === null ? undefined : contactNumber?.(reason.slotId),
    push: reason.pushGroupId === null ? '' : labels.pushGroup(reason.pushGroupId),
    why: reason.why,
    before: reason.before ?? 'landing',
    ahead: isAhead(reason, nowMs),
    inTime: byKg === null,
    by: by === undefined ? '' : ` ${before}${by}`,
    at: at === undefined ? '' : ` at ${at}`
  })
  const told = `${sentence}${mendWords(reason, by, unit)}`
  // A shortage is fuel: how long it waits already has no working of its own.
  const { by: excess, at: when } = kind === 'past latest push' && byKg === null ? {} : (FIGURES[kind] ?? {})
  const bound = (whole: Words, text: string | undefined, [figure, of]: Bound | readonly [] = []): Words =>
    whole.flatMap((part): Words => {
      const place = typeof part !== 'string' || text === undefined ? -1 : part.indexOf(text)
      if (typeof part !== 'string' || text === undefined || figure === undefined || of === undefined || place < 0)
        return [part]
      return [part.slice(0, place), { figure, of: reason[of] ?? '', text }, part.slice(place + text.length)]
    })
  return bound(bound([told], by, excess), at, when)
}

export const SEVERITY_WORDS: Record<Reason['severity'], string> = { now: 'now', soon: 'soon', note: 'note' }

/** The sentence whole, to be said. */
export const saidReason = (words: Words): string =>
  words.map((part) => (typeof part === 'string' ? part : part.text)).join('')

/** What several ships have in common, behind who they are. */
const TOGETHER: Partial<Record<Reason['kind'], readonly [one: string, more: string]>> = {
  'short at base': ['comes to its base with less than its reserve', 'come to their base with less than their reserve'],
  'past latest contact': ['comes to contact after its latest contact', 'come to contact after their latest contact'],
  'near latest contact': [
    'comes to contact close to its latest contact',
    'come to contact close to their latest contact'
  ],
  'short at push': ['will be short at its push', 'will be short at their push'],
  'past latest push': ['waits past its latest push', 'wait past their latest push'],
  'top-off missed': [
    'comes to its top-off after its latest contact',
    'come to their top-off after their latest contact'
  ],
  'station closed': [
    'is ordered to a station that takes nobody then',
    'are ordered to a station that takes nobody then'
  ],
  'waits in a circle': ['waits for a ship that waits for it', 'wait for a ship that waits for them'],
  'out of fuel': ['runs out of fuel on its planned way', 'run out of fuel on their planned way'],
  'weak point': ['comes below recovery fuel on its planned way', 'come below recovery fuel on their planned way'],
  'no abort base': ['has no abort base', 'have no abort base'],
  'no open base': ['has no open base left to recover to', 'have no open base left to recover to'],
  'base not open': ['comes to its base when it is not open', 'come to their base when it is not open'],
  'not in the order': ['is planned to refuel but stands in no order', 'are planned to refuel but stand in no order'],
  'no room': ['is to take more than its tanks have room for', 'are to take more than their tanks have room for'],
  'feed starved': ['starves its feed tank', 'starve their feed tank'],
  'no fuel flowing': [
    'is in contact and nobody has called fuel flowing',
    'are in contact and nobody has called fuel flowing'
  ],
  'stale call': ['has not called its fuel', 'have not called their fuel'],
  'below limit': ['is below its limit', 'are below their limit'],
  'below recovery fuel': ['is below recovery fuel', 'are below recovery fuel'],
  'externals not giving': ['gets nothing from its external tanks', 'get nothing from their external tanks'],
  'externals unclear': ['may have external fuel or none', 'may have external fuel or none'],
  'feed low': ['has its low-level light on', 'have their low-level light on'],
  'hold to release': ['holds its externals too long', 'hold their externals too long'],
  'hand limit overruled': [
    'has a limit set by hand below the computed one',
    'have a limit set by hand below the computed one'
  ]
}

/** The same while it is still to come. */
const TOGETHER_AHEAD: typeof TOGETHER = {
  'past latest push': ['will wait past its latest push', 'will wait past their latest push'],
  'weak point': ['will be below recovery fuel on its planned way', 'will be below recovery fuel on their planned way']
}

/** One line for several ships of one kind: `3 ships of Alder come to contact after their latest contact, by up to 02:10.` */
export function groupWords(
  group: readonly Reason[],
  flights: readonly string[],
  unit: MassUnit,
  nowMs = -Infinity
): string {
  const [first] = group
  const kind = first?.kind ?? 'stale call'
  const ships = new Set(group.map(({ shipId }) => shipId)).size
  const of = flights.length > 3 ? `${flights.length} flights` : flights.join(' and ')
  const most = (values: readonly (number | null)[]) => Math.max(...values.map((value) => Math.abs(value ?? 0)))
  const byKg = most(group.map((reason) => reason.byKg))
  const byS = most(group.map((reason) => reason.byS))
  const up = byKg > 0 ? fuelText(byKg, unit, 'up') : byS > 0 ? spanText(byS, 'up') : ''
  const least = kind === 'near latest contact'
  const by = up === '' || least ? '' : `, ${BY_WORDS[kind] === 'for ' ? 'for' : 'by'} up to ${up}`
  const ahead = group.every((reason) => isAhead(reason, nowMs)) ? TOGETHER_AHEAD[kind] : undefined
  const [one, more] = ahead ?? TOGETHER[kind] ?? [kind, kind]
  return ships === 1 ? `1 ship of ${of} ${one}${by}.` : `${ships} ships of ${of} ${more}${by}.`
}
