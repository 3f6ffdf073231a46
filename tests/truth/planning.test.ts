import { describe, expect, it } from 'vitest'
import { demand } from '../../shared/order/demand.ts'
import { KG_PER_LB, MS_PER_MIN } from '../../shared/units.ts'

/*
 * Published figures of how many receivers a tanker serves, by time or by fuel, each with its source; the count of tankers
 * that follows from them is the larger of the two, which tests/cases/order.test.ts (c11) has with both. They are told in prose and rounded there: what is checked is that the
 * count changes where they say it does.
 */
interface Told {
  what: string
  source: string
  /** What one tanker did: so many receivers, each so long on the station and with so much. */
  receivers: number
  serviceMin: number
  windowMin: number
  onLoadLb: number
  giveLb: number
  binds: 'time' | 'give'
}

const TOLD: readonly Told[] = [
  {
    what: 'twelve through one boom in about an hour',
    source: 'Altus AFB public affairs commentary, altus.af.mil 352996: 12 aircraft in about 1 h, all in',
    receivers: 12,
    serviceMin: 5,
    windowMin: 60,
    // Not told: so little that time binds.
    onLoadLb: 4000,
    giveLb: 100_000,
    binds: 'time'
  },
  {
    what: 'a flight of four on one hose in a slot of half an hour',
    source: 'former tanker pilot, public post of 25 July 2017: slots of 30 min, rarely more than a four-ship',
    receivers: 4,
    serviceMin: 7.5,
    windowMin: 30,
    onLoadLb: 4000,
    giveLb: 100_000,
    binds: 'time'
  },
  {
    what: 'the same in the shorter slot of twenty minutes',
    source: 'the same post: slots were cut to 20 min',
    receivers: 4,
    serviceMin: 5,
    windowMin: 20,
    onLoadLb: 4000,
    giveLb: 100_000,
    binds: 'time'
  },
  {
    what: 'three receivers from one sortie',
    source: 'mcasiwakuni 137094, 21 April 2004: 84,000 lb to 3 receivers',
    receivers: 3,
    serviceMin: 5,
    windowMin: 180,
    onLoadLb: 28_000,
    giveLb: 84_000,
    binds: 'give'
  },
  {
    what: 'what a sortie gave, over a busy month',
    source: 'DVIDS 10711: 40 million lb to 3,000 receivers in 700 sorties of one squadron in a month',
    receivers: 4,
    serviceMin: 5,
    windowMin: 180,
    onLoadLb: 40_000_000 / 3000,
    giveLb: 40_000_000 / 700,
    binds: 'give'
  }
]

describe('the tankers that a number of receivers needs', () => {
  const asked = (told: Told, receivers: number) =>
    demand({
      receivers,
      onLoadKg: told.onLoadLb * KG_PER_LB,
      windowMs: told.windowMin * MS_PER_MIN,
      serviceMs: told.serviceMin * MS_PER_MIN,
      givePerTankerKg: told.giveLb * KG_PER_LB
    })

  it.each(TOLD.map((told) => [told.what, told] as const))('are one for %s, and two for one more', (_, told) => {
    expect(asked(told, told.receivers).tankers, told.source).toBe(1)
    const more = asked(told, told.receivers + 1)
    expect(more.tankers, told.source).toBe(2)
    expect(more.binds, told.source).toBe(told.binds)
    expect(more.tankers).toBe(Math.max(more.tankersByTime, more.tankersByGive))
  })
})
