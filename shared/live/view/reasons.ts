import type { Reason, ShipView, SlotView, View } from '../../contracts/view.ts'
import { stepsOfKg } from '../../order/judgement.ts'
import type { Brief } from '../../plan/brief.ts'
import type { Order } from '../slots.ts'
import { baseReasons } from './bases.ts'
import type { Scene } from './scene.ts'

/** A contact whose flow nobody called by now is worth a word. */
const NO_FLOW_MS = 60_000

/** A hold that begins within this of now is the one that is flown. */
const AT_ONCE_MS = 1000

const PLAIN: Omit<Reason, 'kind' | 'severity'> = {
  shipId: null,
  slotId: null,
  tankerId: null,
  pushGroupId: null,
  atMs: null,
  byKg: null,
  byS: null,
  mend: null
}

const SEVERITY = { now: 0, soon: 1, note: 2 } as const

/** What breaks or will break, worst first: by severity, then by how soon. */
export function reasonsOf(
  plan: Brief,
  order: Order,
  ships: readonly ShipView[],
  slots: readonly SlotView[],
  flights: View['flights'],
  scenes: ReadonlyMap<string, Scene>,
  nowMs: number,
  closed: ReadonlySet<string>
): Reason[] {
  // A ship that has landed has it behind it, however little it pushed with.
  const landed = new Set(ships.flatMap(({ status, shipId }) => (status === 'landed' ? [shipId] : [])))
  const judged = order.judged.reasons.filter(({ shipId }) => shipId === null || !landed.has(shipId))
  const reasons: Reason[] = [...judged, ...baseReasons(PLAIN, plan, closed, { ships, slots })]
  for (const slot of slots) {
    if (slot.state !== 'planned' || slot.slackS === null || slot.slackS < 0 || slot.slackS >= plan.lateMarginS) continue
    reasons.push({
      ...PLAIN,
      kind: 'near latest contact',
      severity: 'soon',
      shipId: slot.shipId,
      slotId: slot.slotId,
      tankerId: slot.tankerId,
      atMs: slot.latestContactAtMs,
      byS: slot.slackS
    })
  }
  for (const ship of ships) {
    if (ship.status === 'no-show') continue
    const about = { ...PLAIN, shipId: ship.shipId, slotId: ship.slotId }
    if (ship.margin && ship.margin.marginS < 0 && ship.margin.limit !== 'latest contact') {
      const kind = ship.margin.limit === 'latest push' ? 'past latest push' : 'below limit'
      const said = reasons.some((reason) => reason.kind === kind && reason.shipId === ship.shipId)
      if (!said) reasons.push({ ...about, kind, severity: 'now', atMs: ship.margin.atMs, byS: -ship.margin.marginS })
    }
    if (ship.lastCall?.stale && ship.status !== 'landed' && ship.status !== 'left') {
      const byS = (nowMs - (ship.staleAtMs ?? nowMs)) / 1000
      reasons.push({ ...about, kind: 'stale call', severity: 'note', atMs: ship.staleAtMs, byS })
    }
    const slot = slots.find((one) => one.slotId === ship.slotId)
    if (ship.externals === 'held' && slot && releases(slot, nowMs)) {
      reasons.push({ ...about, kind: 'hold to release', severity: 'now', tankerId: slot.tankerId })
    }
    if (ship.status !== 'landed' && ship.status !== 'left') {
      if (ship.externalsRead === 'not giving') reasons.push({ ...about, kind: 'externals not giving', severity: 'now' })
      if (ship.externalsRead === 'unclear') reasons.push({ ...about, kind: 'externals unclear', severity: 'soon' })
    }
    if (ship.feedLow && ship.status !== 'landed') reasons.push({ ...about, kind: 'feed low', severity: 'soon' })
    const overruledKg = Object.values(ship.limits).map((limit) =>
      limit === null || limit.byHandKg === null ? 0 : limit.computedKg - limit.byHandKg
    )
    const byKg = Math.max(...overruledKg)
    if (byKg > 0) reasons.push({ ...about, kind: 'hand limit overruled', severity: 'note', byKg })
    const scene = scenes.get(ship.shipId)
    const starved = scene?.way.starved.find(({ toMs }) => toMs > nowMs)
    if (starved && ship.status !== 'landed') {
      reasons.push({ ...about, kind: 'feed starved', severity: 'now', atMs: starved.fromMs })
    }
    const contact = scene?.crew.its.inContact
    if (contact && !contact.flowCalled && nowMs - contact.contactAtMs > NO_FLOW_MS) {
      const byS = (nowMs - contact.contactAtMs) / 1000
      reasons.push({
        ...about,
        kind: 'no fuel flowing',
        severity: 'note',
        tankerId: contact.tankerId,
        atMs: contact.contactAtMs,
        byS
      })
    }
  }
  for (const { weakest } of flights) {
    if (!weakest || stepsOfKg(weakest.marginKg) >= 0) continue
    reasons.push({
      ...PLAIN,
      kind: 'weak point',
      severity: 'now',
      shipId: weakest.shipId,
      atMs: weakest.atMs,
      byKg: -weakest.marginKg
    })
  }
  return reasons.sort(
    (a, b) => SEVERITY[a.severity] - SEVERITY[b.severity] || (a.atMs ?? Infinity) - (b.atMs ?? Infinity) || 0
  )
}

/**
 * A flown hold that the floor no longer allows, that would have to be given up before the contact comes, or that is only
 * worth while when it is begun again later.
 */
function releases({ hold, contactAtMs }: SlotView, nowMs: number): boolean {
  if (hold === null) return false
  if (hold.kind === 'none') return hold.why === 'floor'
  return hold.fromMs > nowMs + AT_ONCE_MS || (hold.releaseAtMs !== null && hold.releaseAtMs < contactAtMs)
}
