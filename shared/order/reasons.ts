import type { Reason } from '../contracts/view.ts'
import { latestPushAtMs, shortageKg } from './answer.ts'
import { stepsOfKg, stepsOfMs } from './judgement.ts'
import { closedMend, mendBy, pastMend, shortMend } from './mend.ts'
import type { SlotRow, Timetable } from './timetable.ts'

/*
 * What breaks in a filled timetable, by how much, and what would mend it.
 */

const plainReason = {
  severity: 'now',
  shipId: null,
  slotId: null,
  tankerId: null,
  pushGroupId: null,
  atMs: null,
  byKg: null,
  byS: null,
  mend: null
} as const satisfies Omit<Reason, 'kind'>

/** What breaks: limits and fuel as 'now', pushes and tankers held late as 'soon'. */
export function reasonsOf<State>(table: Timetable<State>): Reason[] {
  const reasons: Reason[] = []
  for (const row of table.rows) reasons.push(...slotReasons(row, table.nowMs))
  for (const { group, pushAtMs } of table.groups) {
    const late = pushAtMs - group.plannedAtMs
    if (stepsOfMs(late) <= 0) continue
    reasons.push({
      ...plainReason,
      kind: 'late push',
      severity: 'soon',
      pushGroupId: group.id,
      atMs: pushAtMs,
      byS: late / 1000,
      mend: mendBy('push later', { byS: late / 1000 })
    })
  }
  for (const row of table.tankers) {
    const tankerId = row.tanker.id
    const { dryAt } = row
    if (dryAt !== undefined) {
      const { id: slotId, shipId } = dryAt.slot
      const about = { shipId, slotId, tankerId, atMs: dryAt.disconnectAtMs, byKg: row.shortKg }
      const mend = mendBy('more give', { byKg: row.shortKg })
      reasons.push({ ...plainReason, kind: 'tanker dry', ...about, mend })
    }
    const heldMs = row.leavesAtMs - row.tanker.leavesAtMs
    if (heldMs > 0) {
      const about = { tankerId, atMs: row.leavesAtMs, byS: heldMs / 1000 }
      const mend = mendBy('leave later', { byS: heldMs / 1000 })
      reasons.push({ ...plainReason, kind: 'tanker held late', severity: 'soon', ...about, mend })
    }
  }
  return reasons
}

function slotReasons<State>(row: SlotRow<State>, nowMs: number): Reason[] {
  const about = {
    ...plainReason,
    shipId: row.slot.shipId,
    slotId: row.slot.id,
    tankerId: row.station?.station.tankerId ?? null
  }
  if (row.state === 'gone') return []
  if (row.cause === 'not in the order') return [{ ...about, kind: row.cause, mend: mendBy('put in order') }]
  const pastMs = row.contactAtMs - row.latestContactAtMs
  const reasons: Reason[] = []
  if (row.cause === 'waits in a circle') {
    reasons.push({ ...about, kind: row.cause, atMs: row.contactAtMs, mend: mendBy('another turn') })
  } else if (row.cause === 'station closed') {
    reasons.push({ ...about, kind: row.cause, atMs: row.contactAtMs, mend: closedMend(row) })
  } else if (row.state !== 'done' && pastMs > 0) {
    const past = { atMs: row.latestContactAtMs, byS: pastMs / 1000, mend: pastMend(row, nowMs) }
    // Without its top-off a ship still has what it took before.
    if (row.state === 'missed' && row.topOff) {
      reasons.push({ ...about, ...past, kind: 'top-off missed', severity: 'soon' })
    } else reasons.push({ ...about, ...past, kind: 'past latest contact' })
  }
  const byKg = shortageKg(row)
  if (stepsOfKg(byKg) > 0) {
    const { pushAtMs } = row.group
    const latest = latestPushAtMs(row)
    const short = { ...about, byKg, mend: shortMend(row, byKg) }
    // Enough was taken, but it waits too long; or no push would have been early enough.
    if (latest === undefined) reasons.push({ ...short, kind: 'short at push', atMs: pushAtMs })
    else reasons.push({ ...short, kind: 'past latest push', atMs: latest, byS: (pushAtMs - latest) / 1000 })
  }
  return reasons
}
