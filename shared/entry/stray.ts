import { PRIORITIES, type MassUnit } from '../contracts/kinds.ts'
import type { OnLoadRule } from '../contracts/plan.ts'
import { spokenFuel, written } from './figure.ts'
import { squeezed, tankersNamed } from './name.ts'
import { ask, record, type Understanding } from './understanding.ts'
import type { Tanker, Vocabulary } from './vocabulary.ts'

type ReceiverType = Vocabulary['types'][number]

/** What a type is called in a line: its name up to the first comma. */
const shortName = ({ name }: ReceiverType): string => name.split(',')[0] ?? name

/** Where in the words a type is named, never by the first: something is called so. */
function typeIn(
  words: readonly string[],
  types: readonly ReceiverType[]
): { found: readonly ReceiverType[]; from: number; to: number } | undefined {
  const ways = (type: ReceiverType) => [type.receiverTypeId, type.name, shortName(type)].map(squeezed)
  for (const fits of [
    (way: string, said: string) => way === said,
    (way: string, said: string) => said.length >= 3 && way.startsWith(said)
  ]) {
    for (let from = 1; from < words.length; from++) {
      for (let to = Math.min(words.length, from + 5); to > from; to--) {
        const said = squeezed(words.slice(from, to).join(''))
        const found = types.filter((type) => /[a-z]/.test(said) && ways(type).some((way) => fits(way, said)))
        if (found.length > 0) return { found, from, to }
      }
    }
  }
  return undefined
}

/** `rasp 71` as it is written: `Rasp 71`. */
const callSignOf = (words: readonly string[]): string =>
  words
    .map((word) => word.charAt(0).toUpperCase() + word.slice(1))
    .join(' ')
    .replace(/(?<=\d) (?=\d)/g, '')

const HINT = 'say call sign, type, fuel and tanker: stray rasp 71'

/**
 * A receiver nobody planned, in one line: `rasp 71 larch 3.2 mallet`, with `takes 4.0`, `takes full` and `priority 1` behind
 * it where it has one. It takes its internal tanks full unless told otherwise: what it needs beyond its way home nobody
 * knows. The tanker may be named before; where there is one alone it need not be.
 */
export function stray(rest: readonly string[], vocabulary: Vocabulary, named?: Tanker): Understanding {
  const { types, tankers, massUnit } = vocabulary
  const [first] = types
  const example = `${first === undefined ? '' : shortName(first).toLowerCase()} 3.2`
  if (rest.length === 0) return ask(`A receiver nobody planned: ${HINT} ${example}.`)
  const known = types.map((type) => shortName(type).toLowerCase()).join(', ')
  const typed = typeIn(rest, types)
  if (typed === undefined) return ask(`${callSignOf(rest)}: of which type? Say ${known}.`)
  const callSign = callSignOf(rest.slice(0, typed.from))
  const [type] = typed.found
  const said = rest.slice(typed.from, typed.to).join(' ')
  const before = `stray ${callSign.toLowerCase()}`
  if (!/[a-z]/i.test(callSign)) return ask(`"${callSign}" is no call sign: ${HINT} ${example}.`)
  if (taken(callSign, vocabulary)) return ask(`${callSign} is in use: a receiver nobody planned has a name of its own.`)
  if (type === undefined || typed.found.length > 1) {
    return ask(`${callSign} ${said}: which type? Say ${typed.found.map((one) => one.receiverTypeId).join(', ')}.`)
  }
  const { words, priority, takes } = withTail(rest.slice(typed.to))
  if (priority === 'none') return ask(`${callSign} priority: say 1, first, to 5.`)
  const onLoad = onLoadOf(takes, massUnit)
  if (onLoad === undefined) return ask(`${callSign} takes: say internals, full, or how much: takes 4.0.`)
  const tail = (takes === undefined ? '' : ` takes ${takes}`) + (priority === undefined ? '' : ` priority ${priority}`)
  const count = figureLength(words, massUnit)
  const figure = words.slice(0, count).join(' ')
  const fuel = spokenFuel(figure, massUnit)
  if (fuel === undefined) return ask(`${callSign}, ${shortName(type)}: how much fuel has it? Say 3.2, or 3200.`)
  const after = words.slice(count)
  const behind = (one: { value: number; unit: MassUnit }) => `${before} ${type.receiverTypeId} ${one.value} ${one.unit}`
  if ('readings' in fuel) {
    const whose = named === undefined ? after.join(' ') : named.callSign.toLowerCase()
    return ask(
      `${callSign}: ${figure} is open to more than one reading.`,
      fuel.readings.map((reading) => ({
        text: `${behind(reading)} ${whose}`.trim() + tail,
        sentence: written(reading)
      }))
    )
  }
  const found = named === undefined ? (after.length === 0 ? tankers : tankersNamed(after, tankers)) : [named]
  if (named !== undefined && after.length > 0) return ask(`${callSign}: "${after.join(' ')}" is not understood.`)
  const [tanker] = found
  if (tanker === undefined) return ask(`${callSign}: no tanker is called "${after.join(' ')}".`)
  if (found.length > 1) {
    return ask(
      `${callSign}, ${shortName(type)}, ${written(fuel.clear)}: to which tanker?`,
      found.slice(0, 8).map((one) => ({
        text: `${behind(fuel.clear)} ${one.callSign.toLowerCase()}${tail}`,
        sentence: one.callSign
      }))
    )
  }
  return record(
    {
      kind: 'addReceiver',
      callSign,
      receiverTypeId: type.receiverTypeId,
      fuel: fuel.clear,
      tankerId: tanker.tankerId,
      onLoad: onLoad.rule,
      ...(priority === undefined ? {} : { priority })
    },
    `${callSign}, ${shortName(type)} with ${written(fuel.clear)}, comes to ${tanker.callSign} unplanned, to ${onLoad.said}${
      priority === undefined ? '' : `, priority ${priority}`
    }.`
  )
}

/** How many words a figure takes, its unit with it: as many as make one. */
function figureLength(words: readonly string[], massUnit: MassUnit): number {
  for (let count = Math.min(FIGURE_MOST, words.length); count > 1; count--) {
    if (spokenFuel(words.slice(0, count).join(' '), massUnit) !== undefined) return count
  }
  return 1
}
const FIGURE_MOST = 6

interface Tail {
  words: readonly string[]
  /** `none` where what follows the word is none. */
  priority: number | 'none' | undefined
  takes: string | undefined
}

/** The words without a priority and an on-load behind them, whichever of the two comes first. */
function withTail(words: readonly string[]): Tail {
  const ends = [words.indexOf('priority'), words.indexOf('takes'), words.length].filter((at) => at >= 0)
  const from = Math.min(...ends)
  const said = (word: string): string | undefined => {
    const at = words.indexOf(word)
    return at === -1 ? undefined : words.slice(at + 1, Math.min(...ends.filter((end) => end > at))).join(' ')
  }
  const first = said('priority')
  const priority = first === undefined ? undefined : (PRIORITIES.find((one) => String(one) === first) ?? 'none')
  return { words: words.slice(0, from), priority, takes: said('takes') }
}

/** What it takes, as a rule and in words; undefined where it is not clear. */
function onLoadOf(takes: string | undefined, massUnit: MassUnit): { rule: OnLoadRule; said: string } | undefined {
  if (takes === undefined || ['internals', 'internal'].includes(takes))
    return { rule: { kind: 'internals' }, said: 'fill its internal tanks' }
  if (takes === 'full') return { rule: { kind: 'full' }, said: 'fill all its tanks' }
  const fuel = spokenFuel(takes, massUnit)
  if (fuel === undefined || 'readings' in fuel) return undefined
  return { rule: { kind: 'fixed', fuel: fuel.clear }, said: `take ${written(fuel.clear)}` }
}

const taken = (callSign: string, { ships, flights, tankers }: Vocabulary): boolean =>
  [...ships, ...flights, ...tankers].some((one) => squeezed(one.callSign) === squeezed(callSign))
