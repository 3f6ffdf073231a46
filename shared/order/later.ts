import { counts, judgementOf } from './answer.ts'
import { onPiece, pieceAt, type ServiceCurve } from './curves.ts'
import { compareJudgements } from './judgement.ts'
import { settle } from './settle.ts'
import {
  changeoverMs,
  curveOf,
  readyOf,
  served,
  timetableOf,
  type SlotRow,
  type StationRow,
  type Timetable
} from './timetable.ts'
import { judge, type Judged, type OrderIn } from './times.ts'

/*
 * As early as possible is right for latest contacts, pushes and the last disconnect. It is not right for fuel at the
 * push: who is early burns longer before it. So here slots come later, in the room the order leaves them.
 */

export interface Later {
  /** Slots that are not to start before an instant, event time ms, beside those of the input. */
  readonly notBeforeMs: ReadonlyMap<string, number>
  /** The order with them. */
  readonly judged: Judged
  /** Weighted, in steps of 5 kg, as in the judgement. */
  readonly shortageBefore: number
  readonly shortageAfter: number
}

/** Below any step of the judgement, above the noise of sums. */
const NOISE_MS = 1e-3
const SAME_MS = 1e-6
const SAME_KG = 1e-9
/** Each goes once over all stations: one that came later may leave room for what another left to its second visits. */
const MOST_ROUNDS = 3

/**
 * The instants before which slots are not to start so that least is lacking at the pushes, and the order judged with
 * them: never worse than without.
 *
 * The slots of a station slide in the room behind each: to the next one's start less changeover, its latest contact less
 * `slackMs`, its station's closing, its group's push less reform, its own top-off, the next start at a station that
 * excludes its own. No push comes later for it. Who is flown or in contact stays; so does whose contact the give or the
 * window ends. For one station the weighted shortage is the least there is in that room, exact on the service curves. What
 * that leads to elsewhere (give, second visits) is judged: a station that makes the order no better slides slot by slot, or
 * not at all.
 * @throws RangeError as `judge`.
 * Checked: tests/shared/order/later.test.ts, against all instants on a grid (constructed).
 */
export function later<State>(input: OrderIn<State>, keep: { readonly slackMs: number } = { slackMs: 0 }): Later {
  const table = timetableOf(input)
  settle(table, table.ordered)
  const before = judgementOf(table, table.ordered)
  let best = before
  const set = new Map<SlotRow<State>, number>()
  const better = (shifts: readonly Shift<State>[]): boolean => {
    const were = shifts.map(({ row }) => row.notBeforeMs)
    for (const { row, startAtMs } of shifts) row.notBeforeMs = startAtMs
    settle(table, table.ordered)
    const judgement = judgementOf(table, table.ordered)
    if (compareJudgements(judgement, best) < 0) {
      best = judgement
      for (const { row, startAtMs } of shifts) set.set(row, startAtMs)
      return true
    }
    shifts.forEach(({ row }, i) => (row.notBeforeMs = were[i] ?? -Infinity))
    settle(table, table.ordered)
    return false
  }
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const start = best
    for (const station of table.stations) {
      if (best.shortage === 0) break
      const shifts = shiftsOf(table, station, keep.slackMs)
      if (shifts.length === 0 || better(shifts) || shifts.length === 1) continue
      for (const shift of shifts.toReversed()) better([shift])
    }
    if (best === start) break
  }
  const notBeforeMs = new Map([...set].map(([row, startAtMs]) => [row.slot.id, startAtMs]))
  const slots = input.slots.map((slot) => {
    const startAtMs = notBeforeMs.get(slot.id)
    return startAtMs === undefined ? slot : { ...slot, notBeforeMs: startAtMs }
  })
  const judged = judge({ ...input, slots })
  return { notBeforeMs, judged, shortageBefore: before.shortage, shortageAfter: judged.judgement.shortage }
}

interface Shift<State> {
  readonly row: SlotRow<State>
  readonly startAtMs: number
}

/** A slot in the room it has. */
interface Slide<State> {
  readonly row: SlotRow<State>
  readonly curve: ServiceCurve
  readonly fromMs: number
  readonly toMs: number
  /** From a disconnect to the next one's contact, ms. */
  readonly toNextMs: number
  /** What it lacks at its push weighs so much; 0 where it is topped off. */
  readonly weight: number
  /** Contact instants that may be best: where something bends, or a neighbour is met that stands where something bends. */
  readonly contactsAtMs: number[]
}

/** The slots of a station that come later, each no later than it gains by. */
function shiftsOf<State>(table: Timetable<State>, at: StationRow, slackMs: number): Shift<State>[] {
  const rows = (table.ordered[at.index] ?? []).filter((row) => row.state === 'planned' && row.station === at)
  const slides = rows.map((row, i) => slideOf(table, row, { at, next: rows[i + 1], slackMs }))
  if (!slides.some((slide) => slide.toMs > slide.fromMs && slide.weight > 0 && lackKg(slide, slide.fromMs) > 0))
    return []
  meetNeighbours(slides)
  const shifts: Shift<State>[] = []
  let earliestMs = -Infinity
  for (const [i, contactAtMs] of bestContacts(slides).entries()) {
    const slide = slides[i]
    if (slide === undefined) break
    // Whoever is only pushed on by the one before needs no instant of its own.
    if (contactAtMs > Math.max(slide.fromMs, earliestMs) + NOISE_MS)
      shifts.push({ row: slide.row, startAtMs: contactAtMs - at.station.hookUpMs })
    earliestMs = disconnectAtMs(slide, contactAtMs) + slide.toNextMs
  }
  return shifts
}

function slideOf<State>(
  table: Timetable<State>,
  row: SlotRow<State>,
  {
    at,
    next,
    slackMs
  }: { readonly at: StationRow; readonly next: SlotRow<State> | undefined; readonly slackMs: number }
): Slide<State> {
  const { station } = at
  const curve = curveOf(row, at, readyOf(row, at))
  const fromMs = row.contactAtMs
  const toNextMs = (next === undefined ? 0 : changeoverMs(station, row.slot, next.slot)) + station.hookUpMs
  const { group, pushAtMs } = row.group
  const stays =
    row.slot.pinned ||
    row.endedByGive ||
    group.pushedAtMs !== undefined ||
    row.disconnectAtMs >= station.closesAtMs ||
    pieceAt(curve, fromMs) < 0
  let overByMs = Math.min(station.closesAtMs, pushAtMs - group.reformMs)
  for (const one of row.next) if (one.topOff && served(one)) overByMs = Math.min(overByMs, one.startAtMs)
  for (const other of at.excluded)
    overByMs = Math.min(overByMs, nextStart(table, other, row) - (other.station.methodChangeMs ?? 0))
  const lastMs = Math.min(row.latestContactAtMs - slackMs - NOISE_MS, curve.contactAtMs.at(-1) ?? fromMs)
  const slide = {
    row,
    curve,
    fromMs,
    toMs: fromMs,
    toNextMs,
    weight: counts(row) ? row.slot.weight : 0,
    contactsAtMs: []
  }
  const toMs = stays ? fromMs : Math.max(fromMs, latestOver(slide, Math.max(fromMs, lastMs), overByMs - NOISE_MS))
  const room = { ...slide, toMs }
  return { ...room, contactsAtMs: bends(room) }
}

/** When the next contact after a slot's start begins at a station that excludes its own; Infinity: none does. */
function nextStart<State>(table: Timetable<State>, other: StationRow, row: SlotRow<State>): number {
  let firstMs = Infinity
  for (const one of table.rows) {
    if (one.station !== other || !served(one) || one.startAtMs < row.startAtMs) continue
    firstMs = Math.min(firstMs, one.startAtMs)
  }
  return firstMs
}

const valueAt = (slide: Slide<unknown>, of: readonly number[], contactAtMs: number): number =>
  onPiece(slide.curve, of, pieceAt(slide.curve, contactAtMs), contactAtMs)

const disconnectAtMs = (slide: Slide<unknown>, contactAtMs: number): number =>
  contactAtMs === slide.fromMs ? slide.row.disconnectAtMs : valueAt(slide, slide.curve.disconnectAtMs, contactAtMs)

/** What it lacks at its push when it comes at an instant, kg; below 0 where it has more than it needs. */
function lackKg(slide: Slide<unknown>, contactAtMs: number): number {
  const { row, curve, fromMs } = slide
  const heldKg = contactAtMs === fromMs ? row.fuelAtDisconnectKg : valueAt(slide, curve.fuelAtDisconnectKg, contactAtMs)
  const waitMs = row.group.pushAtMs - disconnectAtMs(slide, contactAtMs)
  return row.slot.requiredAtPushKg - heldKg + (row.slot.waitBurnKgPerS * waitMs) / 1000
}

/** The latest contact up to `lastMs` that is over by an instant: a later contact never ends earlier. */
function latestOver(slide: Slide<unknown>, lastMs: number, overByMs: number): number {
  if (lastMs <= slide.fromMs || valueAt(slide, slide.curve.disconnectAtMs, lastMs) <= overByMs) return lastMs
  return (
    meetings(slide, overByMs)
      .filter((ms) => ms <= lastMs)
      .at(-1) ?? latestBend(slide, lastMs, overByMs)
  )
}

/** Where the curve jumps over the instant: the last breakpoint before the jump. */
function latestBend(slide: Slide<unknown>, lastMs: number, overByMs: number): number {
  const before = breakpoints(slide, slide.fromMs, lastMs).filter((ms) => disconnectAtMs(slide, ms) <= overByMs)
  return before.at(-1) ?? slide.fromMs
}

/** Contacts that are over at an instant, ascending. */
function meetings({ curve }: Slide<unknown>, overAtMs: number): number[] {
  const found: number[] = []
  const { contactAtMs: xs, disconnectAtMs: ends } = curve
  for (let i = 0; i + 1 < xs.length; i++) {
    const [from, to] = [ends[i] ?? NaN, ends[i + 1] ?? NaN]
    const [x, next] = [xs[i] ?? NaN, xs[i + 1] ?? NaN]
    if (!(from <= overAtMs && overAtMs <= to) || next <= x) continue
    found.push(to === from ? next : x + ((next - x) * (overAtMs - from)) / (to - from))
  }
  return found
}

/** Breakpoints of the curve between two instants, with the instant before each jump. */
function breakpoints({ curve }: Slide<unknown>, fromMs: number, toMs: number): number[] {
  const xs = curve.contactAtMs
  const inside = xs.flatMap((ms, i) => (ms === xs[i - 1] ? [ms - NOISE_MS, ms] : [ms]))
  return [...new Set(inside)].filter((ms) => ms > fromMs && ms < toMs).sort((a, b) => a - b)
}

/** The ends of a slot's room, the breakpoints in it, and where it begins or ceases to lack something. */
function bends(slide: Slide<unknown>): number[] {
  const { fromMs, toMs } = slide
  if (toMs <= fromMs) return [fromMs]
  const ends = [fromMs, ...breakpoints(slide, fromMs, toMs), toMs]
  const crossings = ends.flatMap((ms, i) => {
    const next = ends[i + 1]
    if (next === undefined) return []
    const [lack, then] = [lackKg(slide, ms), lackKg(slide, next)]
    return lack * then < 0 ? [ms + ((next - ms) * lack) / (lack - then)] : []
  })
  return [...ends, ...crossings]
}

/**
 * Adds to each slot's instants those at which it meets a neighbour that stands at one of its own: in the best way to
 * stand each slot is where something bends for it, or hangs on one that is, through others or not.
 */
function meetNeighbours(slides: readonly Slide<unknown>[]): void {
  const own = slides.map((slide) => slide.contactsAtMs.slice())
  let behind: readonly number[] = []
  for (let i = slides.length - 1; i >= 0; i--) {
    const slide = slides[i]
    if (slide === undefined) break
    const met = behind.flatMap((ms) => meetings(slide, ms - slide.toNextMs)).filter((ms) => inRoom(slide, ms))
    slide.contactsAtMs.push(...met)
    behind = [...(own[i] ?? []), ...met]
  }
  let ahead: readonly number[] = []
  for (const [i, slide] of slides.entries()) {
    const met = ahead.filter((ms) => inRoom(slide, ms))
    slide.contactsAtMs.push(...met)
    slide.contactsAtMs.sort((a, b) => a - b)
    ahead = [...(own[i] ?? []), ...met].map((ms) => disconnectAtMs(slide, ms) + slide.toNextMs)
  }
}

const inRoom = ({ fromMs, toMs }: Slide<unknown>, ms: number): boolean => ms >= fromMs && ms <= toMs

/** The contacts of the least weighted lack in sum, of equals the earliest; from the back, each with the best behind it. */
function bestContacts(slides: readonly Slide<unknown>[]): number[] {
  /** By slot, by its instant: the least from there on when it comes no earlier, and with which of its instants. */
  const least: { kg: number; of: number }[][] = []
  for (let i = slides.length - 1; i >= 0; i--) {
    const slide = slides[i]
    if (slide === undefined) break
    const behind = least[i + 1]
    const here: { kg: number; of: number }[] = []
    for (let k = slide.contactsAtMs.length - 1; k >= 0; k--) {
      const contactAtMs = slide.contactsAtMs[k] ?? NaN
      const restKg = behind === undefined ? 0 : (behind[firstAfter(slides[i + 1], slide, contactAtMs)]?.kg ?? Infinity)
      const kg = slide.weight * Math.max(0, lackKg(slide, contactAtMs)) + restKg
      const behindIt = here[k + 1]
      here[k] = behindIt !== undefined && behindIt.kg < kg - SAME_KG ? behindIt : { kg, of: k }
    }
    least[i] = here
  }
  const contacts: number[] = []
  let from = 0
  for (const [i, slide] of slides.entries()) {
    const contactAtMs = slide.contactsAtMs[least[i]?.[from]?.of ?? 0] ?? slide.fromMs
    contacts.push(contactAtMs)
    from = firstAfter(slides[i + 1], slide, contactAtMs)
  }
  return contacts
}

/** Which of the next slot's instants is the first it may have behind a contact. */
function firstAfter(next: Slide<unknown> | undefined, slide: Slide<unknown>, contactAtMs: number): number {
  const earliestMs = disconnectAtMs(slide, contactAtMs) + slide.toNextMs - SAME_MS
  const found = next?.contactsAtMs.findIndex((ms) => ms >= earliestMs) ?? 0
  return found < 0 ? (next?.contactsAtMs.length ?? 0) : found
}
