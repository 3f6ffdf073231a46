import { setCell } from '../../../shared/tables/edit.ts'
import type { Draft, TableName } from '../../../shared/tables/table.ts'

/*
 * Pastes that are wrong in one way each, into the demo. All of them constructed: what people paste out of spreadsheets
 * is common practice, no source.
 */
export interface Broken {
  why: string
  table: TableName
  lines: readonly string[]
  /** Where it is refused: row of the paste, column, value. */
  at: readonly [rowNumber: number, column: string | undefined, value: string]
  /** Part of what would be right. */
  mend: RegExp
  before?: (draft: Draft) => Draft
}

const tab = (...cells: readonly string[]): string => cells.join('\t')
const larch = 'Larch, one engine, receptacle'
const tankerOf = (cells: string): string => `Tanker\tType\tTrack\tOn station\tLeaves\tFuel\tBurn\tKeeps\tGive\n${cells}`

export const BROKEN: readonly Broken[] = [
  // Figures and units.
  {
    why: 'a speed for fuel',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t420 kt'],
    at: [2, 'startFuel', '420 kt'],
    mend: /lb, kg, US gal, L/
  },
  {
    why: 'fuel for a speed',
    table: 'receiverTypes',
    lines: ['Type\tFastest refuelling', `${larch}\t330 lb`],
    at: [2, 'refuellingHigh', '330 lb'],
    mend: /kt, m\/s, km\/h/
  },
  {
    why: 'a flow without its time',
    table: 'tankers',
    lines: ['Tanker\tBurn', 'Mallet\t9700 lb'],
    at: [2, 'burn', '9700 lb'],
    mend: /lb\/h/
  },
  {
    why: 'a mass where a flow is by the hour of a volume',
    table: 'tankers',
    lines: ['Tanker\tBurn', 'Mallet\t1400 US gal/h'],
    at: [2, 'burn', '1400 US gal/h'],
    mend: /US gal\/min/
  },
  {
    why: 'a gallon of two sizes',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t1500 gal'],
    at: [2, 'startFuel', '1500 gal'],
    mend: /US gal/
  },
  {
    why: 'tonnes',
    table: 'tankers',
    lines: ['Tanker\tFuel', 'Sorrel\t27.5 t'],
    at: [2, 'fuelOnStation', '27.5 t'],
    mend: /kg/
  },
  {
    why: 'a unit in a heading that does not fit',
    table: 'ships',
    lines: ['Ship\tStart fuel (kt)', 'Alder 1\t10200'],
    at: [1, undefined, 'Start fuel (kt)'],
    mend: /Start fuel \(lb\)/
  },
  {
    why: 'thousands typed as units',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t10.2', 'Alder 2\t9.9'],
    at: [2, 'startFuel', '10.2'],
    mend: /^Write 10,200, or 10\.2 lb/
  },
  {
    why: 'thousands typed as units, with a decimal comma',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t10,20'],
    at: [2, 'startFuel', '10,20'],
    mend: /^Write 10200, or 10\.2 lb/
  },
  {
    why: 'thousands typed as units under a heading with its unit',
    table: 'ships',
    lines: ['Ship\tStart fuel (lb)', 'Alder 1\t10.2'],
    at: [2, 'startFuel', '10.2'],
    mend: /^Write 10,200 lb/
  },
  {
    why: 'a landing reserve without its unit',
    table: 'event',
    lines: ['Landing reserve\tReform (min)', '20\t2'],
    at: [2, 'rules.landingReserve', '20'],
    mend: /^Write 20 min or 20 lb\.$/
  },
  {
    why: 'a word for a figure',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\tfull'],
    at: [2, 'startFuel', 'full'],
    mend: /a figure in lb/
  },
  {
    why: 'two decimal points',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t10.2.5'],
    at: [2, 'startFuel', '10.2.5'],
    mend: /12500/
  },
  {
    why: 'thousands or decimals beside decimal commas',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t10200,5', 'Alder 2\t10,300'],
    at: [3, 'startFuel', '10,300'],
    mend: /10300/
  },
  {
    why: 'thousands or decimals with a point',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t10.200', 'Alder 2\t9.900'],
    at: [3, 'startFuel', '9.900'],
    mend: /Write 9900 or 9\.9\./
  },
  {
    why: 'a decimal comma beside decimal points',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t10200.5', 'Alder 2\t10300,5'],
    at: [3, 'startFuel', '10300,5'],
    mend: /10300\.5/
  },
  {
    why: 'fuel below nothing',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t-500 lb'],
    at: [2, 'startFuel', '-500 lb'],
    mend: /0 to 440,924 lb/
  },
  {
    why: 'fuel above capacity',
    table: 'ships',
    lines: ['Ship\tStart fuel', 'Alder 1\t13000 lb'],
    at: [2, 'startFuel', '13000 lb'],
    mend: /at most 11,591 lb, what its tanks hold/
  },
  {
    why: 'kilograms taken for pounds, above capacity',
    table: 'ships',
    lines: ['Ship\tStart fuel (kg)', 'Alder 1\t10200'],
    at: [2, 'startFuel', '10200'],
    mend: /at most 5,257 kg/
  },
  {
    why: 'a count with a fraction',
    table: 'tankGroups',
    lines: ['Type\tTank group\tTanks', `${larch}\tWing\t1.5`],
    at: [2, 'tankCount', '1.5'],
    mend: /whole number|int/
  },
  {
    why: 'more unusable than the tank holds',
    table: 'tankGroups',
    lines: ['Type\tTank group\tUnusable', `${larch}\tWing\t900 lb`],
    at: [2, 'unusable', '900 lb'],
    mend: /at most its capacity, 820 lb/
  },
  // Columns swapped, headings amiss.
  {
    why: 'call sign and flight swapped',
    table: 'ships',
    lines: ['Flight\tShip\tStart fuel', 'Alder 9\tAlder\t10200'],
    at: [2, 'callSign', 'Alder'],
    mend: /call sign of its own/
  },
  {
    why: 'fuel and fitted swapped',
    table: 'ships',
    lines: ['Ship\tFitted\tStart fuel', 'Alder 1\t10200\tWing tank'],
    at: [2, 'startFuel', 'Wing tank'],
    mend: /figure/
  },
  {
    why: 'opening and closing swapped',
    table: 'windows',
    lines: ['Tanker\tStation\tOpens\tCloses', 'Mallet\tBoom\t1300\t1230'],
    at: [2, 'closesAtMs', '1230'],
    mend: /after 2030-03-04 13:00Z/
  },
  {
    why: 'longitude before latitude',
    table: 'bases',
    lines: ['Base\tPosition', 'Adze Field\t-155.6 45.35'],
    at: [2, 'position', '-155.6 45.35'],
    mend: /latitude, then longitude/
  },
  {
    why: 'a column twice',
    table: 'ships',
    lines: ['Ship\tStart fuel\tFuel', 'Alder 1\t10200\t10300'],
    at: [1, undefined, 'Fuel'],
    mend: /one of the two/
  },
  {
    why: 'half of a position',
    table: 'bases',
    lines: ['Base\tLatitude', 'Adze Field\t45 21.0N'],
    at: [1, undefined, 'Latitude'],
    mend: /Paste both/
  },
  {
    why: 'more cells than columns, without headings',
    table: 'pushGroups',
    lines: [tab('Sweep', '1305', 'late')],
    at: [1, undefined, 'late'],
    mend: /with its headings/
  },
  {
    why: 'a name with commas that nobody quoted',
    table: 'flights',
    lines: ['Flight,Type', `Alder,${larch}`],
    at: [2, undefined, 'one engine'],
    mend: /Quote the name/
  },
  {
    why: 'a block past its last column',
    table: 'pushGroups',
    lines: ['Push group\tPush', 'Sweep\t1305\tlate'],
    at: [2, undefined, 'late'],
    mend: /past the last one/
  },
  {
    why: 'nothing that says which row it is',
    table: 'ships',
    lines: ['Start fuel', '10200'],
    at: [2, 'callSign', ''],
    mend: /Ship/
  },
  {
    why: 'groups called alike, without their type',
    table: 'tankGroups',
    lines: ['Tank group\tUnusable', 'Wing\t10 lb'],
    at: [2, 'name', 'Wing'],
    mend: /Receiver type and Tank group/
  },
  // Names.
  {
    why: 'a call sign twice in the paste',
    table: 'ships',
    lines: ['Ship\tFlight\tStart fuel', 'Alder 8\tAlder\t10200', 'alder  8\tAlder\t10300'],
    at: [3, 'callSign', 'alder  8'],
    mend: /rows 2 and 3/
  },
  {
    why: "a call sign that is a tanker's",
    table: 'flights',
    lines: ['Flight\tType\tPriority\tFrom\tRecovery\tStarts', `Mallet\t${larch}\t2\tAdze Field\tAdze Field\t1210`],
    at: [2, 'callSign', 'Mallet'],
    mend: /of its own/
  },
  {
    why: 'a tanker called as a ship',
    table: 'tankers',
    lines: tankerOf('Alder 1\tLadle, one boom\tTrack Yarrow\t1210\t1400\t100000\t9000\t20000\t60000').split('\n'),
    at: [2, 'callSign', 'Alder 1'],
    mend: /of its own/
  },
  {
    why: 'an unknown flight',
    table: 'ships',
    lines: ['Ship\tFlight\tStart fuel', 'Birch 1\tBirch\t10200'],
    at: [2, 'flight', 'Birch'],
    mend: /Alder, Kelp/
  },
  {
    why: 'an unknown base',
    table: 'flights',
    lines: ['Flight\tRecovery', 'Alder\tAdse Field'],
    at: [2, 'recoveryBaseId', 'Adse Field'],
    mend: /Adze Field/
  },
  {
    why: 'an unknown divert among known ones',
    table: 'flights',
    lines: ['Flight\tDiverts', 'Alder\tElder Strip; Nowhere'],
    at: [2, 'divertBaseIds', 'Elder Strip; Nowhere'],
    mend: /Adze Field/
  },
  {
    why: 'an external tank of another type',
    table: 'ships',
    lines: ['Ship\tFitted', 'Alder 1\tBelly tank'],
    at: [2, 'fitted', 'Belly tank'],
    mend: /Wing tank/
  },
  {
    why: 'an internal group fitted',
    table: 'ships',
    lines: ['Ship\tFitted', 'Alder 1\tBody'],
    at: [2, 'fitted', 'Body'],
    mend: /external group of its type/
  },
  {
    why: 'no abort base',
    table: 'tracks',
    lines: ['Track\tControl point\tOrbit\tAbort base', 'Track Rue\t43 00N 155 00W\t43 00N 155 00W; 43 00N 154 30W\t'],
    at: [2, 'abortBaseId', ''],
    mend: /a base/
  },
  {
    why: 'an abort base out of the plan',
    table: 'tracks',
    lines: ['Track\tAbort base', 'Track Yarrow\tNone such'],
    at: [2, 'abortBaseId', 'None such'],
    mend: /Adze Field/
  },
  {
    why: 'a station of another tanker',
    table: 'windows',
    lines: ['Tanker\tStation\tOpens\tCloses', 'Mallet\tLeft pod\t1230\t1300'],
    at: [2, 'stationId', 'Left pod'],
    mend: /Boom/
  },
  {
    why: 'no compatible station',
    table: 'route',
    lines: ['Flight\tPhase\tTanker', 'Rasp\trefuelling\tMallet'],
    at: [2, 'tankerId', 'Mallet'],
    mend: /compatible station/
  },
  {
    why: 'a ship at a station it may not use',
    table: 'order',
    lines: ['Tanker\tStation\tShip\tVisit', 'Mallet\tBoom\tRasp 1\t1'],
    at: [2, 'shipId', 'Rasp 1'],
    mend: /may use this station/
  },
  {
    why: 'a visit the flight does not have',
    table: 'order',
    lines: ['Tanker\tStation\tShip\tVisit', 'Mallet\tBoom\tSleet 1\t2'],
    at: [2, 'visitId', '2'],
    mend: /Write one of: 1/
  },
  {
    why: 'a clearance for a station of another type',
    table: 'clearances',
    lines: [tab(larch, 'Ladle, one boom', 'Left pod')],
    at: [1, 'stationId', 'Left pod'],
    mend: /Boom/
  },
  // Times.
  {
    why: 'a time past midnight',
    table: 'tankers',
    lines: ['Tanker\tLeaves', 'Mallet\t2460'],
    at: [2, 'leavesAtMs', '2460'],
    mend: /1432/
  },
  {
    why: 'twenty-five o’clock',
    table: 'pushGroups',
    lines: ['Push group\tPush', 'Sweep\t25:10Z'],
    at: [2, 'pushAtMs', '25:10Z'],
    mend: /ddhhmm|281432/
  },
  {
    why: 'minutes alone',
    table: 'pushGroups',
    lines: ['Push group\tPush', 'Sweep\t45'],
    at: [2, 'pushAtMs', '45'],
    mend: /1432/
  },
  {
    why: 'a time not in UTC',
    table: 'pushGroups',
    lines: ['Push group\tPush', 'Sweep\t2030-03-04T13:05+01:00'],
    at: [2, 'pushAtMs', '2030-03-04T13:05+01:00'],
    mend: /UTC, with Z/
  },
  {
    why: 'a date with its day or month first',
    table: 'pushGroups',
    lines: ['Push group\tPush', 'Sweep\t04/03/2030 13:05'],
    at: [2, 'pushAtMs', '04/03/2030 13:05'],
    mend: /2030-11-28 14:32Z/
  },
  {
    why: 'a tanker that leaves before it comes',
    table: 'tankers',
    lines: ['Tanker\tOn station\tLeaves', 'Mallet\t1405\t1300'],
    at: [2, 'leavesAtMs', '1300'],
    mend: /after 14:05Z/
  },
  {
    why: 'a window while its tanker is away',
    table: 'windows',
    lines: ['Tanker\tStation\tOpens\tCloses', 'Sorrel\tLeft pod\t1210\t1300'],
    at: [2, 'opensAtMs', '1210'],
    mend: /not before 12:24Z/
  },
  {
    why: 'two windows of one station',
    table: 'windows',
    lines: ['Tanker\tStation\tOpens\tCloses', 'Mallet\tBoom\t1215\t1300', 'Mallet\tBoom\t1250\t1340'],
    at: [3, 'stationId', 'Boom'],
    mend: /rows 2 and 3/
  },
  {
    why: 'a push before its flight is ready',
    table: 'route',
    lines: ['Flight\tPhase\tPush group', 'Squall\trefuelling\tEscort'],
    at: [2, 'pushGroupId', 'Escort'],
    mend: /not before Squall is ready, 12:59:07Z/
  },
  // Rules and choices.
  {
    why: 'a method there is not',
    table: 'stations',
    lines: ['Type\tStation\tMethod', '"Ladle, one boom"\tBoom\tfunnel'],
    at: [2, 'method', 'funnel'],
    mend: /boom, drogue/
  },
  {
    why: 'a priority of six',
    table: 'flights',
    lines: ['Flight\tPriority', 'Alder\t6'],
    at: [2, 'priority', '6'],
    mend: /1, 2, 3, 4, 5/
  },
  {
    why: 'neither yes nor no',
    table: 'flights',
    lines: ['Flight\tMay spread', 'Alder\tperhaps'],
    at: [2, 'maySpread', 'perhaps'],
    mend: /yes or no/
  },
  {
    why: 'an on-load that is no rule',
    table: 'route',
    lines: ['Flight\tPhase\tOn-load', 'Rasp\trefuelling\tplenty'],
    at: [2, 'onLoad', 'plenty'],
    mend: /required, internals, full/
  },
  {
    why: 'a leg with minutes as well',
    table: 'route',
    lines: ['Flight\tPhase\tMinutes\tTo\tTAS', 'Rasp\ttransit\t12\tTrack Yarrow\t430'],
    at: [2, 'span.durationMin', '12'],
    mend: /blank/
  },
  {
    why: 'a leg slower than the wind',
    table: 'route',
    lines: ['Flight\tPhase\tTo\tTAS', 'Sleet\ttransit\tTrack Yarrow\t45 kt'],
    at: [2, 'span.trueAirspeed', '45 kt'],
    mend: /./,
    before: (draft) => setCell(draft, 'event', 'event', 'rules.windSpeed', '120 kt')
  },
  {
    why: 'a turn taken twice',
    table: 'order',
    lines: ['Tanker\tStation\tTurn\tShip\tVisit', 'Mallet\tBoom\t2\tSleet 2\t1'],
    at: [2, 'turn', '2'],
    mend: /turn of its own/
  },
  {
    why: 'a limit by hand below the computed one',
    table: 'flights',
    lines: ['Flight\tBingo by hand', 'Alder\t100 lb'],
    at: [2, 'limits.bingo', '100 lb'],
    mend: /at least the computed one/
  },
  { why: 'nothing at all', table: 'ships', lines: ['', ' '], at: [0, undefined, ''], mend: /Copy the rows/ }
]
