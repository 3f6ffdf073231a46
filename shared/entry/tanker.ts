import type { MassUnit } from '../contracts/kinds.ts'
import { massIn } from '../units.ts'
import { withFigure, written } from './figure.ts'
import { tankerFuel } from './fuel.ts'
import { clock, minutesAfter, spokenMoment } from './moment.ts'
import { STATION_WORDS } from './station.ts'
import { stray } from './stray.ts'
import { ask, record, type Understanding } from './understanding.ts'
import type { Tanker, Vocabulary } from './vocabulary.ts'
import { alone, notUnderstood, saidOf, word, type By, type Word } from './word.ts'

/* What is said of a tanker: its fuel, its stations, and what comes otherwise than planned, its times and its give. */

const HINT = 'a fuel figure, late, leaves, gives, keeps, or a station and good, suspect or failed'

const TANKER_WORDS: readonly Word<Tanker>[] = [
  word('fuel, fuel state, state', tankerFuel),
  word('late', late),
  word('leaves, leaving, leave, departs', leaves),
  word('gives, give, giving', gives),
  word('keeps, keep, keeping', keeps),
  word('on time', alone(onTime)),
  word('stray', (tanker, rest, vocabulary) => stray(rest, vocabulary, tanker)),
  ...STATION_WORDS
]

/** What the rest of a line says of a tanker. */
export function ofTanker(tanker: Tanker, rest: readonly string[], by: By, vocabulary: Vocabulary): Understanding {
  if (rest.length === 0) return ask(`${tanker.callSign}: say ${HINT}.`)
  const said = saidOf(tanker, rest, { words: TANKER_WORDS, by, vocabulary })
  if (said !== undefined) return said
  return rest.some((one) => /^[a-z]/.test(one)) && !rest.some((one) => /^\.?\d/.test(one))
    ? notUnderstood(tanker.callSign, rest.join(' '), HINT)
    : tankerFuel(tanker, rest, vocabulary)
}

/** Every word said of a tanker, for finding what a misspelt one is near to. */
export const TANKER_SAID: readonly string[] = TANKER_WORDS.flatMap(({ say }) => say)

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
  const text = rest.filter((one) => one !== 'by' && one !== 'until').join(' ')
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
function onTime({ tankerId, callSign }: Tanker): Understanding {
  return record({ kind: 'setTankerTimes', tankerId }, `${callSign} comes and leaves as planned again.`)
}

const gave = ({ tankerId, told }: Tanker, said: Tanker['told'], sentence: string) => {
  const { keeps, mostTransferable } = { ...told, ...said }
  return record(
    { kind: 'setGive', tankerId, ...(keeps && { keeps }), ...(mostTransferable && { mostTransferable }) },
    sentence
  )
}

/** What a figure of a tanker is read with: nobody gives or keeps more than it may hold. */
const asked = (tanker: Tanker, massUnit: MassUnit, say: string, none: string, tail = '') => ({
  massUnit,
  mostKg: tanker.plannedFuelKg,
  begin: `${tanker.callSign} ${say}`,
  none,
  line: (figure: string) => `${tanker.callSign.toLowerCase()} ${say} ${figure}${tail}`
})

/** `gives 30.0`: only so much; once it has given, `gives 30.0 more` or `gives 30.0 in all`. */
function gives(tanker: Tanker, rest: readonly string[], { massUnit }: Vocabulary): Understanding {
  const { tankerId, callSign, givenKg } = tanker
  const text = rest.filter((one) => one !== 'only' && one !== 'most').join(' ')
  if (PLANNED.has(text)) return record({ kind: 'setGive', tankerId }, `${callSign} gives and keeps as planned again.`)
  const [, figure = '', how] = /^(.+?)(?: (more|in all))?$/.exec(text) ?? []
  const none = `${callSign} gives: say the most it will give, 30.0, or planned.`
  return withFigure(figure, asked(tanker, massUnit, 'gives', none, how === undefined ? '' : ` ${how}`), (inAll) => {
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
  })
}

/** `keeps 22.5`: for its own way home. */
function keeps(tanker: Tanker, rest: readonly string[], { massUnit }: Vocabulary): Understanding {
  const { callSign } = tanker
  const none = `${callSign} keeps: say what it keeps for its own way home, 22.5.`
  return withFigure(rest.join(' '), asked(tanker, massUnit, 'keeps', none), (fuel) =>
    gave(tanker, { keeps: fuel }, `${callSign} keeps ${written(fuel)} for its own way home.`)
  )
}
