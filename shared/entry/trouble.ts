import type { TankTrouble } from '../contracts/kinds.ts'
import { ask, record, type Understanding } from './understanding.ts'
import type { Ship } from './vocabulary.ts'

/** What is said of a tank, by its last words; `well` takes it back. */
const SAID: readonly (readonly [words: string, trouble: TankTrouble | undefined, told: string])[] = [
  ['not giving', 'not giving', 'does not give'],
  ['not taking', 'not taking', 'does not take'],
  ['gone', 'gone', 'is gone'],
  ['well', undefined, 'is well again']
]

const squeezed = (name: string): string => name.toLowerCase().replace(/[^a-z0-9]/g, '')

/** `wing tank 2 not giving`, `not giving`, `wing well`: undefined where no such words end the line. */
export function troubled(ship: Ship, rest: readonly string[]): Understanding | undefined {
  const line = rest.join(' ')
  const found = SAID.find(([words]) => line === words || line.endsWith(` ${words}`))
  if (!found) return undefined
  const [words, trouble, told] = found
  const said = line.slice(0, line.length - words.length).trim()
  const numbered = /^(.*?)\s*(\d+)$/.exec(said)
  const name = squeezed(numbered?.[1] ?? said)
  const tankNumber = numbered?.[2] === undefined ? undefined : Number(numbered[2])
  const groups =
    name === ''
      ? ship.groups.filter((group) => group.external)
      : ship.groups.filter((group) => squeezed(group.name).startsWith(name))
  const [group] = groups
  if (group === undefined) {
    const known = ship.groups.map((one) => one.name.toLowerCase()).join(', ')
    return ask(`${ship.callSign} ${words}: which tank? It carries ${known}.`)
  }
  if (groups.length > 1) {
    return ask(
      `${ship.callSign} ${words}: which tank?`,
      groups.map((one) => ({
        text: `${ship.callSign} ${one.name} ${words}`.toLowerCase(),
        sentence: `${one.name} ${told}`
      }))
    )
  }
  if (tankNumber !== undefined && (tankNumber < 1 || tankNumber > group.tankCount)) {
    return ask(`${ship.callSign} has ${String(group.tankCount)} of ${group.name}.`)
  }
  return record(
    {
      kind: 'setTrouble',
      shipId: ship.shipId,
      groupId: group.groupId,
      ...(tankNumber === undefined ? {} : { tankNumber }),
      ...(trouble === undefined ? {} : { trouble })
    },
    `${ship.callSign} ${group.name}${tankNumber === undefined ? '' : ` ${String(tankNumber)}`} ${told}.`
  )
}
