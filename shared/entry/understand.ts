import type { HandLimit } from '../contracts/kinds.ts'
import { KG_PER_LB } from '../units.ts'
import { landing, late, noShow, onTime, priority, shows, topOff } from './disruption.ts'
import { basesNamed, named, stationsNamed } from './name.ts'
import { stray } from './stray.ts'
import { TANKER_WORDS } from './tanker.ts'
import { troubled } from './trouble.ts'
import { ask, doing, record, type Action, type Understanding } from './understanding.ts'
import { spokenFuel, written } from './figure.ts'
import type { Ship, Tanker, Vocabulary } from './vocabulary.ts'

const SHIP_HINT =
  'a fuel figure, joined, contact, flowing, disconnect, partial, pushed, left, landed, late, no-show, priority, top-off, lift not before, full on-load, held, selected, jettisoned, not giving, up, down'
const TANKER_HINT = 'a fuel figure, late, leaves, gives, keeps, or a station and good, suspect or failed'

/** The words of the line that name nobody. */
const ALONE: Readonly<Record<string, readonly [Action, string]>> = {
  help: [{ kind: 'help' }, 'Show what can be said.'],
  '?': [{ kind: 'help' }, 'Show what can be said.'],
  'open event': [{ kind: 'record', request: { kind: 'openEvent' } }, 'Open the event: from now on it is recorded.'],
  'close event': [{ kind: 'record', request: { kind: 'closeEvent' } }, 'Close the event: nothing more is recorded.'],
  undo: [{ kind: 'undo' }, 'Withdraw your last entry.'],
  accept: [{ kind: 'accept' }, 'Accept the moved order.'],
  refuse: [{ kind: 'refuse' }, 'Drop the moved order.'],
  suggest: [{ kind: 'suggest', choose: 'best' }, 'Look for a better order.'],
  repair: [{ kind: 'suggest', choose: 'repair' }, 'Look for a repair: only what goes wrong is moved.'],
  anew: [{ kind: 'suggest', choose: 'anew' }, 'Look for a better order from the beginning.'],
  order: [{ kind: 'list' }, 'Show the order as a list, or the ships again.'],
  print: [{ kind: 'print' }, 'Print the order in force.'],
  'lane 30': [{ kind: 'lane', minutes: 30 }, 'Show the next 30 minutes.'],
  'lane 60': [{ kind: 'lane', minutes: 60 }, 'Show the next 60 minutes.'],
  'lane 90': [{ kind: 'lane', minutes: 90 }, 'Show the next 90 minutes.']
}

/**
 * What a typed line means, in the words of the event: at most one action, and the sentence that tells it before
 * it is entered. What is open to two readings is asked about and never recorded.
 */
export function understand(text: string, vocabulary: Vocabulary): Understanding {
  const line = text.trim().toLowerCase().replace(/\s+/g, ' ')
  if (line === '') return { kind: 'nothing' }
  const alone = ALONE[line]
  if (alone !== undefined) return doing(...alone)

  const said = line.split(' ')
  const base = landing(said, vocabulary)
  if (base !== undefined) return base
  const found = named(said, vocabulary)
  if (found === undefined) {
    if (said[0] === 'stray') return stray(said.slice(1), vocabulary)
    return ask(`Nobody here is called "${text.trim()}". Begin with a ship or a tanker, or say help.`)
  }
  const { ships, flights, tankers, rest } = found

  const verb = rest[0]
  const urgency = verb === 'priority' ? priority(found, rest.slice(1), vocabulary) : undefined
  if (urgency !== undefined) return urgency
  if (verb !== undefined && PUSH_WORDS.has(verb) && rest.length === 1) {
    const pushing = pushed(found)
    if (pushing !== undefined) return pushing
  }
  const [ship] = ships
  const [tanker] = tankers
  if (ships.length === 1 && tankers.length === 0 && ship !== undefined) return ofShip(ship, rest, vocabulary)
  if (tankers.length === 1 && ships.length === 0 && tanker !== undefined) return ofTanker(tanker, rest, vocabulary)
  if (ships.length === 0 && tankers.length === 0) {
    return ask(`${flights.map((flight) => flight.callSign).join(', ')}: name one ship, or say pushed or priority.`)
  }
  const tail = rest.length === 0 ? '' : ` ${rest.join(' ')}`
  return ask(
    'Which one?',
    [...ships, ...tankers].slice(0, 8).map(({ callSign }) => ({
      text: `${callSign.toLowerCase()}${tail}`,
      sentence: callSign + tail
    }))
  )
}

const PUSH_WORDS = new Set(['push', 'pushed', 'pushes'])

/** A flight pushes together; a ship may push alone. */
function pushed({
  ships,
  flights
}: {
  ships: readonly Ship[]
  flights: Vocabulary['flights']
}): Understanding | undefined {
  const [flight] = flights
  if (flights.length === 1 && flight !== undefined && ships.length !== 1) {
    return record(
      { kind: 'push', shipIds: [...flight.shipIds] },
      `${flight.callSign} pushes, ${flight.shipIds.length} ships.`
    )
  }
  const [ship] = ships
  if (ships.length === 1 && ship !== undefined) {
    return record({ kind: 'push', shipIds: [ship.shipId] }, `${ship.callSign} pushes.`)
  }
  return undefined
}

type OfShip = (ship: Ship, rest: readonly string[], vocabulary: Vocabulary) => Understanding

/** What can be said of a ship, by its first word. */
const SHIP_WORDS: Readonly<Record<string, OfShip>> = {
  ...words(
    ['join', 'joined', 'joins'],
    plain((ship) => [{ kind: 'joinShip', shipId: ship.shipId }, 'joined'])
  ),
  ...words(['contact'], contact),
  ...words(
    ['flow', 'flowing', 'flows'],
    plain((ship) => [{ kind: 'startFlow', shipId: ship.shipId }, 'fuel is flowing'])
  ),
  ...words(['disconnect', 'disconnected', 'disconnects', 'complete'], disconnect),
  ...words(['partial'], (ship, rest, vocabulary) => disconnect(ship, ['partial', ...rest], vocabulary)),
  ...words(['left', 'leave', 'leaves'], toBase('leave', 'leaves')),
  ...words(['landed', 'lands'], toBase('land', 'landed')),
  ...words(['held', 'hold'], externals('held')),
  ...words(['selected', 'select', 'release', 'released'], externals('selected')),
  ...words(['externals'], externalsSaid),
  // "Off" is said of the tanker and of external tanks alike.
  ...words(['off'], (ship) =>
    ask(`${ship.callSign} off: off the station, or externals off?`, [
      { text: `${ship.callSign.toLowerCase()} disconnect`, sentence: `${ship.callSign} disconnects` },
      { text: `${ship.callSign.toLowerCase()} externals off`, sentence: `${ship.callSign} externals off` }
    ])
  ),
  ...words(
    ['jettison', 'jettisoned', 'jettisons'],
    plain((ship) => [{ kind: 'jettison', shipId: ship.shipId }, 'jettisoned its externals'])
  ),
  ...words(['abort'], limitByHand('abort')),
  ...words(['bingo'], limitByHand('bingo')),
  ...words(['joker'], limitByHand('joker')),
  ...words(['required'], limitByHand('required')),
  ...words(['late'], late),
  ...words(['on'], onTime),
  ...words(['no-show', 'noshow'], alone(noShow)),
  ...words(['no'], (ship, [word, ...more]) =>
    word === 'show' ? alone(noShow)(ship, more) : ask(`${ship.callSign} no: say no-show.`)
  ),
  ...words(['shows'], alone(shows)),
  ...words(['top-off', 'topoff'], alone(topOff)),
  ...words(['top'], (ship, [word, ...more]) =>
    word === 'off' ? alone(topOff)(ship, more) : ask(`${ship.callSign} top: say top-off.`)
  ),
  ...words(['up', 'earlier'], (ship, rest) => moved(ship, rest, 'up')),
  ...words(['down', 'later'], (ship, rest) => moved(ship, rest, 'down')),
  ...words(['to'], movedTo),
  ...words(['lift'], lift('not before', 'lift', 'comes as soon as it can')),
  ...words(['full'], lift('internals only', 'full', 'takes what its rule asks for, not internal fuel only')),
  ...words(['pin', 'pinned'], (ship, rest) =>
    pin(ship, rest, { pinned: true, serveAnyway: false }, 'is pinned in its place')
  ),
  ...words(['unpin', 'unpinned'], (ship, rest) =>
    pin(ship, rest, { pinned: false, serveAnyway: false }, 'is no longer pinned')
  ),
  ...words(['serve'], (ship, rest) =>
    pin(ship, rest, { pinned: ship.pinned, serveAnyway: true }, 'is served even past its latest contact', ['anyway'])
  )
}

function words(said: readonly string[], means: OfShip): Record<string, OfShip> {
  return Object.fromEntries(said.map((word) => [word, means]))
}

function ofShip(ship: Ship, rest: readonly string[], vocabulary: Vocabulary): Understanding {
  const [verb, ...more] = rest
  if (verb === undefined) return doing({ kind: 'select', shipId: ship.shipId }, `${ship.callSign}: say ${SHIP_HINT}.`)
  if (verb === 'fuel') return fuelCall(ship, more, vocabulary)
  const means = Object.hasOwn(SHIP_WORDS, verb) ? SHIP_WORDS[verb] : undefined
  if (means !== undefined) return means(ship, more, vocabulary)
  if (/^\d/.test(verb)) return fuelCall(ship, rest, vocabulary)
  const trouble = troubled(ship, rest)
  if (trouble !== undefined) return trouble
  return notUnderstood(ship.callSign, verb, SHIP_HINT)
}

const notUnderstood = (callSign: string, word: string, hint: string): Understanding =>
  ask(`${callSign}: "${word}" is not understood. Say ${hint}.`)

/** A word that takes nothing after it. */
function alone(means: (ship: Ship) => Understanding) {
  return (ship: Ship, rest: readonly string[]): Understanding => {
    const extra = rest[0]
    return extra === undefined ? means(ship) : notUnderstood(ship.callSign, extra, 'nothing more')
  }
}

function plain(means: (ship: Ship) => readonly [request: unknown, told: string]): OfShip {
  return alone((ship) => {
    const [request, told] = means(ship)
    return record(request, `${ship.callSign} ${told}.`)
  })
}

function fuelCall(ship: Ship, rest: readonly string[], { massUnit }: Vocabulary): Understanding {
  const last = rest.at(-1)
  const said = last === 'internal' || last === 'total' ? last : undefined
  const text = (said === undefined ? rest : rest.slice(0, -1)).join(' ')
  const covers = said ?? ship.gauge
  const fuel = spokenFuel(text, massUnit)
  if (fuel === undefined) return ask(`${ship.callSign}: "${text}" is no fuel figure. Say 6.4 or 6400.`)
  const fits = (kg: number) => kg <= ship.capacityKg + 1
  if ('readings' in fuel) {
    const readings = fuel.readings.filter((reading) => fits(kgOf(reading)))
    return ask(
      `${ship.callSign}: ${text} is open to more than one reading.`,
      readings.map((reading) => ({
        text: `${ship.callSign.toLowerCase()} ${reading.value} ${reading.unit}${said === undefined ? '' : ` ${said}`}`,
        sentence: written(reading)
      }))
    )
  }
  if (!fits(kgOf(fuel.clear))) {
    const most = Math.floor(ship.capacityKg / (massUnit === 'lb' ? KG_PER_LB : 1) + 1e-6)
    return ask(
      `${ship.callSign} holds at most ${written({ value: most, unit: massUnit })}; ${written(fuel.clear)} cannot be.`
    )
  }
  return record(
    { kind: 'callFuel', shipId: ship.shipId, fuel: fuel.clear, covers },
    `${ship.callSign} has ${written(fuel.clear)} ${covers}.`
  )
}

/** A limit set higher by hand; `computed` takes it back. */
function limitByHand(limit: HandLimit): OfShip {
  return (ship, rest, { massUnit }) => {
    const text = rest.join(' ')
    const asked = { kind: 'setLimit', shipId: ship.shipId, limit }
    if (text === 'computed') return record(asked, `${ship.callSign} ${limit}: as computed again.`)
    const fuel = spokenFuel(text, massUnit)
    if (fuel === undefined) return ask(`${ship.callSign} ${limit}: say a figure to set it by hand, or computed.`)
    if ('readings' in fuel) {
      return ask(
        `${ship.callSign} ${limit}: ${text} is open to more than one reading.`,
        fuel.readings.map((reading) => ({
          text: `${ship.callSign.toLowerCase()} ${limit} ${reading.value} ${reading.unit}`,
          sentence: written(reading)
        }))
      )
    }
    return record({ ...asked, fuel: fuel.clear }, `${ship.callSign} ${limit} by hand: ${written(fuel.clear)}.`)
  }
}

const kgOf = (fuel: { value: number; unit: 'lb' | 'kg' }): number => fuel.value * (fuel.unit === 'lb' ? KG_PER_LB : 1)

function contact(ship: Ship, rest: readonly string[], { tankers }: Vocabulary): Understanding {
  if (rest.length === 0)
    return record({ kind: 'makeContact', shipId: ship.shipId }, `${ship.callSign} is in contact at its station.`)
  const stations = stationsNamed(rest, tankers)
  const [only] = stations
  if (only === undefined) return ask(`${ship.callSign} contact: no station is called "${rest.join(' ')}".`)
  if (stations.length > 1) {
    return ask(
      `${ship.callSign} contact: at which station?`,
      stations.slice(0, 8).map(({ tanker, station }) => ({
        text: `${ship.callSign} contact ${tanker.callSign} ${station.name}`.toLowerCase(),
        sentence: `${tanker.callSign} ${station.name}`
      }))
    )
  }
  return record(
    { kind: 'makeContact', shipId: ship.shipId, tankerId: only.tanker.tankerId, stationId: only.station.stationId },
    `${ship.callSign} is in contact at ${only.tanker.callSign} ${only.station.name}.`
  )
}

function disconnect(ship: Ship, rest: readonly string[], { massUnit }: Vocabulary): Understanding {
  const how = rest.includes('partial') ? 'partial' : 'whole'
  const figure = rest.filter((word) => word !== 'partial').join(' ')
  if (figure === '') {
    if (how === 'partial') return ask(`${ship.callSign} partial: how much did it take?`)
    return record(
      { kind: 'disconnect', shipId: ship.shipId, how },
      `${ship.callSign} disconnects with the whole on-load.`
    )
  }
  const offLoad = spokenFuel(figure, massUnit)
  if (offLoad === undefined) return ask(`${ship.callSign} disconnect: "${figure}" is no fuel figure. Say 4.5 or 4500.`)
  if ('readings' in offLoad) {
    return ask(
      `${ship.callSign} disconnect: ${figure} is open to more than one reading.`,
      offLoad.readings.map((reading) => ({
        text: `${ship.callSign.toLowerCase()} ${how === 'partial' ? 'partial' : 'disconnect'} ${reading.value} ${reading.unit}`,
        sentence: written(reading)
      }))
    )
  }
  const told = how === 'partial' ? 'disconnects early with' : 'disconnects with'
  return record(
    { kind: 'disconnect', shipId: ship.shipId, how, offLoad: offLoad.clear },
    `${ship.callSign} ${told} ${written(offLoad.clear)}.`
  )
}

function toBase(kind: 'leave' | 'land', told: string): OfShip {
  return (ship, rest, { bases }) => {
    const said = rest.filter((word) => word !== 'for' && word !== 'at')
    if (said.length === 0) return record({ kind, shipId: ship.shipId }, `${ship.callSign} ${told}.`)
    const found = basesNamed(said, bases)
    const [base] = found
    if (base === undefined) return ask(`${ship.callSign} ${told}: no base is called "${said.join(' ')}".`)
    if (found.length > 1) {
      return ask(
        `${ship.callSign} ${told}: which base?`,
        found.map(({ name }) => ({
          text: `${ship.callSign} ${kind === 'leave' ? 'left' : 'landed'} ${name}`.toLowerCase(),
          sentence: name
        }))
      )
    }
    return record(
      { kind, shipId: ship.shipId, baseId: base.baseId },
      `${ship.callSign} ${told} ${kind === 'leave' ? 'for' : 'at'} ${base.name}.`
    )
  }
}

function externals(state: 'held' | 'selected' | 'off'): OfShip {
  return plain((ship) => [{ kind: 'setExternals', shipId: ship.shipId, externals: state }, `externals ${state}`])
}

function externalsSaid(ship: Ship, rest: readonly string[], vocabulary: Vocabulary): Understanding {
  const [state, ...more] = rest
  if (state === 'held' || state === 'selected' || state === 'off') return externals(state)(ship, more, vocabulary)
  return ask(`${ship.callSign} externals: held, selected or off?`)
}

function moved(ship: Ship, rest: readonly string[], direction: 'up' | 'down'): Understanding {
  const extra = rest[0]
  if (extra !== undefined) return notUnderstood(ship.callSign, extra, 'nothing more')
  return doing(
    { kind: 'move', shipId: ship.shipId, direction },
    `Move ${ship.callSign} ${direction === 'up' ? 'earlier' : 'later'} at its station.`
  )
}

/** What an order says of a slot beside its turn is taken back by its whole word, or by the word's beginning. */
function lift(said: 'not before' | 'internals only', verb: string, told: string): OfShip {
  const whole = said === 'not before' ? 'not before' : 'on-load'
  return (ship, rest) => {
    const more = rest.join(' ')
    if (more !== '' && more !== whole && more !== whole.replace('-', ' '))
      return notUnderstood(ship.callSign, more, `${verb} ${whole}`)
    return doing({ kind: 'lift', shipId: ship.shipId, said }, `Change the order: ${ship.callSign} ${told}.`)
  }
}

function movedTo(ship: Ship, rest: readonly string[], { tankers }: Vocabulary): Understanding {
  const stations = rest.length === 0 ? [] : stationsNamed(rest, tankers)
  const [only] = stations
  if (only === undefined) return ask(`${ship.callSign} to: which station?`)
  if (stations.length > 1) {
    return ask(
      `${ship.callSign} to: which station?`,
      stations.slice(0, 8).map(({ tanker, station }) => ({
        text: `${ship.callSign} to ${tanker.callSign} ${station.name}`.toLowerCase(),
        sentence: `${tanker.callSign} ${station.name}`
      }))
    )
  }
  return doing(
    { kind: 'moveTo', shipId: ship.shipId, tankerId: only.tanker.tankerId, stationId: only.station.stationId },
    `Move ${ship.callSign} to ${only.tanker.callSign} ${only.station.name}.`
  )
}

function pin(
  ship: Ship,
  rest: readonly string[],
  state: { pinned: boolean; serveAnyway: boolean },
  told: string,
  allowed: readonly string[] = []
): Understanding {
  const extra = rest.find((word) => !allowed.includes(word))
  if (extra !== undefined) return notUnderstood(ship.callSign, extra, 'nothing more')
  if (ship.slotId === undefined) return ask(`${ship.callSign} has no slot.`)
  return record({ kind: 'setPin', slotId: ship.slotId, ...state }, `${ship.callSign} ${told}.`)
}

const STATUS_WORDS = { good: 'good', suspect: 'suspect', failed: 'failed' } as const

function ofTanker(tanker: Tanker, rest: readonly string[], vocabulary: Vocabulary): Understanding {
  const { massUnit } = vocabulary
  const [first, ...more] = rest
  if (first === undefined) return ask(`${tanker.callSign}: say ${TANKER_HINT}.`)
  const means = Object.hasOwn(TANKER_WORDS, first) ? TANKER_WORDS[first] : undefined
  if (means !== undefined) return means(tanker, more, vocabulary)
  const figure = (first === 'fuel' ? rest.slice(1) : rest).join(' ')
  if (/^\d/.test(figure)) return tankerFuel(tanker, figure, massUnit)
  const status = rest.at(-1)
  if (status === undefined || !(Object.hasOwn(STATUS_WORDS, status) || status === 'bad')) {
    return notUnderstood(tanker.callSign, rest.join(' '), TANKER_HINT)
  }
  const said = rest.slice(0, -1)
  const stations = stationsNamed(said, [tanker])
  const [only] = stations
  if (only === undefined) return ask(`${tanker.callSign} has no station called "${said.join(' ')}".`)
  if (stations.length > 1 || status === 'bad') {
    const states = status === 'bad' ? ['suspect', 'failed'] : [status]
    return ask(
      status === 'bad'
        ? `${tanker.callSign}: suspect takes nobody new until the tanker calls it good; failed is out.`
        : `${tanker.callSign}: which station?`,
      stations.flatMap(({ station }) =>
        states.map((state) => ({
          text: `${tanker.callSign} ${station.name} ${state}`.toLowerCase(),
          sentence: `${station.name} ${state}`
        }))
      )
    )
  }
  return record(
    { kind: 'setStation', tankerId: tanker.tankerId, stationId: only.station.stationId, status },
    `${tanker.callSign} ${only.station.name} is ${status}.`
  )
}

function tankerFuel(tanker: Tanker, figure: string, massUnit: Vocabulary['massUnit']): Understanding {
  const fuel = spokenFuel(figure, massUnit)
  if (fuel === undefined) return ask(`${tanker.callSign}: "${figure}" is no fuel figure. Say 84.2 or 84200.`)
  if ('readings' in fuel) {
    return ask(
      `${tanker.callSign}: ${figure} is open to more than one reading.`,
      fuel.readings.map((reading) => ({
        text: `${tanker.callSign.toLowerCase()} ${reading.value} ${reading.unit}`,
        sentence: written(reading)
      }))
    )
  }
  return record(
    { kind: 'callTankerFuel', tankerId: tanker.tankerId, fuel: fuel.clear },
    `${tanker.callSign} has ${written(fuel.clear)}.`
  )
}
