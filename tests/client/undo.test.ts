import { describe, expect, it } from 'vitest'
import { computed, ref, shallowRef } from 'vue'
import { labelsOf } from '../../client/labels.ts'
import type { Outcome } from '../../client/state/useEntry.ts'
import { useUndo } from '../../client/state/useUndo.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'
import { planWithReceivers } from '../../shared/live/receivers.ts'
import { withdrawable } from '../../shared/live/state.ts'
import { MemoryEvent } from '../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../make/plan.ts'

/* No outside source: what an undo takes back, and what it says where it can take back nothing. */

/** The undo of a page whose requests are decided and folded as the service does. */
function page() {
  const memory = new MemoryEvent(paperPlan())
  let atMs = OPENS_AT_MS
  const state = shallowRef(memory.state)
  const outcome = ref<Outcome>()
  const elsewhere = new Set<string>()
  const ask = (request: Unsent, by?: string) => {
    atMs += 1_000
    const who = by === undefined ? undefined : { linkId: by, role: 'coordinator' as const }
    const refusal = memory.ask(request, atMs, who)
    state.value = memory.state
    return refusal
  }
  const { undo, recorded } = useUndo({
    event: {
      ...{ state, log: memory.log, kept: shallowRef([]), dropKept: () => false },
      labels: computed(() => labelsOf(planWithReceivers(state.value) ?? paperPlan())),
      isMadeHere: ({ requestId }) => !elsewhere.has(requestId),
      lastOwnFact: () =>
        memory.log.findLast(({ by, seq }) => by === 'link-commander' && withdrawable(state.value, seq) !== undefined)
    },
    entry: {
      outcome,
      saidOf: () => '',
      tell: (told) => {
        outcome.value = told
      },
      send: (request, sentence) => {
        const refusal = ask(request)
        outcome.value = { recorded: !refusal, sentence, code: refusal?.code }
        return Promise.resolve(!refusal)
      }
    }
  })
  const enter = (request: Record<string, unknown>, by?: string) => {
    expect(ask(request as unknown as Unsent, by)).toBeUndefined()
    if (by === undefined) recorded(request as unknown as Unsent)
  }
  const said = async () => {
    await undo()
    return outcome.value
  }
  /** By another person under the same link. */
  const enterElsewhere = (request: Record<string, unknown>) => {
    expect(ask(request as unknown as Unsent)).toBeUndefined()
    elsewhere.add(memory.log.at(-1)?.requestId ?? '')
  }
  return { memory, enter, enterElsewhere, said }
}
const fuel = (value: number) => ({ value, unit: 'kg' })
const call = (shipId: string, value: number) => ({ kind: 'callFuel', shipId, fuel: fuel(value), covers: 'total' })
const tarn = { kind: 'addReceiver', callSign: 'Tarn 1', receiverTypeId: 'larch', fuel: fuel(2000), tankerId: 'kelp' }
const tarnId = (memory: MemoryEvent) => {
  const added = memory.log.find((fact) => fact.kind === 'receiverAdded')
  return added?.kind === 'receiverAdded' ? (added.flight.ships[0]?.id ?? '') : ''
}
const withdrawn = (memory: MemoryEvent) => memory.log.filter(({ kind }) => kind === 'factWithdrawn').length

describe('an undo', () => {
  it('says why a receiver that has called since stands, and what to do, then goes on to the entry before it', async () => {
    const { memory, enter, said } = page()
    enter(call('alder-21', 2400))
    enter(tarn)
    enter(call(tarnId(memory), 1900), 'somebody-else')
    const refused = await said()
    expect(refused?.recorded).toBe(false)
    expect(refused?.sentence).toContain('Tarn 1 has calls by now.')
    expect(refused?.sentence).toContain('tarn 1 left')
    expect(refused?.sentence).toContain('Undo once more takes back the entry before it.')
    expect(withdrawn(memory)).toBe(0)
    const before = await said()
    expect(before?.recorded).toBe(true)
    expect(before?.sentence).toContain('Alder 21')
    expect(withdrawn(memory)).toBe(1)
    // Nothing is left before the one that stands.
    expect((await said())?.sentence).toContain('Before the entry that stands')
  })

  it('asks for the one that stood again once something was entered since', async () => {
    const { memory, enter, said } = page()
    enter(tarn)
    enter(call(tarnId(memory), 1900), 'somebody-else')
    await said()
    enter(call('alder-22', 2300))
    expect((await said())?.recorded).toBe(true)
    expect((await said())?.sentence).toContain('Tarn 1 has calls by now.')
  })

  it('takes back what was entered in this browser, and of another under the same link only after a question', async () => {
    const { memory, enter, enterElsewhere, said } = page()
    enter(call('alder-21', 2400))
    enterElsewhere(call('alder-22', 2300))
    expect((await said())?.sentence).toContain('Alder 21')
    expect(withdrawn(memory)).toBe(1)
    const asked = await said()
    expect(asked?.recorded).toBe(false)
    expect(asked?.sentence).toContain('in another browser. It was:')
    expect(asked?.sentence).toContain('Alder 22')
    expect(withdrawn(memory)).toBe(1)
    expect((await said())?.recorded).toBe(true)
    expect(withdrawn(memory)).toBe(2)
  })

  it('takes a receiver back that nobody has called for, with its place in the order', async () => {
    const { memory, enter, said } = page()
    enter(tarn)
    expect((await said())?.recorded).toBe(true)
    expect([...memory.state.receivers.values()].flat()).toEqual([])
  })
})
