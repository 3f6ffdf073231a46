import { landed, toBase } from './base.ts'
import { disconnect } from './disconnect.ts'
import { late, noShow, onTime, priority, shows, topOff } from './disruption.ts'
import { externalsSaid, fuelCall, holding, limitByHand, setExternals } from './fuel.ts'
import { PLACE_WORDS } from './place.ts'
import { contact } from './station.ts'
import { TROUBLE_WORDS } from './trouble.ts'
import { ask, doing, record, type Understanding } from './understanding.ts'
import type { Ship, Vocabulary } from './vocabulary.ts'
import { alone, notUnderstood, saidOf, word, type By, type Means, type Word } from './word.ts'

const HINT =
  'a fuel figure, joined, contact, flowing, disconnect, partial, pushed, left, landed, late, no-show, priority, top-off, lift not before, full on-load, held, selected, jettisoned, not giving, up, down'

const plain = (means: (ship: Ship) => readonly [request: unknown, told: string]): Means<Ship> =>
  alone((ship) => {
    const [request, told] = means(ship)
    return record(request, `${ship.callSign} ${told}.`)
  })

/** Two calls in one line are entered one after the other: each is a fact of its own. */
const joined: Means<Ship> = (ship, others, vocabulary) => {
  const lone = plain(({ shipId }) => [{ kind: 'joinShip', shipId }, 'joined'])
  const beside = others.length === 0 ? undefined : fuelCall(ship, others, vocabulary)
  if (beside?.kind !== 'understood') return lone(ship, others, vocabulary)
  const callSign = ship.callSign.toLowerCase()
  return ask(`${ship.callSign}: these are two calls; enter one, then the other.`, [
    { text: `${callSign} joined`, sentence: `${ship.callSign} joined.` },
    { text: `${callSign} ${others.join(' ')}`, sentence: beside.sentence }
  ])
}

/** Of the station, of the externals: with an off-load it is the station. */
const off: Means<Ship> = (ship, others, vocabulary) => {
  if (others.length > 0) return disconnect(ship, others, vocabulary)
  const callSign = ship.callSign.toLowerCase()
  return ask(`${ship.callSign} off: off the station, or externals off?`, [
    { text: `${callSign} disconnect`, sentence: `${ship.callSign} disconnects` },
    { text: `${callSign} externals off`, sentence: `${ship.callSign} externals off` }
  ])
}

/** What was taken may have been taken whole, or in part. */
const took: Means<Ship> = (ship, others, vocabulary) => {
  // Said beside a disconnect it says nothing more.
  if (others.some((one) => /^(?:d|dis|partial$|complete)/.test(one))) return notUnderstood(ship.callSign, 'took', HINT)
  if (others.length === 0) return ask(`${ship.callSign} took: how much? Say disconnect 4.5, or partial 2.1.`)
  const whole = disconnect(ship, ['took', ...others], vocabulary)
  if (whole.kind !== 'understood') return whole
  const line = (how: string) => `${ship.callSign.toLowerCase()} ${[how, 'took', ...others].join(' ')}`
  return ask(`${ship.callSign}: off with the whole on-load, or early?`, [
    { text: line('disconnect'), sentence: whole.sentence },
    { text: line('partial'), sentence: whole.sentence.replace(' with ', ' early with ') }
  ])
}

/** On the station, or on time. */
const on: Means<Ship> = (ship, others, vocabulary) =>
  others.length === 0
    ? ask(`${ship.callSign} on: in contact, or on time?`, [
        { text: `${ship.callSign.toLowerCase()} contact`, sentence: `${ship.callSign} is in contact at its station` },
        { text: `${ship.callSign.toLowerCase()} on time`, sentence: `${ship.callSign} is ready as planned again` }
      ])
    : contact(ship, others, vocabulary)

/**
 * What can be said of a ship. One letter is enough for the four calls that come most, after the fuel; how much of another
 * word is, word.ts says.
 */
const SHIP_WORDS: readonly Word<Ship>[] = [
  word('fuel, fuel state, state', fuelCall),
  word('joined, j, join, joins, joining, checks in, checked in, with tanker', joined),
  word('contact, c, contacts, in contact, hooked, hooked up, hooks up, plugged', contact),
  word('on', on),
  word(
    'flowing, f, flow, flows, fuel flowing, fuel flows, taking fuel, taking',
    plain(({ shipId }) => [{ kind: 'startFlow', shipId }, 'fuel is flowing'])
  ),
  word('disconnect, d, disconnected, disconnects, complete', disconnect),
  word('partial', (ship, others, vocabulary) => disconnect(ship, ['partial', ...others], vocabulary)),
  word('off', off),
  word('took, taken', took),
  word(
    'pushed, push, pushes, pushing',
    plain(({ shipId }) => [{ kind: 'push', shipIds: [shipId] }, 'pushes'])
  ),
  word('left, leave, leaves, leaving, rtb, going home, heading home, diverts, diverting, divert', toBase('leave')),
  word('landed, lands, land, on the ground', landed),
  word('held', setExternals('held')),
  word('holding, hold, holds', holding),
  word('selected, select, selects, release, released, releases', setExternals('selected')),
  word('externals, external, ext', externalsSaid),
  word(
    'jettisoned, jettison, jettisons, externals gone, drops externals',
    plain(({ shipId }) => [{ kind: 'jettison', shipId }, 'jettisoned its externals'])
  ),
  ...(['abort', 'bingo', 'joker', 'required'] as const).map((limit) => word(limit, limitByHand(limit))),
  word('late', late),
  word('on time', alone(onTime)),
  word('no-show, no show, noshow, not coming, not showing', alone(noShow)),
  word('shows, showed', alone(shows)),
  word('no', (ship, others) =>
    others.includes('show') ? notUnderstood(ship.callSign, 'no', 'no-show') : ask(`${ship.callSign} no: say no-show.`)
  ),
  word('top-off, top off, topoff', alone(topOff)),
  word('priority', (ship, others, vocabulary) => {
    const flight = vocabulary.flights.find((one) => one.shipIds.includes(ship.shipId))
    return flight === undefined ? ask(`${ship.callSign} flies in no flight.`) : priority(flight, others)
  }),
  ...PLACE_WORDS,
  ...TROUBLE_WORDS
]

/** What the rest of a line says of a ship. */
export function ofShip(ship: Ship, rest: readonly string[], by: By, vocabulary: Vocabulary): Understanding {
  if (rest.length === 0) return doing({ kind: 'select', shipId: ship.shipId }, `${ship.callSign}: say ${HINT}.`)
  const said = saidOf(ship, rest, { words: SHIP_WORDS, by, vocabulary })
  if (said !== undefined) return said
  if (rest.some((one) => /^\.?\d/.test(one))) return fuelCall(ship, rest, vocabulary)
  return notUnderstood(ship.callSign, rest.find((one) => /^[a-z]/.test(one)) ?? rest.join(' '), HINT)
}

/** Every word said of a ship, for finding what a misspelt one is near to. */
export const SHIP_SAID: readonly string[] = SHIP_WORDS.flatMap(({ say }) => say)
