import type { TankerView } from '../../contracts/view.ts'
import type { SlotOut } from '../../order/times.ts'
import type { Brief } from '../../plan/brief.ts'
import { flowedNowKg, givenKg, tankerFuelKg, type Crew, type Order } from '../slots.ts'
import { orderOf, stationStatusOf, type LiveState } from '../state.ts'

/** Head of each station: the first slot still to come there. */
export function nextSlots(plan: Brief, order: Order, outs: ReadonlyMap<string, SlotOut>): ReadonlyMap<string, string> {
  const heads = new Map<string, { slotId: string; index: number }>()
  for (const placed of order.slots.values()) {
    const out = outs.get(placed.id)
    if (out?.state !== 'planned') continue
    const head = heads.get(placed.station.key)
    if (!head || out.index < head.index) heads.set(placed.station.key, { slotId: placed.id, index: out.index })
  }
  return new Map(
    [...plan.stations.keys()].flatMap((key) => {
      const head = heads.get(key)
      return head ? [[key, head.slotId] as const] : []
    })
  )
}

export function tankerViews(
  state: LiveState,
  plan: Brief,
  crews: ReadonlyMap<string, Crew>,
  order: Order,
  outs: ReadonlyMap<string, SlotOut>,
  nextAt: ReadonlyMap<string, string>,
  nowMs: number
): TankerView[] {
  const ledgers = new Map(order.judged.ledger.map((ledger) => [ledger.tankerId, ledger]))
  return [...plan.tankers.values()].flatMap((tanker) => {
    const ledger = ledgers.get(tanker.id)
    if (!ledger) return []
    const flowedKg = flowedNowKg(tanker.id, crews, nowMs)
    return [
      {
        tankerId: tanker.id,
        callSign: tanker.callSign,
        trackId: tanker.trackId,
        stations: tanker.stations.map((station) => {
          const guest = [...crews.values()].find(
            ({ its }) => its.inContact?.tankerId === tanker.id && its.inContact.stationId === station.stationId
          )
          const contact = guest?.its.inContact
          return {
            stationId: station.stationId,
            name: station.name,
            status: stationStatusOf(state, station.key),
            inContact: contact
              ? {
                  shipId: guest.ship.id,
                  slotId: contact.slotId,
                  sinceMs: contact.contactAtMs,
                  flowing: contact.flowCalled
                    ? ('called' as const)
                    : nowMs >= contact.flowAtMs
                      ? ('assumed' as const)
                      : ('no' as const),
                  disconnectAtMs: outs.get(contact.slotId)?.disconnectAtMs ?? nowMs
                }
              : null,
            nextSlotId: nextAt.get(station.key) ?? null
          }
        }),
        fuelKg: tankerFuelKg(state, tanker, crews, nowMs),
        giveKg: ledger.giveKg - flowedKg,
        givenKg: givenKg(tanker.id, crews, nowMs),
        flowedKg,
        promisedKg: Math.max(0, ledger.promisedKg - flowedKg),
        shortKg: ledger.shortKg,
        dryAtSlotId: ledger.dryAtSlotId ?? null,
        leavesAtMs: ledger.leavesAtMs,
        lastDisconnectAtMs: ledger.lastDisconnectAtMs ?? null,
        orderSeq: orderOf(state, tanker.id).seq
      }
    ]
  })
}
