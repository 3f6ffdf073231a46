/** An hour played into an event as the service would, and the board asked at whole minutes. */
import type { ShipView } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { MemoryEvent } from '../make/event.ts'
import type { Word } from './calls.ts'
import { Coordinator } from './coordinator.ts'
import { atMs, OPENS_AT_MS } from './fleet.ts'
import type { Law } from './law.ts'
import { marginS } from './margin.ts'
import { simPlan } from './plan.ts'
import type { Limits, Status, Truth } from './ship.ts'
import { hourOf } from './world.ts'

/** A ship as it is and as the board shows it. */
export interface Seen {
  /** What it does is as told: what is judged is fuel, not how soon a contact is heard of. */
  truth: Truth
  ship: ShipView
  limits: Limits
  /** Seconds to the limit that truly applies. */
  trueS: number | undefined
  /** Something it did is not told yet. */
  isBehind: boolean
  /** How long ago its last fuel call was observed, s. */
  heardS: number | undefined
}

const TOLD: Readonly<Record<string, Status>> = {
  joinShip: 'waiting',
  makeContact: 'in contact',
  disconnect: 'done',
  push: 'flying',
  leave: 'left',
  land: 'landed'
}

const OF_FUEL: ReadonlySet<string> = new Set(['callFuel', 'withdrawFact'])

/** The ship where it was last said to be, if it is at its tanker by that and has gone on since. */
function asTold(truth: Truth, told: Status | undefined): Truth {
  const behind =
    (told === 'waiting' && truth.status !== 'flying') ||
    told === 'in contact' ||
    (told === 'done' && truth.status !== 'waiting')
  return behind ? { ...truth, status: told } : truth
}

/** Ships of which something but their fuel was observed by now and is not recorded yet. */
const untold = (waiting: readonly Word[], nowS: number): ReadonlySet<unknown> =>
  new Set(
    waiting
      .filter(({ observedS, request }) => observedS <= nowS && !OF_FUEL.has(request.kind))
      .map(({ request }) => request['shipId'])
  )

export interface Minute {
  seed: number
  minute: number
  ships: readonly Seen[]
}

export interface Played {
  minutes: readonly Minute[]
  callCount: number
  /** What the event refused, as said. */
  refused: readonly string[]
}

/** Plays a seed; looks at the minutes asked for. */
export function played(seed: number, law: Law, looksAt: (minute: number) => boolean = () => true): Played {
  const { words, minutes, limits, radios } = hourOf(seed, law)
  const event = new MemoryEvent(simPlan(), OPENS_AT_MS)
  const refused: string[] = []
  let callCount = 0
  const seqs = new Map<Word, number>()
  const told = new Map<unknown, Status>()
  const say = (word: Word): void => {
    const { withdraws } = word
    const withdrawnSeq = withdraws && seqs.get(withdraws)
    // A figure that was refused need not be taken back.
    if (withdraws && withdrawnSeq === undefined) return
    const request = withdrawnSeq === undefined ? word.request : { ...word.request, withdrawnSeq }
    const refusal = event.ask({ atMs: atMs(word.observedS), ...request }, atMs(word.recordedS))
    if (refusal) refused.push(`${JSON.stringify(word.request)}: ${refusal.code}`)
    else {
      seqs.set(word, event.state.seq)
      if (word.request.kind === 'callFuel') callCount++
      if (withdraws) seqs.delete(withdraws)
    }
    const status = TOLD[word.request.kind]
    if (status) told.set(word.request['shipId'], status)
  }
  const coordinator = new Coordinator({
    ...{ words, radios, everyS: law.asking?.everyS, enter: say },
    boardAt: (atS) => estimate(event.state, atMs(atS))
  })
  const seen = minutes.flatMap((truths, minute): Minute[] => {
    coordinator.workUntil(minute * 60)
    if (!looksAt(minute)) return []
    const view = estimate(event.state, atMs(minute * 60))
    const behind = untold(coordinator.waiting, minute * 60)
    const ships = truths.map((one): Seen => {
      const truth = asTold(one, told.get(one.shipId))
      const ship = view?.ships.find((one) => one.shipId === truth.shipId)
      const its = limits.get(truth.shipId)
      if (!ship || !its) throw new Error(`${truth.shipId} is not shown`)
      const heardS = ship.lastCall ? (atMs(minute * 60) - ship.lastCall.atMs) / 1000 : undefined
      return { truth, ship, limits: its, trueS: marginS(truth, its), isBehind: behind.has(truth.shipId), heardS }
    })
    return [{ seed, minute, ships }]
  })
  return { minutes: seen, callCount, refused }
}
