import { describe, expect, it } from 'vitest'
import { flightCards, type CardPart, type FlightCard } from '../../client/card.ts'
import { densityOf } from '../../client/card-size.ts'
import { tankerCards } from '../../client/card-tanker.ts'
import { endsAtMs, expiresAtMs } from '../../client/brief-links.ts'
import { atPushText, clockText, dayMark, fuelText } from '../../client/figures.ts'
import { shortTankers } from '../../client/fall-out.ts'
import { labelsOf } from '../../client/labels.ts'
import { timelineOf } from '../../client/pictures/timeline.ts'
import { pathOfModules } from '../../client/qr.ts'
import { abortBaseWords } from '../../client/words/abort.ts'
import { baseWords } from '../../client/words/card.ts'
import { fallOutSentences, listSentence } from '../../client/words/fall-out.ts'
import { joinLines } from '../../client/words/join-fields.ts'
import { readSentence } from '../../client/words/read.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { SlotView, View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { emptyState } from '../../shared/live/state.ts'
import { fallOutOf } from '../../shared/plan/fallout.ts'
import { KG_PER_LB } from '../../shared/units.ts'
import { slotView } from './fixture.ts'

/* Constructed, and the demonstration; what the paper shows of the slots is compared in the browser, tests/e2e/cards.test.ts. */

const OPENS_AT_MS = Date.UTC(2031, 4, 6, 9)
const demo = demoPlan(OPENS_AT_MS)
const lb = (value: number) => value * KG_PER_LB
function viewed(plan: Plan): View {
  const view = estimate({ ...emptyState('cards'), plan, revision: 1 }, plan.opensAtMs)
  if (!view) throw new Error('no view')
  return view
}
const cards = (plan: Plan, view = viewed(plan)) => flightCards({ view, plan, labels: labelsOf(plan) })
const cardOf = (all: readonly FlightCard[], id: string): FlightCard => {
  const card = all.find(({ flightId }) => flightId === id)
  if (!card) throw new Error(`no card of ${id}`)
  return card
}
const partOf = ({ parts }: FlightCard, place = 0): CardPart => {
  const part = parts[place]
  if (!part) throw new Error('no such part')
  return part
}
const rowOf = (part: CardPart, block: number, name: string) => part.blocks[block]?.rows.find((row) => row.name === name)

describe('a card', () => {
  it('has a block a visit, and how to join a tanker once', () => {
    const alder = partOf(cardOf(cards(demo), 'alder'))
    expect(alder.blocks.map(({ title }) => title)).toEqual([
      'Visit 1 of 2, push group Sweep',
      'Visit 2 of 2, push group Return'
    ])
    expect(alder.blocks.map(({ joins }) => joins.map(({ join }) => join?.block))).toEqual([
      ['FL 240 to 260'],
      [undefined]
    ])
    expect(cards(demo).map(({ parts }) => parts.length)).toEqual(demo.flights.map(() => 1))
  })

  it('names the air spare, the second abort base, and what was said of the bases', () => {
    const all = cards(demo)
    expect(partOf(cardOf(all, 'sleet')).ships.map(({ spare }) => spare)).toEqual([false, false, false, true])
    expect(rowOf(partOf(cardOf(all, 'thistle')), 0, 'abortBase')?.cells).toEqual([
      { text: 'Cresset Field', more: 'else Flail Strip' }
    ])
    const { recovery, diverts } = cardOf(all, 'thistle')
    expect([recovery, ...diverts].map((base) => base && baseWords(base, OPENS_AT_MS))).toEqual([
      'Cresset Field, fuel there',
      'Flail Strip, no fuel there, open from 09:08Z until 10:49Z',
      'Burdock Field, fuel there'
    ])
  })

  it('says of a ship without a slot, without a contact, and with a second contact, which it is', () => {
    const view = viewed(demo)
    const first = view.slots.find(({ shipId }) => shipId === 'rasp-1')
    if (!first) throw new Error('Rasp 1 has a slot')
    const slots = view.slots.flatMap((slot) => {
      if (slot.shipId === 'rasp-2') return []
      return slot.shipId === 'rasp-3' ? [{ ...slot, state: 'missed' as const }] : [slot]
    })
    const again = { ...first, slotId: 'again', contactAtMs: first.contactAtMs + 600_000 }
    const rasp = partOf(cardOf(cards(demo, { ...view, slots: [...slots, again] }), 'rasp'))
    expect(rowOf(rasp, 0, 'contact')?.cells.map(({ text }) => text)).toEqual([
      expect.stringMatching(/Z$/),
      'no slot',
      'no contact',
      expect.stringMatching(/Z$/)
    ])
    expect(rowOf(rasp, 0, 'onLoad')?.cells.map(({ text }) => text === '')).toEqual([false, true, true, false])
    expect(rasp.blocks.map(({ title }) => title)).toEqual([
      'Visit, push group Escort',
      'Visit, once more, push group Escort'
    ])
    expect(rowOf(rasp, 1, 'contact')?.cells.map(({ text }) => text === 'no slot')).toEqual([false, true, true, true])
  })

  it('says what a ship has at its push, and that it is short, by how much', () => {
    const view = viewed(demo)
    const short = (slot: SlotView): SlotView =>
      slot.shipId === 'rasp-2' ? { ...slot, fuelAtPushKg: lb(790), shortageKg: lb(6_705), latestPushAtMs: null } : slot
    const slots = view.slots.map(short)
    const rasp = partOf(cardOf(cards(demo, { ...view, slots }), 'rasp'))
    const cells = rowOf(rasp, 0, 'atPush')?.cells ?? []
    expect(cells.map(({ more }) => more)).toEqual(['', '▲ short by 6,710 lb', '', ''])
    const fuel = slots.filter(({ shipId }) => shipId === 'rasp-2').map((slot) => atPushText(slot, 'lb'))
    expect(fuel).toEqual([cells[1]?.text])
    const dry = view.slots.map((slot) => (slot.shipId === 'rasp-2' ? { ...slot, fuelAtPushKg: -400 } : slot))
    const out = partOf(cardOf(cards(demo, { ...view, slots: dry }), 'rasp'))
    expect(rowOf(out, 0, 'atPush')?.cells[1]?.text).toBe('runs out before')
  })

  it('goes on on another page with more ships than stand beside each other, as wide as the first', () => {
    const wide = {
      ...demo,
      flights: demo.flights.map((flight) => {
        const [ship] = flight.ships
        if (flight.id !== 'rasp' || !ship) return flight
        const more = Array.from({ length: 7 }, (_, n) => ({ ...ship, id: `rasp-x${n}`, callSign: `Rasp x${n}` }))
        return { ...flight, ships: more as typeof flight.ships }
      })
    }
    expect(cardOf(cards(wide, viewed(demo)), 'rasp').parts.map(({ ships }) => ships.length)).toEqual([4, 3])
  })

  it('has smaller letters only where there is more to say', () => {
    const all = cards(demo)
    const [rasp, kelp] = [cardOf(all, 'rasp'), cardOf(all, 'kelp')]
    expect(densityOf(rasp, partOf(rasp))).toBe('plain')
    // Two visits with a hold each: on paper it is over 208 mm high with the largest letters, and a page holds 194 mm.
    expect(densityOf(kelp, partOf(kelp))).toBe('closer')
    const [base] = rasp.diverts
    if (!base) throw new Error('Rasp has a divert')
    const many = Array.from({ length: 30 }, () => ({
      ...base,
      name: 'A base of a very long name at the end of the bay'
    }))
    expect(densityOf({ ...kelp, diverts: many }, partOf(kelp))).toBe('least')
  })
})

describe('the page of a tanker', () => {
  it('counts what is left to give down to what the order leaves', () => {
    const view = viewed(demo)
    const sorrel = tankerCards({ view, plan: demo, labels: labelsOf(demo) }).find(
      ({ tankerId }) => tankerId === 'sorrel'
    )
    const left = sorrel?.rows.map((row) => Number(row.left.replace(/\D/g, ''))) ?? []
    expect(left).toHaveLength(6)
    expect(left).toEqual(left.toSorted((a, b) => b - a))
    expect(sorrel?.rows.map(({ gap }) => gap === '')).toEqual([true, true, false, false, false, false])
    expect(sorrel?.unserved).toEqual([])
  })

  it('has left to give what the timeline has, in order of disconnect, of two off at once both gone', () => {
    const view = viewed(demo)
    const [first, second] = view.slots
      .filter(({ tankerId }) => tankerId === 'sorrel')
      .toSorted((a, b) => a.contactAtMs - b.contactAtMs)
    const tanker = view.tankers.find(({ tankerId }) => tankerId === 'sorrel')
    if (!first || !second || !tanker) throw new Error('two come to Sorrel')
    // Two pods: one is in contact a little after the other, and off with it.
    const slots = view.slots.map((slot) => {
      if (slot === first) return { ...slot, contactAtMs: slot.contactAtMs - 30_000 }
      return slot === second ? { ...slot, disconnectAtMs: first.disconnectAtMs } : slot
    })
    const sources = { view: { ...view, slots }, plan: demo, labels: labelsOf(demo) }
    const rows = tankerCards(sources).find(({ tankerId }) => tankerId === 'sorrel')?.rows ?? []
    const steps = timelineOf(demo, sources.view).tankers.find((one) => one.tanker.tankerId === 'sorrel')?.give ?? []
    const onPaper = new Map(rows.map(({ slotId, left }) => [slotId, left]))
    const drawn = steps.flatMap(({ slotId, leftKg }): [string, string][] =>
      slotId === undefined ? [] : [[slotId, fuelText(leftKg, 'lb', 'down')]]
    )
    expect(drawn.toSorted()).toEqual([...onPaper].toSorted())
    expect(onPaper.get(first.slotId)).toBe(onPaper.get(second.slotId))
    expect(onPaper.get(first.slotId)).toBe(fuelText(tanker.giveKg - first.onLoadKg - second.onLoadKg, 'lb', 'down'))
  })
})

describe('who falls out of the demonstration', () => {
  /** A tanker that gives 85 % of what its order promises; then the order judged anew without those who fall out. */
  it.each(demo.tankers.map(({ id }) => id))(
    'is as many as it takes when %s gives too little, by the order judged anew',
    (tankerId) => {
      const promised = viewed(demo).tankers.find((one) => one.tankerId === tankerId)?.promisedKg ?? 0
      const short: Plan = {
        ...demo,
        tankers: demo.tankers.map((tanker) =>
          tanker.id === tankerId ? { ...tanker, mostTransferable: { value: promised * 0.85, unit: 'kg' } } : tanker
        )
      }
      const view = viewed(short)
      expect(view.tankers.find((one) => one.tankerId === tankerId)?.shortKg).toBeGreaterThan(5)
      const [its] = fallOutOf(short, shortTankers(view)).tankers
      const fallen = new Set<string>(its?.dropped.map(({ shipId }) => shipId))
      expect(fallen.size).toBeGreaterThan(0)
      const without = (shipIds: ReadonlySet<string>): Plan => ({
        ...short,
        orders: short.orders.map((order) => ({
          ...order,
          sequences: order.sequences.map((one) => ({
            ...one,
            slots: one.slots.filter(({ shipId }) => !shipIds.has(shipId))
          }))
        }))
      })
      const lacks = (plan: Plan) => viewed(plan).tankers.find((one) => one.tankerId === tankerId)?.shortKg ?? NaN
      expect(lacks(without(fallen))).toBeLessThan((its?.stillShortKg ?? NaN) + 5)
      // One fewer would not have been enough.
      expect(lacks(without(new Set([...fallen].slice(0, -1))))).toBeGreaterThan(5)
    }
  )
})

describe('words of the brief', () => {
  it('tell of a join what was agreed, and nothing else', () => {
    expect(joinLines(undefined)).toEqual([])
    expect(joinLines({ waitSide: 'right' })).toEqual([{ name: 'wait', text: 'on its right' }])
    const lines = joinLines({ rendezvous: 'overhead', rendezvousAtMs: OPENS_AT_MS + 60_000, frequency: '283.4 MHz' })
    expect(lines.map(({ text }) => text)).toEqual(['overhead, 09:01Z', '283.4 MHz'])
  })

  it('tell the base that abort fuel counts to, and why it is not the first', () => {
    const labels = labelsOf(demo)
    const said = (abortBaseId: string | null, abortWhy: 'closed' | 'not fit' | null) =>
      abortBaseWords({ abortBaseId, abortWhy }, labels)
    expect(said('adze', null)).toBe('Adze Field')
    expect(said('elder', 'closed')).toBe('Elder Strip, as the first abort base is closed')
    expect(said(null, 'not fit')).toBe('no abort base: the first abort base is not fit for its type')
  })

  it('tell whether a revision was read', () => {
    expect(readSentence(undefined, 3)).toBe('Revision 3: not read yet.')
    expect(readSentence({ revision: 2, atMs: OPENS_AT_MS }, 3)).toContain('revision 3 is published, you read 2')
    expect(readSentence({ revision: 3, atMs: OPENS_AT_MS }, 3)).toBe('Revision 3, read 09:00:00Z.')
  })

  it('tell who falls out, who is kept, and what still lacks', () => {
    const labels = labelsOf(demo)
    const dropped = [
      { shipId: 'sleet-4', freesKg: 1, spareId: undefined },
      { shipId: 'squall-2', freesKg: 1, spareId: 'sleet-3' }
    ]
    expect(
      fallOutSentences({ tankerId: 'mallet', shortKg: 1000, dropped, kept: ['alder-4'], stillShortKg: 100 }, labels)
    ).toEqual([
      'Mallet lacks 2,300 lb: Sleet 4, then Squall 2 (Sleet 3 steps in) fall out.',
      'Kept, as without them their flights do not go: Alder 4.',
      'Still 300 lb too little.'
    ])
    expect(listSentence(undefined, labels)).toBe('The plan does not say who falls out first.')
  })

  it('ask of a tanker no more than it lacks for whom its give runs out on', () => {
    const slots = [
      slotView({ shipId: 'a', onLoadKg: 1000, neededKg: 9000, endedBy: 'give' }),
      slotView({ shipId: 'b', onLoadKg: 500, neededKg: 9000, endedBy: 'full' }),
      slotView({ shipId: 'c', onLoadKg: 500, state: 'done' })
    ]
    const tankers = [{ tankerId: 'kelp', shortKg: 300 }] as View['tankers']
    expect(shortTankers({ tankers, slots })).toEqual([
      {
        tankerId: 'kelp',
        shortKg: 300,
        promisedKg: new Map([
          ['a', 1300],
          ['b', 500]
        ])
      }
    ])
  })
})

describe('a code', () => {
  it('is drawn a run of dark modules at a time', () => {
    expect(pathOfModules([[true, true, false, true], [], [false, true]])).toBe('M0 0h2v1h-2zM3 0h1v1h-1zM1 2h1v1h-1z')
  })
})

describe('the day of an event', () => {
  const late = demoPlan(Date.UTC(2031, 4, 6, 23))

  it('is told of every time that is of another day', () => {
    const rasp = partOf(cardOf(cards(late), 'rasp'))
    const { slots } = viewed(late)
    const theirs = slots.filter(({ flightId }) => flightId === 'rasp')
    expect(rowOf(rasp, 0, 'push')?.cells.map(({ text }) => text)).toEqual(
      [...new Set(theirs.map(({ pushAtMs }) => pushAtMs))].map(
        (atMs) => `${clockText(atMs, 'up')}${atMs > Date.UTC(2031, 4, 7) ? ' +1 d' : ''}`
      )
    )
    const kelp = partOf(cardOf(cards(late), 'kelp'))
    expect(
      kelp.blocks.flatMap(({ rows }) => rows.find(({ name }) => name === 'push')?.cells ?? []).at(-1)?.text
    ).toMatch(/^00:\d\d:\d\dZ \+1 d$/)
    const tankers = tankerCards({ view: viewed(late), plan: late, labels: labelsOf(late) })
    for (const { leaves } of tankers) expect(leaves).toMatch(/^0\d:.*Z \+1 d$/)
    const strip = late.bases.find(({ closesAtMs }) => closesAtMs !== undefined)
    expect(strip && baseWords(strip, late.opensAtMs)).toMatch(/open from 23:08Z until 00:49Z \+1 d$/)
    expect(joinLines({ rendezvousAtMs: Date.UTC(2031, 4, 7, 0, 5) }, late.opensAtMs)).toEqual([
      { name: 'rendezvous', text: '00:05Z +1 d' }
    ])
  })

  it('counts by what is shown: a time rounded up into the next day is of that day', () => {
    const day = Date.UTC(2031, 4, 6)
    expect(dayMark(day + 86_399_500, day, 'up')).toBe(' +1 d')
    expect(dayMark(day + 86_399_500, day)).toBe('')
    expect(dayMark(day - 1_000, day)).toBe(' \u22121 d')
  })

  it('has links of a brief hold until twelve hours after the last landing, however far ahead it is', () => {
    const view = viewed(demo)
    const ends = Math.max(...view.flights.map(({ ladder }) => ladder.at(-1)?.atMs ?? 0))
    expect(endsAtMs(view)).toBe(ends)
    const realMs = view.atMs - 4 * 365 * 86_400_000
    // The service takes whole milliseconds.
    expect(expiresAtMs('event', { view: { ...view, atMs: realMs }, realMs })).toBe(Math.ceil(ends + 12 * 3_600_000))
    // Under an exercise clock what counts is how long the event goes on.
    const oddMs = view.atMs + 0.25
    expect(expiresAtMs('event', { view: { ...view, atMs: oddMs }, realMs })).toBe(
      Math.ceil(realMs + ends - oddMs + 12 * 3_600_000)
    )
    expect(expiresAtMs(24, { view, realMs })).toBe(realMs + 86_400_000)
    expect(expiresAtMs(0, { view, realMs })).toBeUndefined()
  })
})
