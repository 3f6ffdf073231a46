import type { TankTrouble } from '../contracts/kinds.ts'
import { squeezed } from './name.ts'
import { ask, record } from './understanding.ts'
import type { Ship } from './vocabulary.ts'
import { word, type Means, type Word } from './word.ts'

/** `wing tank 2 not giving`, `not giving`, `wing well`: `well` takes back what was said. */
export const TROUBLE_WORDS: readonly Word<Ship>[] = [
  word('not giving, not feeding, not transferring', troubled('not giving', 'not giving', 'does not give')),
  word('not taking, not filling', troubled('not taking', 'not taking', 'does not take')),
  word('gone', troubled('gone', 'gone', 'is gone')),
  word('well', troubled(undefined, 'well', 'is well again'))
]

function troubled(trouble: TankTrouble | undefined, say: string, told: string): Means<Ship> {
  return (ship, others) => {
    const { shipId, callSign } = ship
    const [, said, number] = /^(.*?)\s*(\d+)?$/.exec(others.join(' ')) ?? []
    const name = squeezed(said ?? '')
    const tankNumber = number === undefined ? undefined : Number(number)
    const groups = ship.groups.filter((group) =>
      ['', 'externals', 'external', 'ext'].includes(name) ? group.external : squeezed(group.name).startsWith(name)
    )
    const [group] = groups
    if (group === undefined) {
      const known = ship.groups.map((one) => one.name.toLowerCase()).join(', ')
      return ask(`${callSign} ${say}: which tank? It carries ${known}.`)
    }
    if (groups.length > 1) {
      return ask(
        `${callSign} ${say}: which tank?`,
        groups.map((one) => ({ text: `${callSign} ${one.name} ${say}`.toLowerCase(), sentence: `${one.name} ${told}` }))
      )
    }
    if (tankNumber !== undefined && (tankNumber < 1 || tankNumber > group.tankCount)) {
      return ask(`${callSign} has ${String(group.tankCount)} of ${group.name}.`)
    }
    return record(
      {
        kind: 'setTrouble',
        shipId,
        groupId: group.groupId,
        ...(tankNumber === undefined ? {} : { tankNumber }),
        ...(trouble === undefined ? {} : { trouble })
      },
      `${callSign} ${group.name}${tankNumber === undefined ? '' : ` ${String(tankNumber)}`} ${told}.`
    )
  }
}
