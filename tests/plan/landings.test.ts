import { describe, expect, it } from 'vitest'
import { readPlan } from '../../shared/plan/read.ts'
import { OPENS_AT_MS, planDocument } from '../make/plan.ts'

/* Constructed from the paper plan: its flight is ready at 12:20Z, pushes at 13:00Z and lands at 13:38:20Z. */
const MIN = 60_000
const KM_100_DEG = (100_000 / 6_378_137) * (180 / Math.PI)

type Loose = Record<string, unknown>
interface Document extends Loose {
  bases: Loose[]
  tracks: Loose[]
  flights: Loose[]
}

function faultsWith(
  change: (document: Document) => void
): [path: string, value: string, limit: string, message: string][] {
  const document = planDocument() as unknown as Document
  const position = { latitudeDeg: 0, longitudeDeg: 2 * KM_100_DEG }
  document.bases.push({ id: 'east', name: 'East Quay', position })
  change(document)
  const read = readPlan(document)
  if ('plan' in read) return []
  return read.faults.map(({ path, value, limit, message }) => [path, value, limit, message])
}
const first = (list: Loose[]): Loose => {
  const [one] = list
  if (!one) throw new Error('nothing there')
  return one
}

describe('a plan is refused with path, value, limit and what would be right', () => {
  it('where a base names a type that is not there, or one twice', () => {
    expect(faultsWith(({ bases }) => (first(bases)['fitFor'] = ['larch', 'fir', 'larch']))).toEqual([
      ['/bases/0/fitFor/1', '"fir"', 'the id of a receiver type of this plan', 'no such receiver type'],
      ['/bases/0/fitFor/2', '"larch"', 'a receiver type listed once', 'it stands there already']
    ])
  })

  it('where a base closes before it opens', () => {
    const turned = { opensAtMs: OPENS_AT_MS, closesAtMs: OPENS_AT_MS - MIN }
    expect(faultsWith(({ bases }) => Object.assign(first(bases), turned))).toMatchObject([
      [
        '/bases/0/closesAtMs',
        String(OPENS_AT_MS - MIN),
        `after opensAtMs ${String(OPENS_AT_MS)}`,
        'it closes before it opens'
      ]
    ])
  })

  it('where the second abort base is the first one, or not there', () => {
    expect(faultsWith(({ tracks }) => (first(tracks)['secondAbortBaseId'] = 'west'))).toMatchObject([
      ['/tracks/0/secondAbortBaseId', '"west"', 'another base than the first', 'it stands in for that one']
    ])
    expect(faultsWith(({ tracks }) => (first(tracks)['secondAbortBaseId'] = 'nowhere'))).toMatchObject([
      ['/tracks/0/secondAbortBaseId', '"nowhere"', 'the id of a base of this plan', 'no such base']
    ])
  })

  it('where who falls out is no ship, or stands there twice, or a flight needs more ships than it has', () => {
    expect(
      faultsWith((document) => {
        document['fallOut'] = ['alder-22', 'alder-29', 'alder-22']
        first(document.flights)['leastShipCount'] = 3
      })
    ).toMatchObject([
      ['/fallOut/1', '"alder-29"', 'the id of a ship of this plan', 'no such ship'],
      ['/fallOut/2', '"alder-22"', 'a ship listed once', 'it stands there already'],
      ['/flights/0/leastShipCount', '3', 'at most 2, the ships of Alder 2', 'it would never go']
    ])
  })

  it('where a base that a flight needs is not fit for its type', () => {
    const faults = faultsWith(({ bases, flights }) => {
      first(bases)['fitFor'] = []
      first(flights)['divertBaseIds'] = ['west', 'east']
    })
    const name = 'West Quay is not fit for Single-engine fighter, receptacle: name another base'
    const limit = 'a base fit for Single-engine fighter, receptacle'
    expect(faults).toEqual([
      ['/flights/0/departureBaseId', '"west"', limit, name],
      ['/flights/0/recoveryBaseId', '"west"', limit, name],
      ['/flights/0/divertBaseIds/0', '"west"', limit, name],
      [
        '/flights/0/route/1/tankerId',
        '"kelp"',
        'a track with an abort base fit for Single-engine fighter, receptacle and open then',
        'Alder 2 has no abort base: West Quay is not fit, name a second abort base'
      ]
    ])
  })

  it('where the plan itself brings a flight to a base that is not open then', () => {
    const landsMs = OPENS_AT_MS + 98 * MIN + 20_000
    const closing = (closesAtMs: number) =>
      faultsWith(({ bases, tracks }) => {
        first(bases)['closesAtMs'] = closesAtMs
        first(tracks)['abortBaseId'] = 'east'
      })
    expect(closing(landsMs + 1000)).toEqual([])
    expect(closing(landsMs - 1000)).toMatchObject([
      [
        '/flights/0/recoveryBaseId',
        '"west"',
        `a base open at ${String(Math.ceil(landsMs))} ms`,
        expect.stringContaining('Alder 2 comes to West Quay then')
      ]
    ])
  })

  it('where no abort base is open at any time of a visit', () => {
    const never = faultsWith(({ bases, tracks }) => {
      Object.assign(bases[1] ?? {}, { closesAtMs: OPENS_AT_MS + 20 * MIN })
      first(tracks)['abortBaseId'] = 'east'
    })
    expect(never).toMatchObject([
      [
        '/flights/0/route/1/tankerId',
        '"kelp"',
        expect.stringContaining('open then'),
        expect.stringContaining('name a second')
      ]
    ])
  })
})

describe('a plan is taken', () => {
  it('where the second abort base stands in for one that is not fit, and a base says whether there is fuel', () => {
    expect(
      faultsWith(({ bases, tracks }) => {
        Object.assign(bases[1] ?? {}, { fitFor: [], fuelThere: false })
        Object.assign(first(tracks), { abortBaseId: 'east', secondAbortBaseId: 'west' })
      })
    ).toEqual([])
  })
})
