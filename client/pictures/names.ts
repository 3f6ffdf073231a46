import type { Box } from './map.ts'

/** Names on a map, about their points. */

export interface MapName {
  x: number
  y: number
  text: string
}
export interface PlacedName extends MapName {
  anchor: 'start' | 'middle' | 'end'
  baseline: number
}

const LETTER_PX = 6.8
const TALL_PX = 14
/** Where a name may stand about its point, in the order they are tried. */
const PLACES: readonly { dx: number; dy: number; anchor: PlacedName['anchor'] }[] = [
  { dx: 9, dy: 4, anchor: 'start' },
  { dx: -9, dy: 4, anchor: 'end' },
  { dx: 0, dy: -9, anchor: 'middle' },
  { dx: 0, dy: 18, anchor: 'middle' },
  { dx: 9, dy: 19, anchor: 'start' },
  { dx: 9, dy: -11, anchor: 'start' },
  { dx: -9, dy: 19, anchor: 'end' },
  { dx: -9, dy: -11, anchor: 'end' },
  { dx: 9, dy: 33, anchor: 'start' },
  { dx: -9, dy: 33, anchor: 'end' },
  { dx: 9, dy: -25, anchor: 'start' },
  { dx: -9, dy: -25, anchor: 'end' }
]

/** Names about their points so that none lies on another; one for which there is no room stands at its first place. */
export function placedNames(names: readonly MapName[], box: Box): PlacedName[] {
  const taken: Box[] = []
  return names.map((name) => {
    const [first] = PLACES
    const spot =
      PLACES.find((place) => {
        const room = roomOf(name, place)
        const inside =
          room.left >= box.left && room.right <= box.right && room.top >= box.top && room.bottom <= box.bottom
        return inside && !taken.some((other) => overlap(room, other))
      }) ?? first
    if (!spot) throw new RangeError('no place to try')
    taken.push(roomOf(name, spot))
    return { ...name, x: name.x + spot.dx, baseline: name.y + spot.dy, anchor: spot.anchor }
  })
}

function roomOf({ x, y, text }: MapName, { dx, dy, anchor }: (typeof PLACES)[number]): Box {
  const width = text.length * LETTER_PX
  const left = x + dx - (anchor === 'end' ? width : anchor === 'middle' ? width / 2 : 0)
  return { left, right: left + width, top: y + dy - TALL_PX + 3, bottom: y + dy + 3 }
}

const overlap = (a: Box, b: Box): boolean =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
