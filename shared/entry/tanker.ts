import type { MassUnit } from '../contracts/kinds.ts'
import { massIn } from '../units.ts'
import { spokenFuel, written } from './figure.ts'
import { clock, minutesAfter, spokenMoment } from './moment.ts'
import { stray } from './stray.ts'
import { ask, record, type Understanding } from './understanding.ts'
import type { Tanker, Vocabulary } from './vocabulary.ts'

/* What comes otherwise than planned of a tanker: its times and its give. */

type OfTanker = (tanker: Tanker, rest: readonly string[], vocabulary: Vocabulary) => Understanding

/** By the first word after its name. */
export const TANKER_WORDS: Readonly<Record<string, OfTanker>> = {
  late,
  leaves,
  leaving: leaves,
  gives,
  give: gives,
  keeps,
  on: onTime,
  stray: (tanker, rest, vocabulary) => stray(rest, vocabulary, tanker)
}

const PLANNED = new Set(['planned', 'as planned'])

/** A request sets both times whole: what is not said anew is said again. */
const times = (tanker: Tanker, said: { onStationAtMs?: number; leavesAtMs?: number }, sentence: string) => {
  const { onStationAtMs, leavesAtMs } = { ...tanker.told, ...said }
  return record(
    {
      kind: 'setTankerTimes',
      tankerId: tanker.tankerId,
      ...(onStationAtMs === undefined ? {} : { onStationAtMs }),
      ...(leavesAtMs === undefined ? {} : { leavesAtMs })
    },
    sentence
  )
}

/** `late 10`, `late 1440`: on station so much later, or then. */
function late(tanker: Tanker, rest: readonly string[], { nowMs }: Vocabulary): Understanding {
  const text = rest.join(' ')
  if (text === '') return ask(`${tanker.callSign} late: by how many minutes, or until when? Say 10, or 1440.`)
  const moment = spokenMoment(text, nowMs)
  if (moment === undefined) return ask(`${tanker.callSign} late: "${text}" is no time. Say minutes, 10, or 1440.`)
  const atMs = 'atMs' in moment ? moment.atMs : minutesAfter(Math.max(tanker.onStationAtMs, nowMs), moment.minutes)
  const how = 'atMs' in moment ? `not at ${clock(tanker.onStationAtMs)}` : `${moment.minutes} min later`
  return times(tanker, { onStationAtMs: atMs }, `${tanker.callSign} is on station at ${clock(atMs)}, ${how}.`)
}

/** `leaves 1510`, `leaves in 20`, `leaves 20 early`. */
function leaves(tanker: Tanker, rest: readonly string[], { nowMs }: Vocabulary): Understanding {
  const { callSign, leavesAtMs } = tanker
  const text = rest.join(' ')
  const [, soon, early] = /^in (.+)$|^(.+) early$/.exec(text) ?? []
  const moment = spokenMoment(soon ?? early ?? text, nowMs)
  if (moment === undefined) return ask(`${callSign} leaves: when? Say 1510, in 20, or 20 early.`)
  if ('minutes' in moment && soon === undefined && early === undefined) {
    return ask(
      `${callSign} leaves ${text}: in ${text} minutes, or ${text} minutes early?`,
      [`in ${moment.minutes}`, `${moment.minutes} early`].map((said) => ({
        text: `${callSign.toLowerCase()} leaves ${said}`,
        sentence: said.replace(String(moment.minutes), `${moment.minutes} min`)
      }))
    )
  }
  // An hour and a minute is no span.
  if ('atMs' in moment && (soon ?? early) !== undefined) return ask(`${callSign} leaves: say 1510, in 20, or 20 early.`)
  const atMs =
    'atMs' in moment
      ? moment.atMs
      : soon === undefined
        ? minutesAfter(leavesAtMs, -moment.minutes)
        : minutesAfter(nowMs, moment.minutes)
  return times(tanker, { leavesAtMs: atMs }, `${callSign} leaves at ${clock(atMs)}, not at ${clock(leavesAtMs)}.`)
}

/** `on time`: both times as planned again. */
function onTime({ tankerId, callSign }: Tanker, rest: readonly string[]): Understanding {
  if (rest.join(' ') !== 'time') return ask(`${callSign} on: say on time.`)
  return record({ kind: 'setTankerTimes', tankerId }, `${callSign} comes and leaves as planned again.`)
}

const gave = ({ tankerId, told }: Tanker, said: Tanker['told'], sentence: string) => {
  const { keeps, mostTransferable } = { ...told, ...said }
  return record(
    { kind: 'setGive', tankerId, ...(keeps && { keeps }), ...(mostTransferable && { mostTransferable }) },
    sentence
  )
}

/** `gives 30.0`: only so much; once it has given, `gives 30.0 more` or `gives 30.0 in all`. */
function gives(tanker: Tanker, rest: readonly string[], { massUnit }: Vocabulary): Understanding {
  const { tankerId, callSign, givenKg } = tanker
  const text = rest.join(' ')
  if (PLANNED.has(text)) return record({ kind: 'setGive', tankerId }, `${callSign} gives and keeps as planned again.`)
  const [, figure = '', how] = /^(.+?)(?: (more|in all))?$/.exec(text) ?? []
  const fuel = spokenFuel(figure, massUnit)
  if (fuel === undefined) return ask(`${callSign} gives: say the most it will give, 30.0, or planned.`)
  const tail = how === undefined ? '' : ` ${how}`
  if ('readings' in fuel) {
    return readings(`${callSign} gives`, fuel.readings, tail)
  }
  const inAll = fuel.clear
  if (how === undefined && givenKg >= 1) {
    return ask(
      `${callSign} gives ${written(inAll)}: in all, or from now?`,
      ['in all', 'more'].map((said) => ({
        text: `${callSign.toLowerCase()} gives ${inAll.value} ${inAll.unit} ${said}`,
        sentence: `${written(inAll)} ${said}`
      }))
    )
  }
  if (how !== 'more') {
    return gave(tanker, { mostTransferable: inAll }, `${callSign} gives at most ${written(inAll)} in all.`)
  }
  // Of what it gave, never more than it did.
  const given = Math.floor(massIn(inAll.unit, givenKg) / 10) * 10
  const mostTransferable = { value: given + inAll.value, unit: inAll.unit }
  return gave(
    tanker,
    { mostTransferable },
    `${callSign} gives at most ${written(inAll)} more, ${written(mostTransferable)} in all.`
  )
}

/** `keeps 22.5`: for its own way home. */
function keeps(tanker: Tanker, rest: readonly string[], { massUnit }: Vocabulary): Understanding {
  const { callSign } = tanker
  const fuel = spokenFuel(rest.join(' '), massUnit)
  if (fuel === undefined) return ask(`${callSign} keeps: say what it keeps for its own way home, 22.5.`)
  if ('readings' in fuel) return readings(`${callSign} keeps`, fuel.readings, '')
  return gave(tanker, { keeps: fuel.clear }, `${callSign} keeps ${written(fuel.clear)} for its own way home.`)
}

const readings = (begin: string, all: readonly { value: number; unit: MassUnit }[], tail: string): Understanding =>
  ask(
    `${begin}: open to more than one reading.`,
    all.map((reading) => ({
      text: `${begin.toLowerCase()} ${reading.value} ${reading.unit}${tail}`,
      sentence: written(reading) + tail
    }))
  )
