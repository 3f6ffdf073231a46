import { PRIORITIES } from '../contracts/kinds.ts'
import { clock, minutesAfter, spokenMoment } from './moment.ts'
import { basesNamed } from './name.ts'
import { ask, doing, record, type Understanding } from './understanding.ts'
import type { Flight, Ship, Vocabulary } from './vocabulary.ts'

/* What comes otherwise than planned, of a ship, its flight or a base. */

/** `late 5`, `late 1432`: ready for its next contact so much later, or then. */
export function late(ship: Ship, rest: readonly string[], { nowMs }: Vocabulary): Understanding {
  const { shipId, callSign, readyAtMs } = ship
  const text = rest.join(' ')
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
  if (minutes === 0) return onTime(ship, ['time'])
  // Who is overdue is late from now on.
  const laterAtMs = minutesAfter(Math.max(readyAtMs, nowMs), minutes)
  return record(
    { kind: 'setReady', shipId, readyAtMs: laterAtMs },
    `${callSign} is ready at ${clock(laterAtMs)}, ${minutes} min later.`
  )
}

/** `on time`: ready as planned again. */
export function onTime(ship: Ship, rest: readonly string[]): Understanding {
  if (rest.join(' ') !== 'time') return ask(`${ship.callSign} on: say on time.`)
  return record({ kind: 'setReady', shipId: ship.shipId }, `${ship.callSign} is ready as planned again.`)
}

export const noShow = (ship: Ship): Understanding =>
  record({ kind: 'setNoShow', shipId: ship.shipId, noShow: true }, `${ship.callSign} does not come.`)
export const shows = (ship: Ship): Understanding =>
  record({ kind: 'setNoShow', shipId: ship.shipId, noShow: false }, `${ship.callSign} comes after all.`)

/** It comes to its tanker once more; the page makes the slot. */
export function topOff(ship: Ship): Understanding {
  if (ship.slotId === undefined) return ask(`${ship.callSign} has no slot that it could come back to.`)
  return doing({ kind: 'topOff', shipId: ship.shipId }, `${ship.callSign} comes once more, behind its flight.`)
}

/** `priority 1`, of the whole flight; `priority planned` takes it back. */
export function priority(
  { ships, flights }: { ships: readonly Ship[]; flights: readonly Flight[] },
  rest: readonly string[],
  vocabulary: Vocabulary
): Understanding | undefined {
  const [ship] = ships
  const flight =
    ships.length === 1 && ship !== undefined
      ? vocabulary.flights.find((one) => one.shipIds.includes(ship.shipId))
      : flights.length === 1
        ? flights[0]
        : undefined
  if (flight === undefined) return undefined
  const { flightId, callSign, shipIds } = flight
  const whom = shipIds.length === 1 ? callSign : `${callSign}, all ${shipIds.length}`
  const text = rest.join(' ')
  if (text === 'planned' || text === 'as planned') {
    return record({ kind: 'setPriority', flightId }, `${whom}: priority as planned again.`)
  }
  const wanted = PRIORITIES.find((one) => String(one) === text)
  if (wanted === undefined) return ask(`${callSign} priority: say 1, first, to 5, or planned.`)
  return record({ kind: 'setPriority', flightId, priority: wanted }, `${whom}: priority ${wanted}.`)
}

/** `adze closed`, `divert adze open`: undefined where the line does not end so, or names no base. */
export function landing(words: readonly string[], { bases }: Vocabulary): Understanding | undefined {
  const state = words.at(-1)
  if (state !== 'closed' && state !== 'open') return undefined
  const said = words.slice(words[0] === 'divert' || words[0] === 'base' ? 1 : 0, -1)
  const found = said.length === 0 ? [] : basesNamed(said, bases)
  const [base] = found
  if (base === undefined) return undefined
  if (found.length > 1) {
    return ask(
      `${state === 'open' ? 'Open' : 'Closed'}: which base?`,
      found.map(({ name }) => ({ text: `${name} ${state}`.toLowerCase(), sentence: `${name} ${state}` }))
    )
  }
  return record(
    { kind: 'setBase', baseId: base.baseId, open: state === 'open' },
    `${base.name} is ${state} for landing.`
  )
}
