import type { ServiceCurve } from '../../../shared/order/curves.ts'
import type { OrderIn, PushGroupIn, Ready, Served, SlotIn, StationIn, TankerIn } from '../../../shared/order/times.ts'

/*
 * Ships of one tank and one rate, for tests of the order: figures follow from three divisions a reader can check.
 */

export interface OneTankShip {
  readonly readyAtMs: number
  /** Usable at the ready instant. */
  readonly fuelKg: number
  readonly burnKgPerS: number
  readonly rateKgPerS: number
  /** Fuel it wants at disconnect; at most `capacityKg`. */
  readonly targetKg: number
  readonly capacityKg: number
  readonly abortKg: number | undefined
  /** Instead of a rate: every service takes as long. */
  readonly serviceMs?: number
  /** What a first visit leaves is flown down by as much until the next is ready. */
  readonly legMs?: number
  readonly legKg?: number
  /** The way from where it waits to a station that is not its own, by station id, flown at the same burn. */
  readonly wayMs?: Readonly<Record<string, number>>
}

const state = (fuelKg: number): { fuelKg: number } => ({ fuelKg })
export type OneTank = ReturnType<typeof state>

export const MINUTE_MS = 60_000
const HORIZON_MS = 400 * MINUTE_MS

export function serveOneTank(
  ship: OneTankShip,
  station: StationIn,
  ready: Ready<OneTank>,
  contactAtMs: number,
  giveKg = Infinity
): Served<OneTank> {
  const fuelAtContactKg = ready.state.fuelKg - (ship.burnKgPerS * (contactAtMs - ready.atMs)) / 1000
  const wantedKg = Math.min(ship.targetKg, ship.capacityKg)
  const gainKg = Math.max(0, wantedKg - fuelAtContactKg)
  // On-load = gain + burn: the tank rises by rate less burn. A fixed service takes its time whatever it gives.
  const wholeS = ship.serviceMs === undefined ? gainKg / (ship.rateKgPerS - ship.burnKgPerS) : ship.serviceMs / 1000
  const wholeKg = gainKg + ship.burnKgPerS * wholeS
  const rateKgPerS = wholeS > 0 ? wholeKg / wholeS : 0
  const windowS = Math.max(0, (station.closesAtMs - contactAtMs) / 1000)
  const giveS = rateKgPerS > 0 ? giveKg / rateKgPerS : Infinity
  const forS = Math.min(wholeS, windowS, giveS)
  const onLoadKg = rateKgPerS * forS
  const fuelAtDisconnectKg = fuelAtContactKg + onLoadKg - ship.burnKgPerS * forS
  const whole = ship.targetKg > ship.capacityKg ? 'full' : 'target'
  return {
    disconnectAtMs: contactAtMs + forS * 1000,
    onLoadKg,
    fuelAtContactKg,
    fuelAtDisconnectKg,
    state: state(fuelAtDisconnectKg),
    endedBy: forS === wholeS ? whole : forS === windowS ? 'window' : 'give',
    neededKg: wholeKg + Math.max(0, ship.targetKg - ship.capacityKg)
  }
}

const openEnded = (station: StationIn): StationIn => ({ ...station, closesAtMs: Infinity })

export function curveOneTank(ship: OneTankShip, station: StationIn, ready: Ready<OneTank>): ServiceCurve {
  const burn = ship.burnKgPerS
  const spareKg = ready.state.fuelKg - Math.min(ship.targetKg, ship.capacityKg)
  // The on-load is 0 until the target is burned down to: a breakpoint.
  const atTargetMs = spareKg > 0 && burn > 0 ? [ready.atMs + (spareKg / burn) * 1000] : []
  const contactAtMs = [ready.atMs, ...atTargetMs.filter((ms) => ms < ready.atMs + HORIZON_MS), ready.atMs + HORIZON_MS]
  const all = contactAtMs.map((ms) => serveOneTank(ship, openEnded(station), ready, ms))
  const falls = ship.abortKg === undefined || burn === 0 ? undefined : (ready.state.fuelKg - ship.abortKg) / burn
  return {
    contactAtMs,
    disconnectAtMs: all.map((one) => one.disconnectAtMs),
    onLoadKg: all.map((one) => one.onLoadKg),
    fuelAtContactKg: all.map((one) => one.fuelAtContactKg),
    fuelAtDisconnectKg: all.map((one) => one.fuelAtDisconnectKg),
    latestContactAtMs: falls === undefined ? undefined : ready.atMs + Math.max(0, falls) * 1000
  }
}

/** A slot of a one-tank ship; its id names ship, flight and group unless told otherwise. */
export function slot(
  id: string,
  ship: Partial<OneTankShip>,
  rest: Partial<Omit<SlotIn<OneTank>, 'ready' | 'curve' | 'serve'>> = {}
): SlotIn<OneTank> {
  const whole: OneTankShip = {
    readyAtMs: 0,
    fuelKg: 1000,
    burnKgPerS: 0,
    rateKgPerS: 20,
    targetKg: 3000,
    capacityKg: Infinity,
    abortKg: undefined,
    ...ship
  }
  return {
    id,
    shipId: id,
    flightId: id,
    visitId: id,
    pushGroupId: 'push',
    weight: 1,
    pinned: false,
    serveAnyway: false,
    afterSlotId: undefined,
    fixed: undefined,
    gone: false,
    requiredAtPushKg: 0,
    waitBurnKgPerS: whole.burnKgPerS,
    ...rest,
    ready: (before, at) => {
      const wayMs = whole.wayMs?.[at?.id ?? ''] ?? 0
      const wayKg = (whole.burnKgPerS * wayMs) / 1000
      if (before === undefined) return { atMs: whole.readyAtMs + wayMs, state: state(whole.fuelKg - wayKg) }
      // It tops off: from where it hangs on the hose to the next one, if that is elsewhere.
      if (before.pushAtMs === undefined)
        return { atMs: before.disconnectAtMs + wayMs, state: state(before.state.fuelKg - wayKg) }
      const waitKg = (whole.burnKgPerS * (before.pushAtMs - before.disconnectAtMs)) / 1000
      return {
        atMs: before.pushAtMs + (whole.legMs ?? 0) + wayMs,
        state: state(before.state.fuelKg - waitKg - (whole.legKg ?? 0) - wayKg)
      }
    },
    curve: (station, ready) => curveOneTank(whole, station, ready),
    serve: (station, ready, contactAtMs, giveKg) => serveOneTank(whole, station, ready, contactAtMs, giveKg)
  }
}

export function station(id: string, rest: Partial<StationIn> = {}): StationIn {
  return {
    id,
    tankerId: 'tanker',
    opensAtMs: 0,
    closesAtMs: Infinity,
    hookUpMs: 0,
    changeoverWithinFlightMs: 0,
    changeoverBetweenMs: 0,
    takesNew: true,
    freeAtMs: 0,
    lastFlightId: undefined,
    ...rest
  }
}

export const push = (id = 'push', rest: Partial<PushGroupIn> = {}): PushGroupIn => ({
  id,
  plannedAtMs: 0,
  reformMs: 0,
  ...rest
})

export const tanker = (id = 'tanker', rest: Partial<TankerIn> = {}): TankerIn => ({
  id,
  leavesAtMs: 1000 * MINUTE_MS,
  giveKg: () => Infinity,
  ...rest
})

/** An order with what is left out filled in: one tanker, one push group. */
export function order(
  parts: Pick<OrderIn<OneTank>, 'slots' | 'stations'> &
    Partial<OrderIn<OneTank>> & { turns: Record<string, readonly string[]> }
): OrderIn<OneTank> {
  const { turns, ...rest } = parts
  return { pushGroups: [push()], tankers: [tanker()], sequences: new Map(Object.entries(turns)), ...rest }
}
