import { ask, doing, record } from './understanding.ts'
import type { Ship } from './vocabulary.ts'
import { notUnderstood, word, type Means, type Word } from './word.ts'
import { movedTo } from './station.ts'

/* A ship's place in the order: moved, pinned, or freed of what the order says of it. */

const moved =
  (direction: 'up' | 'down'): Means<Ship> =>
  ({ shipId, callSign }, others) => {
    const extra = others[0]
    if (extra !== undefined) return notUnderstood(callSign, extra, 'nothing more')
    return doing(
      { kind: 'move', shipId, direction },
      `Move ${callSign} ${direction === 'up' ? 'earlier' : 'later'} at its station.`
    )
  }

/** What an order says of a slot beside its turn is taken back by its whole word, or by the word's beginning. */
const lift =
  (said: 'not before' | 'internals only', say: string, told: string): Means<Ship> =>
  ({ shipId, callSign }, others) =>
    others.length > 0
      ? notUnderstood(callSign, others.join(' '), say)
      : doing({ kind: 'lift', shipId, said }, `Change the order: ${callSign} ${told}.`)

const pin =
  (stateOf: (ship: Ship) => { pinned: boolean; serveAnyway: boolean }, told: string): Means<Ship> =>
  (ship, others) => {
    const extra = others[0]
    if (extra !== undefined) return notUnderstood(ship.callSign, extra, 'nothing more')
    if (ship.slotId === undefined) return ask(`${ship.callSign} has no slot.`)
    return record({ kind: 'setPin', slotId: ship.slotId, ...stateOf(ship) }, `${ship.callSign} ${told}.`)
  }

export const PLACE_WORDS: readonly Word<Ship>[] = [
  word('up, earlier', moved('up')),
  word('down, later', moved('down')),
  word('to', movedTo),
  word('lift not before, lift', lift('not before', 'lift not before', 'comes as soon as it can')),
  word(
    'full on-load, full on load, full onload, full',
    lift('internals only', 'full on-load', 'takes what its rule asks for, not internal fuel only')
  ),
  word(
    'pin, pinned',
    pin(() => ({ pinned: true, serveAnyway: false }), 'is pinned in its place')
  ),
  word(
    'unpin, unpinned',
    pin(() => ({ pinned: false, serveAnyway: false }), 'is no longer pinned')
  ),
  word(
    'serve anyway, serve',
    pin(({ pinned }) => ({ pinned, serveAnyway: true }), 'is served even past its latest contact')
  )
]
