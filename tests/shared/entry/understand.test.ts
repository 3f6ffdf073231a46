import { describe, expect, it } from 'vitest'
import { understand } from '../../../shared/entry/understand.ts'
import type { Understanding } from '../../../shared/entry/understanding.ts'
import { anyRequest } from '../../../shared/contracts/requests.ts'
import { KG_PER_LB } from '../../../shared/units.ts'
import { at, vocabulary } from './event.ts'

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
    'Alder 21 disconnects with what has flowed by the clock.'
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
  ],
  [
    'a ship late by minutes, from when it would have been ready',
    'alder 21 late 5',
    { kind: 'setReady', shipId: 'alder-21', readyAtMs: at(14, 45, 20) },
    'Alder 21 is ready at 14:45:20Z, 5 min later.'
  ],
  [
    'a ship late until a time',
    'al21 late 1452z',
    { kind: 'setReady', shipId: 'alder-21', readyAtMs: at(14, 52) },
    'Alder 21 is ready at 14:52Z, not at 14:40:20Z.'
  ],
  [
    'a ship late until so many minutes past the hour',
    'alder 21 late at 05',
    { kind: 'setReady', shipId: 'alder-21', readyAtMs: at(15, 5) },
    'Alder 21 is ready at 15:05Z, not at 14:40:20Z.'
  ],
  [
    'a ship overdue is late from now on',
    'ash 21 late 10 min',
    { kind: 'setReady', shipId: 'ash-21', readyAtMs: at(14, 40) },
    'Ash 21 is ready at 14:40Z, 10 min later.'
  ],
  [
    'a ship on time again',
    'alder 21 on time',
    { kind: 'setReady', shipId: 'alder-21' },
    'Alder 21 is ready as planned again.'
  ],
  [
    'late by nothing is on time',
    'alder 21 late 0',
    { kind: 'setReady', shipId: 'alder-21' },
    'Alder 21 is ready as planned again.'
  ],
  ['a no-show', 'alder 21 no-show', { kind: 'setNoShow', shipId: 'alder-21', noShow: true }, 'Alder 21 does not come.'],
  [
    'a no-show in two words',
    'al21 no show',
    { kind: 'setNoShow', shipId: 'alder-21', noShow: true },
    'Alder 21 does not come.'
  ],
  [
    'a no-show that comes',
    'alder 21 shows',
    { kind: 'setNoShow', shipId: 'alder-21', noShow: false },
    'Alder 21 comes after all.'
  ],
  [
    "a priority of a ship is its whole flight's",
    'alder 21 priority 1',
    { kind: 'setPriority', flightId: 'alder', priority: 1 },
    'Alder 2, all 2: priority 1.'
  ],
  [
    'a priority of a flight',
    'alder 2 priority 5',
    { kind: 'setPriority', flightId: 'alder', priority: 5 },
    'Alder 2, all 2: priority 5.'
  ],
  [
    'a priority taken back',
    'sleet 11 priority planned',
    { kind: 'setPriority', flightId: 'sleet' },
    'Sleet 1: priority as planned again.'
  ],
  [
    'a tanker late by minutes',
    'moss late 10',
    { kind: 'setTankerTimes', tankerId: 'moss', onStationAtMs: at(15, 0), leavesAtMs: at(16, 30) },
    'Moss is on station at 15:00Z, 10 min later.'
  ],
  [
    'a tanker late until a time',
    'kelp 61 late 1440',
    { kind: 'setTankerTimes', tankerId: 'kelp-61', onStationAtMs: at(14, 40) },
    'Kelp 61 is on station at 14:40Z, not at 14:00Z.'
  ],
  [
    'a tanker that leaves at a time',
    'kelp 61 leaves 15:10',
    { kind: 'setTankerTimes', tankerId: 'kelp-61', leavesAtMs: at(15, 10) },
    'Kelp 61 leaves at 15:10Z, not at 16:00Z.'
  ],
  [
    'a tanker that leaves so many minutes early',
    'kelp 61 leaves 20 early',
    { kind: 'setTankerTimes', tankerId: 'kelp-61', leavesAtMs: at(15, 40) },
    'Kelp 61 leaves at 15:40Z, not at 16:00Z.'
  ],
  [
    'a tanker that leaves in so many minutes',
    'moss leaving in 20',
    { kind: 'setTankerTimes', tankerId: 'moss', leavesAtMs: at(14, 50) },
    'Moss leaves at 14:50Z, not at 16:30Z.'
  ],
  [
    'a tanker on time again',
    'moss on time',
    { kind: 'setTankerTimes', tankerId: 'moss' },
    'Moss comes and leaves as planned again.'
  ],
  [
    'a tanker that has given nothing gives only so much',
    'kelp 61 gives 30.0',
    { kind: 'setGive', tankerId: 'kelp-61', mostTransferable: lb(30_000) },
    'Kelp 61 gives at most 30,000 lb in all.'
  ],
  [
    'a tanker gives so much more, with what it gave and what it keeps as told before',
    'moss gives 30.0 more',
    { kind: 'setGive', tankerId: 'moss', mostTransferable: lb(40_000), keeps: lb(20_000) },
    'Moss gives at most 30,000 lb more, 40,000 lb in all.'
  ],
  [
    'a tanker keeps so much',
    'moss keeps 22500',
    { kind: 'setGive', tankerId: 'moss', keeps: lb(22_500) },
    'Moss keeps 22,500 lb for its own way home.'
  ],
  [
    'a tanker gives as planned again',
    'moss gives as planned',
    { kind: 'setGive', tankerId: 'moss' },
    'Moss gives and keeps as planned again.'
  ],
  [
    'a base closed',
    'south closed',
    { kind: 'setBase', baseId: 'south', open: false },
    'South shore is closed for landing.'
  ],
  [
    'a divert closed',
    'divert northgate closed',
    { kind: 'setBase', baseId: 'northgate', open: false },
    'Northgate is closed for landing.'
  ],
  [
    'a base open again',
    'north shore open',
    { kind: 'setBase', baseId: 'north', open: true },
    'North shore is open for landing.'
  ],
  [
    'a receiver nobody planned',
    'stray rasp 71 single-probe 3.2 kelp',
    {
      kind: 'addReceiver',
      callSign: 'Rasp 71',
      receiverTypeId: 'single-probe',
      fuel: lb(3_200),
      tankerId: 'kelp-61',
      onLoad: { kind: 'internals' }
    },
    'Rasp 71, Single-probe with 3,200 lb, comes to Kelp 61 unplanned, to fill its internal tanks.'
  ],
  [
    'a receiver nobody planned, behind its tanker, type in two words, with unit and priority',
    'moss stray burr 5 single probe 1450 kg priority 1',
    {
      kind: 'addReceiver',
      callSign: 'Burr 5',
      receiverTypeId: 'single-probe',
      fuel: { value: 1450, unit: 'kg' },
      tankerId: 'moss',
      onLoad: { kind: 'internals' },
      priority: 1
    },
    'Burr 5, Single-probe with 1,450 kg, comes to Moss unplanned, to fill its internal tanks, priority 1.'
  ],
  [
    'a receiver nobody planned, with what it takes',
    'stray burr 5 single-probe 3.2 moss priority 2 takes 4.0',
    {
      kind: 'addReceiver',
      callSign: 'Burr 5',
      receiverTypeId: 'single-probe',
      fuel: lb(3_200),
      tankerId: 'moss',
      onLoad: { kind: 'fixed', fuel: lb(4_000) },
      priority: 2
    },
    'Burr 5, Single-probe with 3,200 lb, comes to Moss unplanned, to take 4,000 lb, priority 2.'
  ],
  [
    'a receiver nobody planned that takes all it can',
    'stray burr 5 single-probe 3.2 moss takes full',
    {
      kind: 'addReceiver',
      callSign: 'Burr 5',
      receiverTypeId: 'single-probe',
      fuel: lb(3_200),
      tankerId: 'moss',
      onLoad: { kind: 'full' }
    },
    'Burr 5, Single-probe with 3,200 lb, comes to Moss unplanned, to fill all its tanks.'
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
    'one bare digit is asked about',
    'alder 21 6',
    'open to more than one reading',
    ['alder 21 600 lb', 'alder 21 6000 lb']
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
  ['a flight has no fuel of its own', 'alder 2 6.4', 'Which one?', ['alder 21 6.4', 'alder 22 6.4']],
  ['an unknown name is said to be unknown', 'birch 11 6.4', 'Nobody here', []],
  ['an unknown word is said to be unknown', 'alder 21 banana', 'not understood', []],
  ['a word too many is not passed over', 'alder 21 joined high', '"high" is not understood', []],
  ['a figure that is none is said to be none', 'alder 21 6.4.2', 'no fuel figure', []],
  ['a ship without a slot cannot be pinned', 'rasp 41 pin', 'has no slot', []],
  ['words of the language itself name nobody', 'alder 21 constructor', 'not understood', []],
  ['a station word of the language itself is no state', 'kelp boom toString', 'not understood', []],
  ['a late ship says how late', 'alder 21 late', 'by how many minutes', []],
  ['a time that is none', 'alder 21 late 2575', 'is no time', []],
  ['three digits may lack one', 'alder 21 late 932', 'is no time', []],
  ['a time that is past', 'alder 21 late 1412', '14:12Z is past', []],
  ['a ship without a contact to come', 'rasp 41 late 5', 'no contact to come', []],
  ['half a word', 'alder 21 no', 'say no-show', []],
  ['a word too many behind a no-show', 'alder 21 no-show today', '"today" is not understood', []],
  ['a top-off of a ship without a slot', 'rasp 41 top-off', 'no slot', []],
  ['a priority that is none', 'alder 21 priority 6', 'say 1, first, to 5', []],
  [
    'minutes before a tanker leaves are open to two readings',
    'kelp 61 leaves 20',
    'in 20 minutes, or 20 minutes early',
    ['kelp 61 leaves in 20', 'kelp 61 leaves 20 early']
  ],
  ['a time is no span', 'kelp 61 leaves in 1510', 'say 1510, in 20', []],
  [
    'once it has given, a give is open to two readings',
    'moss gives 30.0',
    'in all, or from now',
    ['moss gives 30000 lb in all', 'moss gives 30000 lb more']
  ],
  [
    'a give below 1,000 is open to readings',
    'kelp 61 gives 30',
    'more than one reading',
    ['kelp 61 gives 3000 lb', 'kelp 61 gives 30000 lb']
  ],
  ['a base that two names begin with', 'north closed', 'which base', ['north shore closed', 'northgate closed']],
  ['a receiver nobody planned says what is lacking', 'stray', 'say call sign, type, fuel and tanker', []],
  ['a receiver without a type', 'stray rasp 71 3.2 kelp', 'of which type? Say larch, larkspur, single-probe', []],
  ['a type that two names begin with', 'stray rasp 71 lar 3.2 kelp', 'Say larch, larkspur', []],
  ['a receiver without fuel', 'stray rasp 71 larch', 'how much fuel', []],
  [
    'a receiver without a tanker',
    'stray rasp 71 larch 3.2',
    'to which tanker',
    ['stray rasp 71 larch 3200 lb kelp 61', 'stray rasp 71 larch 3200 lb moss']
  ],
  [
    'a receiver whose fuel is open to readings',
    'moss stray rasp 71 larch 32',
    'more than one reading',
    ['stray rasp 71 larch 3200 lb moss', 'stray rasp 71 larch 32000 lb moss']
  ],
  ['a receiver at no tanker', 'stray rasp 71 larch 3.2 birch', 'no tanker is called', []],
  ['a receiver whose call sign is in use', 'stray rasp 41 larch 3.2 kelp', 'is in use', []],
  ['a receiver that takes nobody knows what', 'stray rasp 71 larch 3.2 kelp takes some', 'how much: takes 4.0', []],
  ['a receiver of no priority', 'stray rasp 71 larch 3.2 kelp priority 9', 'say 1, first, to 5', []]
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
    expect(action('alder 21 lift not before')).toEqual({ kind: 'lift', shipId: 'alder-21', said: 'not before' })
    expect(action('alder 21 lift')).toEqual({ kind: 'lift', shipId: 'alder-21', said: 'not before' })
    expect(action('alder 21 full on-load')).toEqual({ kind: 'lift', shipId: 'alder-21', said: 'internals only' })
    expect(action('alder 21 full on load')).toEqual({ kind: 'lift', shipId: 'alder-21', said: 'internals only' })
    expect(action('alder 21 lift tanks')).toBe('ask')
    expect(action('alder 21 top-off')).toEqual({ kind: 'topOff', shipId: 'alder-21' })
    expect(action('alder 21 top off')).toEqual({ kind: 'topOff', shipId: 'alder-21' })
    expect(action('alder 21')).toEqual({ kind: 'select', shipId: 'alder-21' })
    expect(action('open event')).toEqual({ kind: 'record', request: { kind: 'openEvent' } })
    expect(action('undo')).toEqual({ kind: 'undo' })
    expect(action('?')).toEqual({ kind: 'help' })
    expect(action('lane 90')).toEqual({ kind: 'lane', minutes: 90 })
    expect(action('  ')).toBe('nothing')
  })
})

describe('a figure beyond what the ship may have', () => {
  const reason = { leastKg: 6_010 * KG_PER_LB, mostKg: 6_790 * KG_PER_LB }
  const doubting = {
    ...vocabulary,
    ships: vocabulary.ships.map((ship) => (ship.shipId === 'alder-21' ? { ...ship, reason } : ship))
  }
  const sentence = (line: string): string => {
    const { kind, ...told } = understand(line, doubting)
    return kind === 'understood' && 'sentence' in told ? told.sentence : kind
  }

  it('is told before it is entered, and understood all the same', () => {
    expect(sentence('alder 21 5.4')).toBe('Alder 21 has 5,400 lb total. Expected 6,000 lb to 6,800 lb: check it.')
    expect(sentence('alder 21 7.4')).toBe('Alder 21 has 7,400 lb total. Expected 6,000 lb to 6,800 lb: check it.')
  })

  it('is not one within it, of another gauge, or of another time', () => {
    expect(sentence('alder 21 6.4')).toBe('Alder 21 has 6,400 lb total.')
    expect(sentence('alder 21 6.8')).toBe('Alder 21 has 6,800 lb total.')
    expect(sentence('alder 21 5.2 internal')).toBe('Alder 21 has 5,200 lb internal.')
    expect(sentence('alder 21 5.4 1412')).not.toContain('Expected')
  })
})
