import type { View } from '../../../shared/contracts/view.ts'
import type { FigureRef } from '../../../shared/working/figure.ts'

/** Every figure a view has an answer for, with that answer as the view's own field gives it, SI. */
export function figuresOf(view: View): { ref: FigureRef; value: number }[] {
  const all: { ref: FigureRef; value: number }[] = []
  const has = (ref: FigureRef, value: number | null | undefined): void => {
    if (value !== null && value !== undefined) all.push({ ref, value })
  }
  for (const ship of view.ships) {
    const { shipId } = ship
    has({ figure: 'rank', shipId }, ship.rank)
    has({ figure: 'fuel', shipId }, ship.fuelKg)
    has({ figure: 'least fuel', shipId }, ship.fuelKg - ship.estimate.unsureKg)
    has({ figure: 'age of the call', shipId }, ship.lastCall && (view.atMs - ship.lastCall.atMs) / 1000)
    has({ figure: 'margin', shipId }, ship.margin?.marginS)
    has({ figure: 'abort', shipId }, ship.abortKg)
    has({ figure: 'bingo', shipId }, ship.bingoKg)
    has({ figure: 'joker', shipId }, ship.jokerKg)
    // Of a reason, where there is one: by how much, and when.
    const said = (kind: View['reasons'][number]['kind']) =>
      view.reasons.find((reason) => reason.kind === kind && reason.shipId === shipId)
    has({ figure: 'stale for', shipId }, said('stale call')?.byS)
    has({ figure: 'no flow for', shipId }, said('no fuel flowing')?.byS)
    has({ figure: 'below by', shipId }, said('below limit')?.byS)
    has({ figure: 'below recovery by', shipId }, said('below recovery fuel')?.byKg)
    has({ figure: 'too little by', shipId }, said('weak point')?.byKg)
    has({ figure: 'too little at', shipId }, said('weak point')?.atMs)
    has({ figure: 'starves at', shipId }, said('feed starved')?.atMs)
    has({ figure: 'runs out at', shipId }, said('out of fuel')?.atMs)
    has({ figure: 'overruled by', shipId }, said('hand limit overruled')?.byKg)
    has({ figure: 'bingo gauge', shipId }, ship.limits.bingo?.gaugeKg)
    has({ figure: 'joker gauge', shipId }, ship.limits.joker?.gaugeKg)
    has({ figure: 'feed low at', shipId }, ship.feedLowAtMs)
    has({ figure: 'band low', shipId }, ship.gaugeBand?.lowKg)
    has({ figure: 'band high', shipId }, ship.gaugeBand?.highKg)
  }
  for (const slot of view.slots) {
    const { slotId } = slot
    has({ figure: 'ready', slotId }, slot.readyAtMs)
    has({ figure: 'contact', slotId }, slot.contactAtMs)
    has({ figure: 'until contact', slotId }, (slot.contactAtMs - view.atMs) / 1000)
    has({ figure: 'disconnect', slotId }, slot.disconnectAtMs)
    has({ figure: 'until disconnect', slotId }, (slot.disconnectAtMs - view.atMs) / 1000)
    has({ figure: 'latest contact', slotId }, slot.latestContactAtMs)
    has({ figure: 'latest push', slotId }, slot.latestPushAtMs)
    has({ figure: 'slack', slotId }, slot.slackS)
    has({ figure: 'past', slotId }, slot.latestContactAtMs === null ? null : slot.pastS)
    has({ figure: 'on-load', slotId }, slot.onLoadKg)
    has({ figure: 'fuel at contact', slotId }, slot.fuelAtContactKg)
    has({ figure: 'gauge at contact', slotId }, slot.gaugeAtContactKg)
    has({ figure: 'fuel at push', slotId }, slot.fuelAtPushKg)
    has({ figure: 'required', slotId }, slot.requiredAtPushKg)
    has({ figure: 'shortage', slotId }, slot.shortageKg)
    has({ figure: 'push', slotId }, slot.pushAtMs)
    const hold = slot.hold?.kind === 'hold' ? slot.hold : undefined
    has({ figure: 'hold from', slotId }, hold?.fromMs ?? null)
    has({ figure: 'hold gauge', slotId }, hold?.gaugeFromKg ?? null)
    has({ figure: 'hold saves', slotId }, hold?.savedS ?? null)
    has({ figure: 'release at', slotId }, hold?.releaseAtMs ?? null)
    has({ figure: 'release gauge', slotId }, hold?.gaugeReleaseKg ?? null)
    has({ figure: 'abort gauge', slotId }, slot.abortGaugeKg)
    has({ figure: 'required gauge', slotId }, slot.requiredGaugeKg)
    has({ figure: 'least on-load', slotId }, slot.state === 'planned' ? slot.leastOnLoadKg : null)
    has({ figure: 'gauge at disconnect', slotId }, slot.gaugeAtDisconnectKg)
    const ahead = view.slots.filter(
      (one) =>
        one.tankerId === slot.tankerId &&
        (one.state === 'planned' || one.state === 'in contact') &&
        one.disconnectAtMs <= slot.disconnectAtMs
    )
    const tanker = view.tankers.find((one) => one.tankerId === slot.tankerId)
    const giveKg = tanker ? tanker.giveKg + tanker.flowedKg : NaN
    const leftKg = giveKg - ahead.reduce((kg, one) => kg + one.onLoadKg, 0)
    has({ figure: 'give left', slotId }, ahead.includes(slot) ? leftKg : null)
    has({ figure: 'lost', slotId }, slot.stops.length > 0 ? slot.lostKg : null)
    slot.stops.forEach((stop, index) => {
      has({ figure: 'stop after', slotId, index }, stop.minutesS)
      has({ figure: 'stop on-load', slotId, index }, stop.onLoadKg)
      has({ figure: 'stop usable', slotId, index }, stop.usableKg)
      has({ figure: 'stop saves', slotId, index }, stop.savesS)
      has({ figure: 'stop leaves', slotId, index }, stop.savesKg)
      has({ figure: 'stop forgoes', slotId, index }, stop.forgoesKg)
    })
  }
  for (const tanker of view.tankers) {
    const { tankerId } = tanker
    has({ figure: 'give', tankerId }, tanker.giveKg)
    has({ figure: 'promised', tankerId }, tanker.promisedKg)
    has({ figure: 'short', tankerId }, tanker.shortKg)
    has({ figure: 'last disconnect', tankerId }, tanker.lastDisconnectAtMs)
    has({ figure: 'leaves', tankerId }, tanker.leavesAtMs)
    const held = view.reasons.find((reason) => reason.kind === 'tanker held late' && reason.tankerId === tankerId)
    has({ figure: 'held late', tankerId }, held?.byS)
  }
  for (const push of view.pushes) {
    const { pushGroupId, lateS } = push
    has({ figure: 'push late', pushGroupId }, lateS)
    // A late push is late by its last disconnect; how early one could be the view does not say.
    const states = new Set(view.slots.flatMap((slot) => (slot.pushGroupId === pushGroupId ? slot.state : [])))
    states.delete('missed')
    has({ figure: 'push spare', pushGroupId }, lateS > 0 && [...states].join() === 'planned' ? -lateS : null)
  }
  for (const flight of view.flights) {
    const { flightId } = flight
    has({ figure: 'weakest margin', flightId }, flight.weakest?.marginKg)
    has({ figure: 'weakest at', flightId }, flight.weakest?.atMs)
    flight.ladder.forEach((rung, index) => {
      has({ figure: 'ladder at', flightId, index }, rung.atMs)
      has({ figure: 'ladder fuel', flightId, index }, rung.fuelKg)
      has({ figure: 'ladder counted', flightId, index }, rung.countedKg)
      has({ figure: 'ladder recovery', flightId, index }, rung.recoveryKg)
    })
  }
  const late = view.pushes.filter((push) => push.lateS >= 6)
  has({ figure: 'ship count' }, view.ships.length)
  has({ figure: 'flight count' }, view.flights.length)
  has({ figure: 'contact count' }, view.slots.length)
  has({ figure: 'tanker count' }, view.tankers.length)
  has(
    { figure: 'total on-load' },
    view.slots.reduce((kg, slot) => kg + slot.neededKg, 0)
  )
  has({ figure: 'holds save' }, view.holds.savedS)
  has({ figure: 'hold count' }, view.holds.shipCount)
  has({ figure: 'lost count' }, view.slots.filter((slot) => slot.state === 'missed').length)
  const served = view.slots.filter((slot) => slot.state !== 'missed' && slot.state !== 'gone')
  has({ figure: 'short count' }, served.filter((slot) => slot.shortageKg >= 5).length)
  has({ figure: 'late count' }, late.length)
  has({ figure: 'worst late' }, late.length === 0 ? null : Math.max(...late.map((push) => push.lateS)))
  has({ figure: 'dry count' }, view.tankers.filter((tanker) => tanker.shortKg >= 5).length)
  const unplaced = view.reasons.filter(({ kind, severity }) => kind === 'not in the order' && severity === 'now')
  has({ figure: 'unplaced count' }, unplaced.filter(({ slotId }) => slotId === null).length)
  has({ figure: 'empty count' }, view.reasons.filter(({ kind }) => kind === 'out of fuel').length)
  has({ figure: 'met count' }, view.pushes.filter((push) => isMet(view, push)).length)
  return all
}

/** In time, somebody left to push, and nobody of them short or dry by then. */
function isMet(view: View, { pushGroupId, lateS, pushAtMs }: View['pushes'][number]): boolean {
  const its = view.slots.filter((slot) => slot.pushGroupId === pushGroupId)
  const left = its.filter(({ state }) => state !== 'missed' && state !== 'gone')
  const dry = new Set(
    view.reasons.flatMap(({ kind, shipId, atMs }) => (kind === 'out of fuel' && (atMs ?? 0) < pushAtMs ? [shipId] : []))
  )
  const waits = view.reasons.some(
    (one) => one.kind === 'not in the order' && one.severity === 'now' && one.pushGroupId === pushGroupId
  )
  const able = left.filter(({ shipId, shortageKg }) => shortageKg < 5 && !dry.has(shipId))
  return !waits && lateS < 6 && able.length === left.length && (left.length > 0 || its.length === 0)
}
