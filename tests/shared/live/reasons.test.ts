import { describe, expect, it } from 'vitest'
import type { Reason, View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Constructed, on the paper plan (tests/make/plan.ts); no outside source: when a trouble is told, how grave, and in which
 * order. Alder 21 takes 300 of the 550 kg that it needs, Alder 22 a little less than all.
 */
const MIN = 60_000
const at = (minutes: number) => OPENS_AT_MS + minutes * MIN

function view(event: MemoryEvent, minutes: number): View {
  const seen = estimate(event.state, at(minutes))
  if (!seen) throw new Error('no plan adopted')
  return seen
}
function recorded(event: MemoryEvent, request: Parameters<MemoryEvent['ask']>[0], minutes: number) {
  expect(event.ask(request, at(minutes))).toBeUndefined()
}
const told = (reasons: readonly Reason[], shipId: string) =>
  reasons.filter((reason) => reason.shipId === shipId).map(({ kind, severity }) => `${severity} ${kind}`)

/** Both have taken less than is required at their push. */
function short(): MemoryEvent {
  const event = new MemoryEvent(paperPlan())
  for (const shipId of ['alder-21', 'alder-22']) recorded(event, { kind: 'joinShip', shipId }, 20)
  const off = (shipId: string, value: number) => ({
    ...{ kind: 'disconnect' as const, shipId, how: 'partial', offLoad: { value, unit: 'kg' } }
  })
  recorded(event, { kind: 'makeContact', shipId: 'alder-21' }, 22)
  recorded(event, off('alder-21', 300), 23)
  recorded(event, { kind: 'makeContact', shipId: 'alder-22' }, 25)
  recorded(event, off('alder-22', 530), 28)
  return event
}

describe('what a ship lacks at its push', () => {
  it('is of now, but where it is less than a step in which the board shows fuel', () => {
    const { reasons } = view(short(), 30)
    expect(reasons.find(({ shipId }) => shipId === 'alder-21')?.byKg).toBeCloseTo(250, 6)
    expect(told(reasons, 'alder-21')).toContain('now past latest push')
    expect(reasons.find(({ shipId }) => shipId === 'alder-22')?.byKg).toBeCloseTo(20, 6)
    expect(told(reasons, 'alder-22')).toEqual(['soon past latest push'])
  })

  it('is behind it once it has pushed, and the late push once the last has', () => {
    const event = short()
    recorded(event, { kind: 'push', shipIds: ['alder-21'] }, 62)
    const one = view(event, 62.5).reasons
    expect(told(one, 'alder-21')).not.toContain('now past latest push')
    expect(told(one, 'alder-22')).toContain('soon past latest push')
    expect(one.map(({ kind }) => kind)).toContain('late push')
    recorded(event, { kind: 'push', shipIds: ['alder-22'] }, 63)
    const both = view(event, 63.5)
    expect(both.pushes[0]?.lateS).toBe(180)
    expect(both.reasons.map(({ kind }) => kind)).not.toContain('late push')
    expect(both.reasons.map(({ kind }) => kind)).not.toContain('past latest push')
  })

  it('is behind it once it has left, and a push with nobody left to push is late no more', () => {
    const event = short()
    recorded(event, { kind: 'leave', shipId: 'alder-21' }, 62)
    expect(told(view(event, 62.5).reasons, 'alder-21')).not.toContain('now past latest push')
    recorded(event, { kind: 'leave', shipId: 'alder-22' }, 63)
    expect(view(event, 64).reasons.map(({ kind }) => kind)).toEqual([])
  })
})

describe('the head of what needs attention', () => {
  it('is a ship that gets no contact before it has to leave, and the heavier one of two', () => {
    const plan = paperPlan((document) => {
      const [flight] = document['flights'] as Record<string, unknown>[]
      if (flight === undefined) throw new Error('the paper plan has no flight')
      const ship = (id: string, value: number) => ({
        ...{ id, callSign: id, fitted: [], startFuel: { value, unit: 'kg' } }
      })
      // Alder is ready with 1900 kg, 590 of them for the way home; the other two with 500 kg: they come to no contact.
      flight['ships'] = [ship('alder-21', 2500)]
      const other = (id: string, priority: number) => ({
        ...flight,
        ...{ id, callSign: id, priority, ships: [ship(`${id}-1`, 1100)] },
        route: (flight['route'] as { id: string }[]).map((phase) => ({ ...phase, id: `${id}-${phase.id}` }))
      })
      document['flights'] = [flight, other('sleet', 4), other('thistle', 2)]
      const slot = (shipId: string, visitId: string) => ({ id: `slot-${shipId}`, shipId, visitId })
      document['orders'] = [
        {
          tankerId: 'kelp',
          sequences: [
            {
              stationId: 'boom',
              slots: [slot('alder-21', 'fill'), slot('sleet-1', 'sleet-fill'), slot('thistle-1', 'thistle-fill')]
            }
          ]
        }
      ]
    })
    const seen = view(new MemoryEvent(plan), 0)
    expect(seen.slots.map(({ shipId, state }) => [shipId, state])).toEqual([
      ['alder-21', 'planned'],
      ['sleet-1', 'missed'],
      ['thistle-1', 'missed']
    ])
    const past = seen.reasons.filter(({ kind }) => kind === 'past latest contact').map(({ shipId }) => shipId)
    expect(past).toEqual(['thistle-1', 'sleet-1'])
    const worse = new Set(['below recovery fuel', 'out of fuel', 'short at base'])
    const next = seen.reasons.findIndex(({ kind }) => !worse.has(kind))
    expect(seen.reasons[next]).toMatchObject({ kind: 'past latest contact', shipId: 'thistle-1' })
  })
})
