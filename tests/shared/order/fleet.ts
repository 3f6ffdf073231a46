import type { OrderIn, SlotIn } from '../../../shared/order/times.ts'
import { chance } from './chance.ts'
import { MINUTE_MS, push, slot, station, tanker, type OneTank } from './make.ts'

/** 24 ships in six flights on three tankers with two stations each, and so many of them a second time. */
export function fleet(secondVisits: number): OrderIn<OneTank> {
  const { number, whole } = chance(24)
  const stations = [0, 1, 2].flatMap((t) =>
    [0, 1].map((k) =>
      station(`tanker-${String(t)}/${String(k)}`, {
        tankerId: `tanker-${String(t)}`,
        hookUpMs: 1.5 * MINUTE_MS,
        changeoverWithinFlightMs: 0.5 * MINUTE_MS,
        changeoverBetweenMs: 2 * MINUTE_MS
      })
    )
  )
  const turns = new Map<string, string[]>(stations.map(({ id }) => [id, []]))
  const slots = Array.from({ length: 24 }, (_, i): SlotIn<OneTank> => {
    const id = `ship-${String(i)}`
    turns.get(stations[i % 6]?.id ?? '')?.push(id)
    return slot(
      id,
      {
        readyAtMs: number(0, 20) * MINUTE_MS,
        fuelKg: number(2000, 3000),
        burnKgPerS: 0.6,
        rateKgPerS: number(10, 20),
        targetKg: 4500,
        abortKg: 1000,
        legMs: 40 * MINUTE_MS,
        legKg: 1500
      },
      {
        flightId: `flight-${String(i >> 2)}`,
        pushGroupId: `push-${String(i >> 2)}`,
        weight: 2 ** whole(0, 4),
        requiredAtPushKg: 4200
      }
    )
  })
  const again = slots.slice(0, secondVisits).map((first, i): SlotIn<OneTank> => {
    const id = `${first.id} again`
    turns.get(stations[i % 6]?.id ?? '')?.push(id)
    return { ...first, id, afterSlotId: first.id, pushGroupId: 'push-late' }
  })
  const groups = [0, 1, 2, 3, 4, 5].map((i) => push(`push-${String(i)}`, { plannedAtMs: 30 * MINUTE_MS }))
  return {
    slots: [...slots, ...again],
    stations,
    sequences: turns,
    inForce: turns,
    pushGroups: [...groups, push('push-late', { plannedAtMs: 120 * MINUTE_MS })],
    tankers: [0, 1, 2].map((t) => tanker(`tanker-${String(t)}`)),
    nowMs: 0
  }
}
