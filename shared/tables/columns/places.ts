import { WAIT_SIDES } from '../../contracts/kinds.ts'
import type { Column, Reference } from '../table.ts'
import { choice, needed, optional } from './make.ts'

/* Bases, tracks, the tankers on them, and the pushes. */

const BASE: Reference = { table: 'bases' }
const position = '44 09.0N 155 24.0W or 44.15 -155.4'

export const BASES: readonly Column[] = [
  needed('name', 'Base', 'name', 'what the base is called', 'name; field; airfield; aerodrome; airport'),
  needed(
    'position',
    'Position',
    'position',
    position,
    'coordinates; coords; pos; location; lat/long; lat/lon; latlong; latlon; lat and long'
  ),
  optional(
    'opensAtMs',
    'Opens',
    'instant',
    'nobody lands before: 1130',
    'opens at; open from; open; opening; opening time',
    {
      until: 'closesAtMs'
    }
  ),
  optional(
    'closesAtMs',
    'Closes',
    'instant',
    'nobody lands after: 1830',
    'closes at; open until; close; closed; closing; closing time'
  ),
  optional(
    'fitFor',
    'Fit for',
    'references',
    'receiver types; blank: all of them',
    'types; receiver types; fit for types',
    {
      refersTo: { table: 'receiverTypes' }
    }
  ),
  optional('fuelThere', 'Fuel there', 'yesNo', 'yes, no, or blank where nobody has said', 'fuel')
]

export const TRACKS: readonly Column[] = [
  needed('name', 'Track', 'name', 'what the track is called', 'name; trk; area; anchor'),
  needed('controlPoint', 'Control point', 'position', position, 'CP; ARCP'),
  needed('orbit', 'Orbit', 'positions', 'its turn points, semicolons between them', 'orbit points; turn points'),
  needed('abortBaseId', 'Abort base', 'reference', 'a base', 'abort', { refersTo: BASE }),
  optional('secondAbortBaseId', 'Second abort base', 'reference', 'where the first is closed', 'second abort', {
    refersTo: BASE
  })
]

export const TANKERS: readonly Column[] = [
  needed('callSign', 'Tanker', 'callSign', 'its call sign', 'call sign; c/s; name'),
  needed('tankerTypeId', 'Tanker type', 'reference', 'a tanker type', 'type; a/c; aircraft; aircraft type', {
    refersTo: { table: 'tankerTypes' }
  }),
  needed('trackId', 'Track', 'reference', 'a track', 'trk; area', { refersTo: { table: 'tracks' } }),
  needed(
    'onStationAtMs',
    'On station',
    'instant',
    '1208, or 051208 for the 5th',
    'on station at; on track; on stn; on station time'
  ),
  needed('leavesAtMs', 'Leaves', 'instant', '1405', 'leaves at; off station; off track; off stn; off station time'),
  needed(
    'fuelOnStation',
    'Fuel on station',
    'quantity',
    '146,000 lb',
    'fuel; fuel aboard; fuel on stn; fuel on track; total fuel',
    { leastBare: 1000 }
  ),
  needed('burn', 'Burn', 'flow', '9,700 lb/h', 'fuel flow; burn rate; flow', { per: 'h' }),
  needed(
    'keeps',
    'Keeps',
    'quantity',
    'for its own way home: 22,500 lb',
    'own fuel; keep; home fuel; fuel home; fuel to go home; recovery fuel',
    { leastBare: 1000 }
  ),
  needed(
    'mostTransferable',
    'Most it gives',
    'quantity',
    '97,000 lb',
    'give; gives; most transferable; transferable; offload; off-load; fuel to give; available',
    {
      leastBare: 1000
    }
  ),
  optional('join.rendezvous', 'Rendezvous', 'words', 'the kind agreed', 'rendezvous type; join'),
  optional('join.rendezvousAtMs', 'Rendezvous at', 'instant', '1215', 'rendezvous time; RV time'),
  optional('join.block', 'Block', 'words', 'FL240 to FL260', 'altitude block; levels'),
  optional('join.waitLevel', 'Wait level', 'words', 'FL230', 'waiting level'),
  optional(
    'join.waitSide',
    'Wait side',
    'choice',
    'left or right',
    'waiting side',
    choice(WAIT_SIDES, { l: 'left', r: 'right' })
  ),
  optional('join.frequency', 'Frequency', 'words', '277.8', 'freq')
]

export const WINDOWS: readonly Column[] = [
  needed('tanker', 'Tanker', 'reference', 'its call sign', 'call sign; c/s', { refersTo: { table: 'tankers' } }),
  needed('stationId', 'Station', 'reference', 'a station of its type', 'stn; hose', {
    refersTo: { table: 'stations', by: ['tanker', 'tankerTypeId'] }
  }),
  needed('opensAtMs', 'Opens', 'instant', '1230', 'opens at; from; open; opening'),
  needed('closesAtMs', 'Closes', 'instant', '1330', 'closes at; to; until; close; closing')
]

export const PUSH_GROUPS: readonly Column[] = [
  needed('name', 'Push group', 'name', 'visits that leave together', 'name; group; push name; push'),
  needed('pushAtMs', 'Push', 'instant', '1305', 'push at; push time; time')
]
