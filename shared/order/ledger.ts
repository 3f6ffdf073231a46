/*
 * A tanker's fuel against what an order promises. Contacts are dealt in the order's own sequence, by contact instant:
 * the contact at which give runs out gets what is left and is named.
 */

/**
 * What a tanker can give if it leaves at the instant, kg, never below 0:
 * min(most transferable, aboard now − burn until it leaves − what it keeps).
 * A contact after the planned leaving time moves that time and costs its burn; a delay inside it costs nothing.
 * Checked: tests/cases/order.test.ts (constructed).
 */
export function giveKg(tanker: {
  readonly mostTransferableKg: number
  readonly aboardKg: number
  readonly aboardAtMs: number
  readonly burnKgPerS: number
  readonly keepsKg: number
  readonly leavesAtMs: number
}): number {
  const burnedKg = (tanker.burnKgPerS * Math.max(0, tanker.leavesAtMs - tanker.aboardAtMs)) / 1000
  return Math.max(0, Math.min(tanker.mostTransferableKg, tanker.aboardKg - burnedKg - tanker.keepsKg))
}

export interface TankerLedger {
  readonly tankerId: string
  /** What it can give to slots not done, at the leaving time of this order. */
  readonly giveKg: number
  /** On-loads of slots done. */
  readonly givenKg: number
  /** On-loads of slots in contact and planned. */
  readonly promisedKg: number
  /** What contacts ended by give lack of what they would take. */
  readonly shortKg: number
  readonly dryAtSlotId: string | undefined
  /** The later of the planned leaving time and the last disconnect that gets fuel. */
  readonly leavesAtMs: number
  readonly heldMs: number
  readonly lastDisconnectAtMs: number | undefined
}

/** Finer than any gauge, coarser than the rounding of sums. */
const GIVE_TOLERANCE_KG = 1e-6

/**
 * Most of `wantedKg` a contact gets, kg: the greatest on-load with promised + on-load <= give, where the contact's own
 * disconnect may move the leaving time and so cost give.
 */
export function greatestOnLoadKg(contact: {
  readonly wantedKg: number
  readonly promisedKg: number
  readonly leavesAtMs: number
  readonly giveKg: (leavesAtMs: number) => number
  /** Disconnect when the contact ends at an on-load; never earlier with more. */
  readonly disconnectAtMs: (onLoadKg: number) => number
}): number {
  const overKg = (onLoadKg: number): number =>
    contact.promisedKg + onLoadKg - contact.giveKg(Math.max(contact.leavesAtMs, contact.disconnectAtMs(onLoadKg)))
  const leftKg = Math.min(contact.wantedKg, contact.giveKg(contact.leavesAtMs) - contact.promisedKg)
  if (leftKg <= GIVE_TOLERANCE_KG) return 0
  if (overKg(leftKg) <= GIVE_TOLERANCE_KG) return leftKg
  if (overKg(0) > 0) return 0
  let low = 0
  let high = leftKg
  while (high - low > GIVE_TOLERANCE_KG) {
    const middle = (low + high) / 2
    if (overKg(middle) <= 0) low = middle
    else high = middle
  }
  return low
}
