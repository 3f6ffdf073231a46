import type { Reason, SlotView, View } from '../shared/contracts/view.ts'
import { DISRUPTIONS, lineOf } from './disruption.ts'
import type { Labels } from './labels.ts'

/*
 * What needs attention, made short: reasons of one kind stand in one line that opens, and every line has what deals with
 * it. Dealing records nothing: it chooses the ship, and fills the entry line, moves the draft or opens what is needed.
 */

/** What deals with a reason. */
export type DealName =
  | 'move up'
  | 'better order'
  | 'order list'
  | 'top-off'
  | 'tanker leaves'
  | 'station good'
  | 'ask for fuel'
  | 'flowing'
  | 'select externals'
  | 'not giving'
  | 'leaves'
  | 'choose'

/** The key that does the same for a chosen ship; undefined where only the word does. */
export const DEAL_KEYS: Record<DealName, string | undefined> = {
  'move up': 'Alt ↑',
  'better order': 'F2',
  'order list': 'F4',
  'top-off': `Alt ${DISRUPTIONS['top-off'].letter}`,
  'tanker leaves': `Alt ${DISRUPTIONS.leaves.letter}`,
  'station good': `Alt ${DISRUPTIONS.good.letter}`,
  'ask for fuel': undefined,
  flowing: undefined,
  'select externals': undefined,
  'not giving': undefined,
  leaves: undefined,
  choose: undefined
}

const DEALS: Record<Reason['kind'], DealName> = {
  'short at base': 'leaves',
  'past latest contact': 'better order',
  'near latest contact': 'move up',
  'short at push': 'better order',
  'late push': 'better order',
  'past latest push': 'top-off',
  'top-off missed': 'better order',
  'tanker dry': 'better order',
  'tanker held late': 'tanker leaves',
  'station closed': 'better order',
  'station suspect': 'station good',
  'waits in a circle': 'better order',
  'out of fuel': 'leaves',
  'weak point': 'leaves',
  'not in the order': 'order list',
  'no room': 'choose',
  'no abort base': 'better order',
  'no open base': 'leaves',
  'base not open': 'leaves',
  'feed starved': 'select externals',
  'no fuel flowing': 'flowing',
  'stale call': 'ask for fuel',
  'below limit': 'leaves',
  'below recovery fuel': 'leaves',
  'externals not giving': 'not giving',
  'externals unclear': 'ask for fuel',
  'feed low': 'ask for fuel',
  'hold to release': 'select externals',
  'hand limit overruled': 'choose'
}

/** What would mend it decides where the order tells. */
export function dealOf({ kind, mend }: Pick<Reason, 'kind' | 'mend'>): DealName {
  if (mend?.kind === 'contact earlier') return 'move up'
  if (kind === 'short at push' && (mend?.kind === 'take more' || mend?.kind === 'top off')) return 'top-off'
  // Told by voice at its contact: no key does that.
  if (kind === 'weak point' && mend?.kind === 'take more') return 'choose'
  return DEALS[kind]
}

/** Words of a ship for the entry line, ready for what follows. */
const SHIP_WORDS: Partial<Record<DealName, string>> = {
  'top-off': 'top-off',
  'ask for fuel': '',
  flowing: 'flowing',
  'select externals': 'selected',
  'not giving': 'not giving',
  leaves: 'left '
}

/** What goes into the entry line; undefined where dealing is no matter of words. */
export function dealLine(deal: DealName, reason: Reason, labels: Labels): string | undefined {
  const { shipId, tankerId, stationId } = reason
  if (deal === 'tanker leaves') return tankerId === null ? undefined : lineOf('leaves', labels.tanker(tankerId))
  if (deal === 'station good') {
    return tankerId === null || stationId === undefined
      ? undefined
      : lineOf('good', labels.station(tankerId, stationId))
  }
  const words = SHIP_WORDS[deal]
  return shipId === null || words === undefined ? undefined : `${labels.ship(shipId)} ${words}`.toLowerCase()
}

/** The same trouble keeps its name from one picture to the next. */
export const reasonId = ({ kind, shipId, slotId, tankerId, pushGroupId, stationId, baseId }: Reason): string =>
  [kind, shipId, slotId, tankerId, pushGroupId, stationId, baseId].map((part) => part ?? '').join('|')

/** Reasons that stand in one line: of one, or of one kind. */
export interface AttentionLine {
  id: string
  severity: Reason['severity']
  deal: DealName
  /** Worst first, never empty. */
  reasons: readonly [Reason, ...Reason[]]
}

/** One line for each kind of trouble of ships; what is of a tanker or a push stands alone. In the order of the worst. */
export function attentionLines(reasons: readonly Reason[]): AttentionLine[] {
  const groups = new Map<string, [Reason, ...Reason[]]>()
  for (const reason of reasons) {
    const of = reason.shipId === null || reason.kind === 'tanker dry' ? reasonId(reason) : ''
    const key = `${reason.severity} ${reason.kind} ${of} ${dealOf(reason)}`
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [reason])
    else group.push(reason)
  }
  return [...groups].map(([key, group]) => ({
    id: group.length === 1 ? reasonId(group[0]) : key,
    severity: group[0].severity,
    deal: dealOf(group[0]),
    reasons: group
  }))
}

const flightIdsOf = new WeakMap<View['ships'], ReadonlyMap<string, string>>()

/** Names of the flights that ships belong to, each once. */
export function flightsOf(reasons: readonly Reason[], { ships }: Pick<View, 'ships'>, labels: Labels): string[] {
  // Many lines of one picture ask the same.
  const flightIds = flightIdsOf.get(ships) ?? new Map(ships.map(({ shipId, flightId }) => [shipId, flightId]))
  flightIdsOf.set(ships, flightIds)
  const named = reasons.flatMap(({ shipId }) => flightIds.get(shipId ?? '') ?? [])
  return [...new Set(named)].map((flightId) => labels.flight(flightId))
}

/** Which contact of its tanker a slot is, counted from 1 in the order of contacts. */
export function contactNumberOf(slots: readonly SlotView[]): (slotId: string) => number | undefined {
  return (slotId) => {
    const slot = slots.find((one) => one.slotId === slotId)
    if (slot === undefined) return undefined
    const before = slots.filter(
      (one) =>
        one.tankerId === slot.tankerId &&
        one.state !== 'gone' &&
        one.state !== 'missed' &&
        one.contactAtMs < slot.contactAtMs
    )
    return before.length + 1
  }
}

/** What is gone for so long is new when it comes again, ms of event time. */
const FORGET_MS = 60_000

/** Reasons that were not there before, and since when each was last seen: what flickers is told once. */
export function newReasons(
  known: ReadonlyMap<string, number>,
  reasons: readonly Reason[],
  nowMs: number
): { fresh: Reason[]; known: ReadonlyMap<string, number> } {
  const seen = new Map([...known].filter(([, lastMs]) => nowMs - lastMs < FORGET_MS))
  const fresh = reasons.filter((reason) => !seen.has(reasonId(reason)))
  for (const reason of reasons) seen.set(reasonId(reason), nowMs)
  return { fresh, known: seen }
}

/** The reason after the one taken up last; the worst where none was, or where it was the last. */
export function nextReason(reasons: readonly Reason[], takenId: string | undefined): Reason | undefined {
  const at = takenId === undefined ? -1 : reasons.findIndex((reason) => reasonId(reason) === takenId)
  return reasons[at + 1] ?? reasons[0]
}

/** Lines as they are told when they are new: what has happened before what follows from it, which may be much. */
export const causesFirst = (lines: readonly AttentionLine[]): AttentionLine[] => {
  const rank = ({ reasons: [first] }: AttentionLine) => (first.kind === 'station suspect' ? 0 : 1)
  return lines.toSorted((a, b) => rank(a) - rank(b))
}
