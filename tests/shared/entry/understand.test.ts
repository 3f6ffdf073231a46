import { describe, expect, it } from 'vitest'
import { understand } from '../../../shared/entry/understand.ts'
import type { Understanding } from '../../../shared/entry/understanding.ts'
import type { Vocabulary } from '../../../shared/entry/vocabulary.ts'
import { KG_PER_LB } from '../../../shared/units.ts'
import { anyRequest } from '../../../shared/contracts/requests.ts'

const ship = (callSign: string, over: Partial<Vocabulary['ships'][number]> = {}) => ({
  shipId: callSign.toLowerCase().replace(' ', '-'),
  callSign,
  gauge: 'total' as const,
  capacityKg: 12_300 * KG_PER_LB,
  slotId: `slot-${callSign.toLowerCase().replace(' ', '-')}`,
  pinned: false,
  groups: [
    { groupId: 'body', name: 'Body', external: false, tankCount: 1 },
    { groupId: 'wing-tank', name: 'Wing tank', external: true, tankCount: 2 }
  ],
  ...over
})

const vocabulary: Vocabulary = {
  massUnit: 'lb',
  ships: [
    ship('Alder 21'),
    ship('Alder 22'),
    ship('Ash 21'),
    ship('Sleet 11', { gauge: 'internal' }),
    ship('Rasp 41', { slotId: undefined })
  ],
  flights: [
    { callSign: 'Alder 2', shipIds: ['alder-21', 'alder-22'] },
    { callSign: 'Sleet 1', shipIds: ['sleet-11'] }
  ],
  tankers: [
    {
      tankerId: 'kelp-61',
      callSign: 'Kelp 61',
      stations: [
        { stationId: 'boom', name: 'boom' },
        { stationId: 'port', name: 'port hose' },
        { stationId: 'starboard', name: 'starboard hose' }
      ]
    },
    { tankerId: 'moss', callSign: 'Moss', stations: [{ stationId: 'boom', name: 'boom' }] }
  ],
  bases: [
    { baseId: 'north', name: 'North shore' },
    { baseId: 'northgate', name: 'Northgate' },
    { baseId: 'south', name: 'South shore' }
  ]
}

const said = (text: string): Understanding => understand(text, vocabulary)
const lb = (value: number) => ({ value, unit: 'lb' })

/** Title, line, request, sentence. */
const RECORDED: readonly [string, string, object, string][] = [
  [
    'a figure in thousands and hundreds is a fuel call',
    'alder 21 6.4',
    { kind: 'callFuel', shipId: 'alder-21', fuel: lb(6400), covers: 'total' },
    'Alder 21 has 6,400 lb total.'
  ],
  [
    'a short call sign and a whole figure say the same',
    'al21 6400',
    { kind: 'callFuel', shipId: 'alder-21', fuel: lb(6400), covers: 'total' },
    'Alder 21 has 6,400 lb total.'
  ],
  [
    'a comma between thousands is read',
    'ALDER 22 6,400',
    { kind: 'callFuel', shipId: 'alder-22', fuel: lb(6400), covers: 'total' },
    'Alder 22 has 6,400 lb total.'
  ],
  [
    'internal fuel is said with the word',
    'alder 21 5.2 internal',
    { kind: 'callFuel', shipId: 'alder-21', fuel: lb(5200), covers: 'internal' },
    'Alder 21 has 5,200 lb internal.'
  ],
  [
    'a ship with an internal gauge calls internal fuel',
    's11 5.25',
    { kind: 'callFuel', shipId: 'sleet-11', fuel: lb(5250), covers: 'internal' },
    'Sleet 11 has 5,250 lb internal.'
  ],
  [
    'a unit stands as it is said',
    'alder 21 2900 kg',
    { kind: 'callFuel', shipId: 'alder-21', fuel: { value: 2900, unit: 'kg' }, covers: 'total' },
    'Alder 21 has 2,900 kg total.'
  ],
  [
    'a small figure with its unit is itself',
    'alder 21 640 lb',
    { kind: 'callFuel', shipId: 'alder-21', fuel: lb(640), covers: 'total' },
    'Alder 21 has 640 lb total.'
  ],
  ['a ship joins', 'alder 21 joined', { kind: 'joinShip', shipId: 'alder-21' }, 'Alder 21 joined.'],
  [
    'a limit set by hand',
    'alder 21 bingo 4.5',
    { kind: 'setLimit', shipId: 'alder-21', limit: 'bingo', fuel: lb(4500) },
    'Alder 21 bingo by hand: 4,500 lb.'
  ],
  [
    'a limit taken back',
    'al21 required computed',
    { kind: 'setLimit', shipId: 'alder-21', limit: 'required' },
    'Alder 21 required: as computed again.'
  ],
  [
    'externals thrown off',
    'alder 21 jettisoned',
    { kind: 'jettison', shipId: 'alder-21' },
    'Alder 21 jettisoned its externals.'
  ],
  [
    'externals that give nothing, all of them',
    'alder 21 not giving',
    { kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-tank', trouble: 'not giving' },
    'Alder 21 Wing tank does not give.'
  ],
  [
    'one tank, by number, that takes nothing',
    'al21 wing tank 2 not taking',
    { kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-tank', tankNumber: 2, trouble: 'not taking' },
    'Alder 21 Wing tank 2 does not take.'
  ],
  [
    'a tank well again',
    'alder 21 body well',
    { kind: 'setTrouble', shipId: 'alder-21', groupId: 'body' },
    'Alder 21 Body is well again.'
  ],
  [
    'contact goes to the ship’s own station',
    'alder 21 contact',
    { kind: 'makeContact', shipId: 'alder-21' },
    'Alder 21 is in contact at its station.'
  ],
  [
    'contact may name a station',
    'alder 21 contact port',
    { kind: 'makeContact', shipId: 'alder-21', tankerId: 'kelp-61', stationId: 'port' },
    'Alder 21 is in contact at Kelp 61 port hose.'
  ],
  [
    'contact may name tanker and station',
    'alder 21 contact moss boom',
    { kind: 'makeContact', shipId: 'alder-21', tankerId: 'moss', stationId: 'boom' },
    'Alder 21 is in contact at Moss boom.'
  ],
  ['fuel flows', 'alder 21 flowing', { kind: 'startFlow', shipId: 'alder-21' }, 'Alder 21 fuel is flowing.'],
  [
    'a disconnect may stand alone',
    'alder 21 disconnect',
    { kind: 'disconnect', shipId: 'alder-21', how: 'whole' },
    'Alder 21 disconnects with the whole on-load.'
  ],
  [
    'a disconnect may bring its off-load',
    'alder 21 disconnect 4.5',
    { kind: 'disconnect', shipId: 'alder-21', how: 'whole', offLoad: lb(4500) },
    'Alder 21 disconnects with 4,500 lb.'
  ],
  [
    'a partial disconnect brings its off-load',
    'alder 21 partial 2.1',
    { kind: 'disconnect', shipId: 'alder-21', how: 'partial', offLoad: lb(2100) },
    'Alder 21 disconnects early with 2,100 lb.'
  ],
  ['a ship pushes', 'alder 21 pushed', { kind: 'push', shipIds: ['alder-21'] }, 'Alder 21 pushes.'],
  [
    'a flight pushes together',
    'alder 2 push',
    { kind: 'push', shipIds: ['alder-21', 'alder-22'] },
    'Alder 2 pushes, 2 ships.'
  ],
  ['a ship leaves', 'alder 21 left', { kind: 'leave', shipId: 'alder-21' }, 'Alder 21 leaves.'],
  [
    'a ship leaves for a base',
    'alder 21 leaves for south',
    { kind: 'leave', shipId: 'alder-21', baseId: 'south' },
    'Alder 21 leaves for South shore.'
  ],
  [
    'a ship lands',
    'alder 21 landed northgate',
    { kind: 'land', shipId: 'alder-21', baseId: 'northgate' },
    'Alder 21 landed at Northgate.'
  ],
  [
    'externals are held',
    'alder 21 held',
    { kind: 'setExternals', shipId: 'alder-21', externals: 'held' },
    'Alder 21 externals held.'
  ],
  [
    'externals are selected',
    'alder 21 selected',
    { kind: 'setExternals', shipId: 'alder-21', externals: 'selected' },
    'Alder 21 externals selected.'
  ],
  [
    'externals are put off with the whole phrase',
    'alder 21 externals off',
    { kind: 'setExternals', shipId: 'alder-21', externals: 'off' },
    'Alder 21 externals off.'
  ],
  [
    'a slot is pinned',
    'alder 21 pin',
    { kind: 'setPin', slotId: 'slot-alder-21', pinned: true, serveAnyway: false },
    'Alder 21 is pinned in its place.'
  ],
  [
    'a ship is served anyway',
    'alder 21 serve anyway',
    { kind: 'setPin', slotId: 'slot-alder-21', pinned: false, serveAnyway: true },
    'Alder 21 is served even past its latest contact.'
  ],
  [
    'a station turns suspect',
    'kelp boom suspect',
    { kind: 'setStation', tankerId: 'kelp-61', stationId: 'boom', status: 'suspect' },
    'Kelp 61 boom is suspect.'
  ],
  [
    'a station is good again',
    'kelp 61 port good',
    { kind: 'setStation', tankerId: 'kelp-61', stationId: 'port', status: 'good' },
    'Kelp 61 port hose is good.'
  ],
  [
    'the only station of a tanker needs no name',
    'moss failed',
    { kind: 'setStation', tankerId: 'moss', stationId: 'boom', status: 'failed' },
    'Moss boom is failed.'
  ],
  [
    'a tanker calls its fuel',
    'kelp fuel 84.2',
    { kind: 'callTankerFuel', tankerId: 'kelp-61', fuel: lb(84_200) },
    'Kelp 61 has 84,200 lb.'
  ],
  [
    'a tanker calls its fuel in full',
    'moss 84200',
    { kind: 'callTankerFuel', tankerId: 'moss', fuel: lb(84_200) },
    'Moss has 84,200 lb.'
  ]
]

/** Title, line, what the question says, the choices offered. */
const ASKED: readonly [string, string, string, readonly string[]][] = [
  ['a short call sign that two ships share is asked about', 'a21 6.4', 'Which one?', ['alder 21 6.4', 'ash 21 6.4']],
  [
    'a name that several ships share is asked about',
    'alder joined',
    'Which one?',
    ['alder 21 joined', 'alder 22 joined']
  ],
  [
    'a bare figure below a hundred is asked about',
    'alder 21 64',
    'open to more than one reading',
    ['alder 21 6400 lb']
  ],
  [
    'a bare figure below a thousand is asked about',
    'alder 21 640',
    'open to more than one reading',
    ['alder 21 640 lb']
  ],
  [
    'thousands with a unit of pounds are asked about',
    'alder 21 6.4 lb',
    'open to more than one reading',
    ['alder 21 6400 lb']
  ],
  ['more than the tanks hold is refused in words', 'alder 21 64000', 'holds at most 12,300 lb', []],
  [
    'off is said of station and externals alike',
    'alder 21 off',
    'off the station, or externals off',
    ['alder 21 disconnect', 'alder 21 externals off']
  ],
  [
    'a bad station may be suspect or failed',
    'kelp boom bad',
    'suspect takes nobody new',
    ['kelp 61 boom suspect', 'kelp 61 boom failed']
  ],
  [
    'a station must be named where there are several',
    'kelp suspect',
    'which station',
    ['kelp 61 boom suspect', 'kelp 61 port hose suspect', 'kelp 61 starboard hose suspect']
  ],
  [
    'a contact at a station two tankers have is asked about',
    'alder 21 contact boom',
    'at which station',
    ['alder 21 contact kelp 61 boom', 'alder 21 contact moss boom']
  ],
  [
    'a base that two names begin with is asked about',
    'alder 21 left north',
    'which base',
    ['alder 21 left north shore', 'alder 21 left northgate']
  ],
  ['a partial disconnect without a figure is asked about', 'alder 21 partial', 'how much', []],
  ['a flight has no fuel of its own', 'alder 2 6.4', 'name one ship', []],
  ['an unknown name is said to be unknown', 'birch 11 6.4', 'Nobody here', []],
  ['an unknown word is said to be unknown', 'alder 21 banana', 'not understood', []],
  ['a word too many is not passed over', 'alder 21 joined now', '"now" is not understood', []],
  ['a figure that is none is said to be none', 'alder 21 6.4.2', 'no fuel figure', []],
  ['a ship without a slot cannot be pinned', 'rasp 41 pin', 'has no slot', []],
  ['words of the language itself name nobody', 'alder 21 constructor', 'not understood', []],
  ['a station word of the language itself is no state', 'kelp boom toString', 'not understood', []]
]

describe('the entry line', () => {
  it.each(RECORDED)('records: %s', (_title, line, request, sentence) => {
    expect(said(line)).toEqual({ kind: 'understood', action: { kind: 'record', request }, sentence })
    // What it makes is what the contract takes.
    expect(anyRequest.safeParse({ requestId: 'request-1', ...request }).success).toBe(true)
  })

  it.each(ASKED)('asks: %s', (_title, line, sentence, choices) => {
    const understood = said(line)
    expect(understood.kind).toBe('ask')
    if (understood.kind !== 'ask') return
    expect(understood.sentence).toContain(sentence)
    expect(understood.choices.map((choice) => choice.text)).toEqual(choices)
  })

  it('offers only choices that can be entered', () => {
    for (const [, line] of ASKED) {
      const understood = said(line)
      if (understood.kind !== 'ask') continue
      for (const choice of understood.choices) expect(said(choice.text).kind, choice.text).toBe('understood')
    }
  })

  it('moves slots, selects ships and says its own words', () => {
    const action = (line: string) => {
      const understood = said(line)
      return understood.kind === 'understood' ? understood.action : understood.kind
    }
    expect(action('alder 21 up')).toEqual({ kind: 'move', shipId: 'alder-21', direction: 'up' })
    expect(action('alder 21 later')).toEqual({ kind: 'move', shipId: 'alder-21', direction: 'down' })
    expect(action('alder 21 to kelp 61 port')).toEqual({
      kind: 'moveTo',
      shipId: 'alder-21',
      tankerId: 'kelp-61',
      stationId: 'port'
    })
    expect(action('alder 21')).toEqual({ kind: 'select', shipId: 'alder-21' })
    expect(action('open event')).toEqual({ kind: 'record', request: { kind: 'openEvent' } })
    expect(action('undo')).toEqual({ kind: 'undo' })
    expect(action('?')).toEqual({ kind: 'help' })
    expect(action('lane 90')).toEqual({ kind: 'lane', minutes: 90 })
    expect(action('  ')).toBe('nothing')
  })
})
