import type { Reason } from '../contracts/view.ts'
import type { Service, ServiceCurve } from './curves.ts'
import type { Judgement } from './judgement.ts'
import { judgementOf, ledgerOf, pushesOf, slotsOf } from './answer.ts'
import type { TankerLedger } from './ledger.ts'
import { reasonsOf } from './reasons.ts'
import { settle } from './settle.ts'
import { timetableOf } from './timetable.ts'

/*
 * Curves in, slots out: who is where when, for given sequences. All instants are event time in ms, masses kg.
 */

/** Who is on a station, as a changeover sees it. */
export interface OnStation {
  /** Of the slot. */
  readonly id?: string | undefined
  readonly flightId: string
}

export interface StationIn {
  /** 'tanker/station' */
  readonly id: string
  readonly tankerId: string
  readonly opensAtMs: number
  /** A contact must begin before it; `serve` ends a contact at it. */
  readonly closesAtMs: number
  readonly hookUpMs: number
  readonly changeoverWithinFlightMs: number
  readonly changeoverBetweenMs: number
  /**
   * Instead of the two: from the disconnect of who was on the station last until `to` may start there, ms, at least 0.
   * `from` is undefined where nobody was, and without an id where only the flight is known.
   */
  readonly changeoverMs?: ((from: OnStation | undefined, to: OnStation) => number) | undefined
  /** False: nobody new, only what is in contact. */
  readonly takesNew: boolean
  /** The last disconnect known at the start of judging, and whose: the changeover counts from there. */
  readonly freeAtMs: number
  /** Undefined: nobody was here yet, no changeover. */
  readonly lastFlightId: string | undefined
  /** Stations that have nobody in contact while this one has, by id; each names the other. */
  readonly excludes?: readonly string[] | undefined
  /** From the last disconnect at a station it excludes until its own next slot may start; left out, none. */
  readonly methodChangeMs?: number | undefined
}

export interface Ready<State> {
  readonly atMs: number
  readonly state: State
}

/** What a ship's earlier slot left behind. */
export interface Before<State> {
  readonly disconnectAtMs: number
  /** Undefined: it has not pushed since, the contact to come tops off the same visit. */
  readonly pushAtMs: number | undefined
  readonly state: State
}

export type ContactEnd = 'target' | 'full' | 'window' | 'give' | 'called'

export interface Served<State> extends Service {
  readonly state: State
  readonly endedBy: ContactEnd
  /** What the rule asks for. */
  readonly neededKg: number
}

/** A slot already flown or in contact. */
export interface FixedSlot<State> {
  readonly contactAtMs: number
  readonly disconnectAtMs: number
  readonly onLoadKg: number
  readonly fuelAtContactKg: number
  readonly fuelAtDisconnectKg: number
  readonly latestContactAtMs: number | undefined
  readonly done: boolean
  /** Where it was flown; left out, the station whose sequence has it. */
  readonly stationId?: string
  /** What it holds since by a later call, usable fuel; left out, its fuel at disconnect. */
  readonly since?: { readonly atMs: number; readonly usableKg: number } | undefined
  /** The ship after it, for its next visit; left out, `serve` is asked for it with the on-load as its limit. */
  readonly state?: State
}

export interface SlotIn<State> {
  readonly id: string
  readonly shipId: string
  readonly flightId: string
  readonly visitId: string
  readonly pushGroupId: string
  /** 16, 8, 4, 2, 1 by priority. */
  readonly weight: number
  readonly pinned: boolean
  readonly serveAnyway: boolean
  /**
   * The same ship's slot that must be over before, its push group pushed. Of the same push group: a top-off, it waits
   * for the disconnect only.
   */
  readonly afterSlotId: string | undefined
  readonly fixed: FixedSlot<State> | undefined
  /** Ship left, landed, no-show: takes no station time. */
  readonly gone: boolean
  readonly requiredAtPushKg: number
  /** It does not start earlier, whatever is free. */
  readonly notBeforeMs?: number | undefined
  /** Burn while waiting and between disconnect and push. */
  readonly waitBurnKgPerS: number
  /**
   * Ready instant and state at a station: another tanker than the visit's own costs the way there. No station: at the
   * visit's own.
   */
  ready(before: Before<State> | undefined, station: StationIn | undefined): Ready<State>
  curve(station: StationIn, ready: Ready<State>): ServiceCurve
  /** Exact service at one instant, ended by the station's closing and by an on-load limit; the state after it. */
  serve(station: StationIn, ready: Ready<State>, contactAtMs: number, giveKg?: number): Served<State>
}

export interface PushGroupIn {
  readonly id: string
  readonly plannedAtMs: number
  readonly reformMs: number
  /** When the group has pushed, its push stands. */
  readonly pushedAtMs?: number | undefined
  /** Now, for a group that has not pushed: it cannot have pushed before. */
  readonly notBeforeMs?: number | undefined
}

export interface TankerIn {
  readonly id: string
  /** What it can give to slots not done yet (those in contact counted whole) if it leaves at the instant. */
  giveKg(leavesAtMs: number): number
  /** Planned. */
  readonly leavesAtMs: number
}

/** Slot ids in turn, by station id. */
export type Sequences = ReadonlyMap<string, readonly string[]>

export interface OrderIn<State> {
  readonly slots: readonly SlotIn<State>[]
  readonly stations: readonly StationIn[]
  readonly sequences: Sequences
  readonly pushGroups: readonly PushGroupIn[]
  readonly tankers: readonly TankerIn[]
  readonly inForce?: Sequences | undefined
  readonly nowMs?: number | undefined
}

export type SlotOutState = 'planned' | 'in contact' | 'done' | 'missed' | 'gone'

/**
 * A slot judged. A missed one has the instants where it would have been and takes no fuel. One that is gone, or waits
 * in a circle, has the instants it would have from its station as it stands at the start, no fuel figures (0).
 */
export interface SlotOut {
  readonly slotId: string
  readonly stationId: string
  readonly index: number
  readonly readyAtMs: number
  readonly startAtMs: number
  readonly contactAtMs: number
  readonly disconnectAtMs: number
  readonly latestContactAtMs: number | undefined
  readonly slackMs: number | undefined
  readonly pastMs: number
  readonly state: SlotOutState
  readonly onLoadKg: number
  readonly neededKg: number
  readonly endedBy: ContactEnd
  readonly fuelAtContactKg: number
  readonly fuelAtDisconnectKg: number
  readonly requiredAtPushKg: number
  readonly pushAtMs: number
  readonly plannedPushAtMs: number
  readonly fuelAtPushKg: number
  readonly shortageKg: number
  /** Undefined where the fuel at disconnect is below the requirement already, or never falls to it. */
  readonly latestPushAtMs: number | undefined
  /** Who is on the station before: the last slot in turn that takes station time. */
  readonly aheadSlotId: string | undefined
  /** Whom it waits for at a station that excludes its own. */
  readonly waitsForSlotId: string | undefined
  /** The served contact that tops this one off: from then on shortage and latest push are told there. */
  readonly toppedBySlotId: string | undefined
}

export interface PushOut {
  readonly pushGroupId: string
  readonly plannedAtMs: number
  readonly pushAtMs: number
  readonly lateMs: number
}

export interface Judged {
  /**
   * By station as given, then by turn; then what was flown out of any sequence, index −1. A slot still to be flown that
   * stands in no sequence has only a reason.
   */
  readonly slots: readonly SlotOut[]
  readonly pushes: readonly PushOut[]
  readonly ledger: readonly TankerLedger[]
  readonly judgement: Judgement
  readonly reasons: readonly Reason[]
}

/**
 * Every slot's instants and fuel for the given sequences, the pushes, the tankers' ledger, the judgement, and what
 * breaks. Instants are event time in ms, masses kg.
 *
 * Slot start = the latest of ship ready, station open, last disconnect + changeover, last disconnect at a station that
 * excludes this one + method change, what it is not to start before, and now for slots not begun; contact = start +
 * hook-up. Of two stations that exclude each other the one whose next slot could start earlier goes first, of equals the
 * one that is given first. A ship whose contact would be after its latest contact takes no station time and no fuel
 * and nobody waits for it. Push = the latest of planned push, now, and last disconnect of the group + reform. Of the
 * contacts of one visit the last one served counts, for shortage and lateness; a visit is lost with its first contact,
 * never by a top-off that is missed: the ship then goes on with what the contact before left. Ids in the sequences that
 * no slot has are passed over: the order checks in rules.ts refuse them before.
 * @throws RangeError naming an unknown push group, tanker, or earlier slot; or an earlier slot flown at no station of
 * the sequences whose state after it is not given.
 * Checked: tests/shared/order/naive.test.ts against a recursive judge, tests/cases/order.test.ts.
 */
export function judge<State>(input: OrderIn<State>): Judged {
  const table = timetableOf(input)
  settle(table, table.ordered)
  return {
    slots: slotsOf(table, table.ordered),
    pushes: pushesOf(table),
    ledger: ledgerOf(table),
    judgement: judgementOf(table, table.ordered),
    reasons: reasonsOf(table)
  }
}
