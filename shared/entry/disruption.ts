import { PRIORITIES } from '../contracts/kinds.ts'
import { clock, minutesAfter, spokenMoment } from './moment.ts'
import { ask, doing, record, type Understanding } from './understanding.ts'
import type { Flight, Ship, Vocabulary } from './vocabulary.ts'

/* What comes otherwise than planned, of a ship or its flight. */

/** Said before a time. */
const BEFORE = new Set(['by', 'until', 'till', 'in', 'about'])

/** `late 5`, `late 1432`: ready for its next contact so much later, or then. */
export function late(ship: Ship, rest: readonly string[], { nowMs }: Vocabulary): Understanding {
  const { shipId, callSign, readyAtMs } = ship
  const text = rest.filter((word) => !BEFORE.has(word)).join(' ')
  if (text === '') return ask(`${callSign} late: by how many minutes, or until when? Say 5, or 1432.`)
  const moment = spokenMoment(text, nowMs)
  if (moment === undefined) return ask(`${callSign} late: "${text}" is no time. Say minutes, 5, or a time, 1432.`)
  if (readyAtMs === undefined) return ask(`${callSign} has no contact to come that it could be late for.`)
  if ('atMs' in moment) {
    if (moment.atMs < nowMs) return ask(`${callSign} late: ${clock(moment.atMs)} is past.`)
    return record(
      { kind: 'setReady', shipId, readyAtMs: moment.atMs },
      `${callSign} is ready at ${clock(moment.atMs)}, not at ${clock(readyAtMs)}.`
    )
  }
  const { minutes } = moment
  if (minutes === 0) return onTime(ship)
  // Who is overdue is late from now on.
  const laterAtMs = minutesAfter(Math.max(readyAtMs, nowMs), minutes)
  return record(
    { kind: 'setReady', shipId, readyAtMs: laterAtMs },
    `${callSign} is ready at ${clock(laterAtMs)}, ${minutes} min later.`
  )
}

/** `on time`: ready as planned again. */
export const onTime = (ship: Ship): Understanding =>
  record({ kind: 'setReady', shipId: ship.shipId }, `${ship.callSign} is ready as planned again.`)

export function noShow({ shipId, callSign, isThere }: Ship): Understanding {
  if (!isThere) return record({ kind: 'setNoShow', shipId, noShow: true }, `${callSign} does not come.`)
  return ask(`${callSign} is there already. Does it leave?`, [
    { text: `${callSign} left`.toLowerCase(), sentence: `${callSign} leaves` }
  ])
}
export const shows = (ship: Ship): Understanding =>
  record({ kind: 'setNoShow', shipId: ship.shipId, noShow: false }, `${ship.callSign} comes after all.`)

/** It comes to its tanker once more; the page makes the slot. */
export function topOff(ship: Ship): Understanding {
  if (ship.slotId === undefined) return ask(`${ship.callSign} has no slot that it could come back to.`)
  return doing({ kind: 'topOff', shipId: ship.shipId }, `${ship.callSign} comes once more, behind its flight.`)
}

/** `priority 1`, of the whole flight; `priority planned` takes it back. */
export function priority({ flightId, callSign, shipIds }: Flight, rest: readonly string[]): Understanding {
  const whom = shipIds.length === 1 ? callSign : `${callSign}, all ${shipIds.length}`
  const text = rest.join(' ')
  if (text === 'planned' || text === 'as planned') {
    return record({ kind: 'setPriority', flightId }, `${whom}: priority as planned again.`)
  }
  const wanted = text === 'first' ? 1 : PRIORITIES.find((one) => String(one) === text)
  if (wanted === undefined) return ask(`${callSign} priority: say 1, first, to 5, or planned.`)
  return record({ kind: 'setPriority', flightId, priority: wanted }, `${whom}: priority ${wanted}.`)
}

/** A flight pushes together, but for who left it. */
export function pushed({ callSign, shipIds }: Flight, rest: readonly string[], { ships }: Vocabulary): Understanding {
  const gone = new Set(ships.flatMap((ship) => (ship.left ? [ship.shipId] : [])))
  const pushing = shipIds.filter((shipId) => !gone.has(shipId))
  if (rest[0] !== undefined) return ask(`${callSign} pushed: "${rest.join(' ')}" is not understood.`)
  if (pushing.length === 0) return ask(`${callSign}: all have left.`)
  return record(
    { kind: 'push', shipIds: pushing },
    `${callSign} pushes, ${pushing.length} ${pushing.length === 1 ? 'ship' : 'ships'}.`
  )
}
