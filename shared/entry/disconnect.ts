import { GAUGE_SLACK_FACTOR } from '../contracts/bounds.ts'
import type { MassUnit } from '../contracts/kinds.ts'
import { massIn, massKg, type Reported } from '../units.ts'
import { withFigure, written } from './figure.ts'
import { ask, record, type Choice, type Understanding } from './understanding.ts'
import type { Flowed, Ship } from './vocabulary.ts'
import type { Means } from './word.ts'

/* Off the station, and with how much: what is said before Enter is what is recorded. */

/** Said around an off-load; those in TOOK say that it is one. */
const TOOK = new Set(['took', 'taken', 'given', 'off-load', 'offload', 'on-load', 'onload'])
const AROUND = new Set(['off', 'complete', 'disconnect', 'disconnected', 'disconnects'])
const EARLY = new Set(['partial', 'early'])
/** The figure is what its gauge shows. */
const ABOARD = 'aboard'
/** `by the clock`: what has flowed as computed. */
const CLOCK = new Set(['by', 'clock'])

/** Figures told in place of another are no finer. */
const STEP = 10
/** A figure this near to what it would have aboard may be just that. Assumed, no source. */
const NEAR_ABOARD_SHARE = 0.1
/** The clock is as good as what is planned within this share, or half a minute. Assumed, no source. */
const FITS_SHARE = 0.05

type Fuel = Reported<MassUnit>

/** A disconnect as it was said, and what is known of the contact. */
interface Off {
  ship: Ship
  how: 'whole' | 'partial'
  flowed: Flowed | undefined
  massUnit: MassUnit
}

const told = (kg: number, unit: MassUnit): Fuel => ({ value: Math.round(massIn(unit, kg) / STEP) * STEP, unit })
const verb = ({ how }: Off): string => (how === 'partial' ? 'disconnects early' : 'disconnects')
const line = ({ ship, how }: Off, rest: string): string =>
  `${ship.callSign} ${how === 'partial' ? 'partial' : 'disconnect'} ${rest}`.toLowerCase()

/** `disconnect`, `disconnect 4.5`, `disconnect partial 2.1`, `disconnect took 4.5`, `disconnect 6.2 aboard`, `disconnect by the clock`. */
export const disconnect: Means<Ship> = (ship, others, { massUnit, nowMs, observedAtMs }) => {
  const how = others.some((one) => EARLY.has(one)) ? 'partial' : 'whole'
  const off: Off = { ship, how, flowed: ship.flowedAt?.(observedAtMs ?? nowMs), massUnit }
  const said = others.filter((one) => !AROUND.has(one) && !EARLY.has(one))
  const figure = said.filter((one) => !TOOK.has(one) && !CLOCK.has(one) && one !== ABOARD).join(' ')
  if (figure === '') return withoutFigure(off, said.includes('clock'))
  const tail = said.includes(ABOARD) ? ` ${ABOARD}` : ''
  return withFigure(
    figure,
    {
      massUnit,
      mostKg: ship.capacityKg,
      nearKg: expectedKg(off, tail !== ''),
      begin: `${ship.callSign} disconnect`,
      none: `${ship.callSign} disconnect: "${figure}" is no fuel figure. Say 4.5 or 4500.`,
      line: (clear) => line(off, `${said.some((one) => TOOK.has(one)) ? 'took ' : ''}${clear}${tail}`)
    },
    (fuel) => {
      if (said.includes(ABOARD)) return withAboard(off, fuel)
      if (said.some((one) => TOOK.has(one))) return withTaken(off, fuel)
      return asked(off, fuel) ?? withTaken(off, fuel)
    }
  )
}

/** What it would have taken by the clock, or have aboard. */
const expectedKg = ({ flowed }: Off, isAboard: boolean): number | undefined =>
  flowed && flowed.flowedKg + (isAboard ? flowed.hadKg - flowed.burnedKg : 0)

/** Without a figure the clock counts: where it is far from what is planned, that is said first. */
function withoutFigure(off: Off, byClock: boolean): Understanding {
  const { ship, how, flowed, massUnit } = off
  const { shipId, callSign } = ship
  if (how === 'partial') return ask(`${callSign} partial: how much did it take?`)
  const request = { kind: 'disconnect', shipId, how }
  if (flowed === undefined) return record(request, `${callSign} disconnects with what has flowed by the clock.`)
  const { flowedKg, flowedBeforeKg, flowedSoonKg, plannedKg } = flowed
  const clock = written(told(flowedKg, massUnit))
  const planned = told(plannedKg, massUnit)
  if (byClock) return record(request, `${callSign} disconnects with what has flowed by the clock, ${clock}.`)
  const isEnough = flowedSoonKg >= plannedKg * (1 - FITS_SHARE)
  if (isEnough && flowedBeforeKg <= plannedKg * (1 + FITS_SHARE)) {
    return record(request, `${callSign} disconnects with the whole on-load, ${clock} by the clock.`)
  }
  const late = isEnough ? 'its disconnect is called late' : 'its contact was called late'
  return ask(`${callSign} disconnect: ${written(planned)} is planned, ${clock} has flowed by the clock.`, [
    { text: line(off, `took ${planned.value} ${planned.unit}`), sentence: `${written(planned)} as planned: ${late}` },
    { text: line(off, 'by the clock'), sentence: `${clock}, what has flowed by the clock` }
  ])
}

/** A figure that may be what it has now, or that cannot have flowed: the question, where there is one. */
function asked(off: Off, fuel: Fuel): Understanding | undefined {
  const { ship, flowed } = off
  if (flowed === undefined) return undefined
  const kg = massKg(fuel)
  const isTooMuch = kg > flowed.mostFlowedKg
  if (!isTooMuch && !isNearAboard(flowed, kg)) return undefined
  if (kg > flowed.mostTakenKg) return noRoom(off, fuel)
  const choices = [taken(off, fuel), ...aboard(off, fuel)]
  if (choices.length > 1) return ask(`${ship.callSign}: took ${written(fuel)}, or has ${written(fuel)} now?`, choices)
  return isTooMuch ? ask(`${tooMuch(off, fuel)}.`, [...choices, ...clockChoice(off)]) : undefined
}

/** More than the tanks have room for: the service would refuse it. */
function noRoom(off: Off, fuel: Fuel): Understanding {
  const { ship, flowed, massUnit } = off
  const most = written(told(flowed?.mostTakenKg ?? 0, massUnit))
  return ask(`${ship.callSign} cannot have taken ${written(fuel)}: there was room for ${most} at most.`, [
    ...aboard(off, fuel),
    ...clockChoice(off)
  ])
}

const tooMuch = ({ ship, flowed, massUnit }: Off, fuel: Fuel): string =>
  `${ship.callSign} took ${written(fuel)}: more than has flowed since its contact was called, ${written(told(flowed?.flowedKg ?? 0, massUnit))}`

/** Nearer to what it has now, by the clock or as planned, than to what it can have taken. */
function isNearAboard({ hadKg, burnedKg, flowedKg, plannedKg }: Flowed, kg: number): boolean {
  const off = (...figures: number[]) => Math.min(...figures.map((one) => Math.abs(one - kg)))
  const byAboardKg = off(hadKg - burnedKg + flowedKg, hadKg - burnedKg + plannedKg)
  return byAboardKg < NEAR_ABOARD_SHARE * kg && byAboardKg < off(flowedKg, plannedKg)
}

const taken = (off: Off, fuel: Fuel): Choice => ({
  text: line(off, `took ${String(fuel.value)} ${fuel.unit}`),
  sentence: `took ${written(fuel)}${massKg(fuel) > (off.flowed?.mostFlowedKg ?? Infinity) ? ': its contact was called late' : ''}`
})

/** A partial disconnect has a figure. */
const clockChoice = (off: Off): Choice[] =>
  off.how === 'partial' || off.flowed === undefined
    ? []
    : [
        {
          text: line(off, 'by the clock'),
          sentence: `${written(told(off.flowed.flowedKg, off.massUnit))}, what has flowed by the clock`
        }
      ]

/** What it took to have that now; undefined where it cannot have so much, or its gauge does not tell. */
function tookFor({ ship, flowed }: Off, fuel: Fuel): Fuel | undefined {
  if (flowed === undefined || ship.gauge !== 'total') return undefined
  const kg = massKg(fuel) - flowed.hadKg + flowed.burnedKg
  if (kg <= 0 || kg > flowed.mostTakenKg || massKg(fuel) > ship.capacityKg * GAUGE_SLACK_FACTOR) return undefined
  return told(kg, fuel.unit)
}

function aboard(off: Off, fuel: Fuel): Choice[] {
  const took = tookFor(off, fuel)
  if (took === undefined) return []
  const text = line(off, `${String(fuel.value)} ${fuel.unit} ${ABOARD}`)
  return [{ text, sentence: `has ${written(fuel)} now: took ${written(took)}` }]
}

function withAboard(off: Off, fuel: Fuel): Understanding {
  const { callSign } = off.ship
  const took = tookFor(off, fuel)
  if (took === undefined) {
    return ask(`${callSign} ${verb(off)}: what it took does not follow from ${written(fuel)} aboard. Say it apart.`)
  }
  return offWith(off, took, `${callSign} ${verb(off)} with ${written(fuel)} aboard: took ${written(took)}`)
}

function withTaken(off: Off, fuel: Fuel): Understanding {
  if (off.flowed !== undefined && massKg(fuel) > off.flowed.mostTakenKg) return noRoom(off, fuel)
  return offWith(off, fuel, `${off.ship.callSign} ${verb(off)} with ${written(fuel)}`)
}

/** What is beyond the clock is told as such: else it would count for no more than has flowed. */
function offWith({ ship, how, flowed }: Off, offLoad: Fuel, sentence: string): Understanding {
  const request = { kind: 'disconnect', shipId: ship.shipId, how, offLoad }
  return massKg(offLoad) > (flowed?.mostFlowedKg ?? Infinity)
    ? record({ ...request, contactCalledLate: true }, `${sentence}; its contact was called late.`)
    : record(request, `${sentence}.`)
}
