import { GAUGE_SLACK_FACTOR } from '../contracts/bounds.ts'
import type { Covers, HandLimit, MassUnit } from '../contracts/kinds.ts'
import { BOARD_STEP, massIn, massKg, type Reported } from '../units.ts'
import { withFigure, written } from './figure.ts'
import { ask, record, type Understanding } from './understanding.ts'
import type { Ship, Tanker } from './vocabulary.ts'
import type { Means } from './word.ts'

/* Fuel as ships and tankers call it, and limits set by hand. */

const COVERS_WORDS: Readonly<Record<string, Covers>> = {
  ...{ internal: 'internal', internals: 'internal', int: 'internal' },
  ...{ total: 'total', tot: 'total' }
}
const EXTERNAL_WORDS = new Set(['externals', 'external', 'ext'])
/** How much of what the external tanks hold is in them. */
const LEVELS = { full: 1, half: 0.5, empty: 0, dry: 0 } as const
type Level = keyof typeof LEVELS
const isLevel = (word: string | undefined): word is Level => word !== undefined && Object.hasOwn(LEVELS, word)

/** A tanker may have come with more than planned; this far a bare figure may be meant. */
const TANKER_MOST_FACTOR = 1.5
/** An external quantity told in a word is no finer than a gauge is read. */
const STEP = 10

interface Call {
  figure: string
  covers: Covers | undefined
  level: Level | undefined
}

/** A figure with what it covers and the externals in a word, in any turn. */
function callIn(rest: readonly string[]): Call {
  const at = rest.findIndex((word) => EXTERNAL_WORDS.has(word))
  const [after, before] = [rest[at + 1], rest[at - 1]]
  const level = at === -1 ? undefined : isLevel(after) ? after : isLevel(before) ? before : undefined
  const used = new Set(level === undefined ? [] : [at, level === after ? at + 1 : at - 1])
  const left = rest.filter((_, index) => !used.has(index))
  const covers = left.find((word) => Object.hasOwn(COVERS_WORDS, word))
  return {
    figure: left.filter((word) => word !== covers).join(' '),
    covers: covers === undefined ? undefined : COVERS_WORDS[covers],
    level
  }
}

/** `6.4`, `5.2 internal`, `5.2 internal externals full`, `externals empty 5.2`. */
export const fuelCall: Means<Ship> = (ship, rest, { massUnit, observedAtMs }) => {
  const { callSign } = ship
  const { figure, covers: said, level } = callIn(rest)
  const covers = said ?? ship.gauge
  const mostKg = covers === 'total' ? ship.capacityKg : heldKg(ship, false)
  const tail = [said, ...(level === undefined ? [] : ['externals', level])].filter((one) => one !== undefined)
  if (figure === '') return ask(`${callSign}: how much fuel has it? Say 6.4 or 6400.`)
  return withFigure(
    figure,
    {
      massUnit,
      mostKg: mostKg * GAUGE_SLACK_FACTOR,
      begin: callSign,
      none: `${callSign}: "${figure}" is no fuel figure. Say 6.4 or 6400.`,
      line: (clear) => [callSign.toLowerCase(), clear, ...tail].join(' ')
    },
    (fuel) => {
      if (massKg(fuel) > mostKg * GAUGE_SLACK_FACTOR) {
        const most = Math.floor(massIn(massUnit, mostKg) + 1e-6)
        const which = covers === 'total' ? '' : ' internal'
        return ask(
          `${callSign} holds at most ${written({ value: most, unit: massUnit })}${which}; ${written(fuel)} cannot be.`
        )
      }
      if (level !== undefined) return withExternals(ship, fuel, { said, level })
      // What is held against a figure is what is believed now, of the ship's own gauge.
      const doubt = observedAtMs === undefined && covers === ship.gauge ? doubtOf(ship, fuel) : ''
      return record(
        { kind: 'callFuel', shipId: ship.shipId, fuel, covers },
        `${callSign} has ${written(fuel)} ${covers}.${doubt}`
      )
    }
  )
}

/** What is said of a figure beyond reason before it is entered; it counts all the same once it is. */
function doubtOf({ reason }: Ship, fuel: Reported<MassUnit>): string {
  if (reason === undefined) return ''
  const { unit, value } = fuel
  const steps = (kg: number): number => massIn(unit, kg) / BOARD_STEP
  // To the step in which fuel is called: what is told as expected is never doubted.
  const least = Math.max(0, Math.floor(steps(reason.leastKg))) * BOARD_STEP
  const most = Math.ceil(steps(reason.mostKg)) * BOARD_STEP
  if (value >= least && value <= most) return ''
  return ` Expected ${written({ value: least, unit })} to ${written({ value: most, unit })}: check it.`
}

/** Capacity of the external groups it carries, or of the internal ones. */
const heldKg = ({ groups }: Ship, external: boolean): number =>
  groups.reduce((sum, group) => sum + (group.external === external ? group.capacityKg : 0), 0)

/** Internal fuel with the externals in a word is a total; a total with full externals may have been meant as internal. */
function withExternals(
  ship: Ship,
  fuel: Reported<MassUnit>,
  { said, level }: { said: Covers | undefined; level: Level }
): Understanding {
  const { callSign, shipId, gauge } = ship
  const outsideKg = heldKg(ship, true)
  if (outsideKg === 0) return ask(`${callSign} carries no externals.`)
  const line = (tail: string) => `${callSign.toLowerCase()} ${String(fuel.value)} ${fuel.unit} ${tail}`
  const share = LEVELS[level]
  if ((said ?? gauge) === 'total' && share > 0) {
    const total = { text: line('total'), sentence: `${written(fuel)} total` }
    const inside = {
      text: line(`internal externals ${level}`),
      sentence: `${written(fuel)} internal, externals ${level}`
    }
    return said === 'total'
      ? ask(`${callSign}: a total holds the externals too; say it without them.`, [total])
      : ask(`${callSign}: is ${written(fuel)} the total, or internal fuel alone?`, [total, inside])
  }
  const outside = Math.round((share * massIn(fuel.unit, outsideKg)) / STEP) * STEP
  const total = { value: fuel.value + outside, unit: fuel.unit }
  return record(
    { kind: 'callFuel', shipId, fuel: total, covers: 'total' },
    `${callSign} has ${written(fuel)} internal, externals ${level}: ${written(total)} total.`
  )
}

/** `held`, `selected`, `off`; a level goes with a figure of internal fuel. */
export const externalsSaid: Means<Ship> = (ship, others, vocabulary) => {
  const [state, ...more] = others
  if (state === 'held' || state === 'selected' || state === 'off') return setExternals(state)(ship, more, vocabulary)
  if (!others.some(isLevel)) return ask(`${ship.callSign} externals: held, selected or off?`)
  if (others.some((word) => /\d/.test(word))) return fuelCall(ship, ['externals', ...levelFirst(others)], vocabulary)
  return ask(`${ship.callSign} externals: say them with the internal fuel, 5.2 internal externals empty.`)
}
const levelFirst = (words: readonly string[]): string[] =>
  words.toSorted((a, b) => Number(isLevel(b)) - Number(isLevel(a)))

export function setExternals(state: 'held' | 'selected' | 'off'): Means<Ship> {
  return (ship, others) => {
    if (heldKg(ship, true) === 0) return ask(`${ship.callSign} carries no externals.`)
    const extra = others.find((word) => !EXTERNAL_WORDS.has(word))
    if (extra !== undefined) return ask(`${ship.callSign} externals ${state}: "${extra}" is not understood.`)
    return record(
      { kind: 'setExternals', shipId: ship.shipId, externals: state },
      `${ship.callSign} externals ${state}.`
    )
  }
}

/** Holding is waiting, in the trade; externals are held where they are named. */
export const holding: Means<Ship> = (ship, others, vocabulary) => {
  const { callSign, isThere } = ship
  const said = others.filter((word) => word !== 'tanks')
  if (others.length > 0) return setExternals('held')(ship, said, vocabulary)
  const line = callSign.toLowerCase()
  const joins = { text: `${line} joined`, sentence: `${callSign} joined` }
  const holds = { text: `${line} externals held`, sentence: `${callSign} externals held` }
  return ask(`${callSign} holding: waits at its tanker, or holds its externals?`, [
    ...(isThere ? [] : [joins]),
    ...(heldKg(ship, true) === 0 ? [] : [holds])
  ])
}

/** A limit set higher by hand; `computed` takes it back. */
export function limitByHand(limit: HandLimit): Means<Ship> {
  return (ship, others, { massUnit }) => {
    const { shipId, callSign } = ship
    const text = others.join(' ')
    const asked = { kind: 'setLimit', shipId, limit }
    if (text === 'computed') return record(asked, `${callSign} ${limit}: as computed again.`)
    return withFigure(
      text,
      {
        massUnit,
        mostKg: ship.capacityKg,
        begin: `${callSign} ${limit}`,
        none: `${callSign} ${limit}: say a figure to set it by hand, or computed.`,
        line: (figure) => `${callSign.toLowerCase()} ${limit} ${figure}`
      },
      (fuel) => record({ ...asked, fuel }, `${callSign} ${limit} by hand: ${written(fuel)}.`)
    )
  }
}

/** `84.2`, `fuel 84200`. */
export const tankerFuel: Means<Tanker> = (tanker, rest, { massUnit }) => {
  const { callSign, tankerId } = tanker
  const figure = rest.join(' ')
  return withFigure(
    figure,
    {
      massUnit,
      mostKg: tanker.plannedFuelKg * TANKER_MOST_FACTOR,
      nearKg: tanker.fuelKg,
      begin: callSign,
      none: `${callSign}: "${figure}" is no fuel figure. Say 84.2 or 84200.`,
      line: (clear) => `${callSign.toLowerCase()} ${clear}`
    },
    (fuel) => record({ kind: 'callTankerFuel', tankerId, fuel }, `${callSign} has ${written(fuel)}.`)
  )
}
