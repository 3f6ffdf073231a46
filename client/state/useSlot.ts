import { computed } from 'vue'
import type { ShipView } from '../../shared/contracts/view.ts'
import type { Labels } from '../labels.ts'
import type { LiveEvent } from './useEvent.ts'

/** One ship of an event with the slot that counts now and the visit after it. */
export function useSlot(event: LiveEvent, shipId: () => string | undefined) {
  const { view, labels, state } = event
  const ship = computed(() => view.value?.ships.find((one) => one.shipId === shipId()))
  const slots = computed(() => view.value?.slots.filter((one) => one.shipId === shipId()) ?? [])
  const slotView = computed(() => slots.value.find((one) => one.slotId === ship.value?.slotId))
  return {
    ship,
    slotView,
    next: computed(() => slots.value.find((one) => one.contactAtMs > (slotView.value?.contactAtMs ?? Infinity))),
    trackName: computed(() => {
      const tanker = view.value?.tankers.find((one) => one.tankerId === slotView.value?.tankerId)
      return tanker === undefined ? '' : (labels.value?.track(tanker.trackId) ?? '')
    }),
    /** The most its own gauge can show. */
    mostKg: computed(() => {
      return ship.value && labels.value ? mostShownKg(ship.value, labels.value) : 0
    }),
    soonS: computed(() => (state.value.plan?.rules.lateMarginMin ?? 5) * 60),
    byCallSign: computed(() => view.value?.ships.toSorted((a, b) => (a.callSign < b.callSign ? -1 : 1)) ?? [])
  }
}

/** The most the own gauge of a ship can show. */
export function mostShownKg({ shipId, tanks }: ShipView, labels: Labels): number {
  const gauge = labels.gaugeOf(shipId)
  return tanks.reduce((kg, tank) => (gauge === 'internal' && tank.external ? kg : kg + tank.capacityKg), 0)
}
