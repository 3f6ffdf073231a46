import { computed, ref, type ComputedRef, type Ref } from 'vue'
import type { Reason } from '../../shared/contracts/view.ts'
import type { Action, Unsent } from '../../shared/entry/understanding.ts'
import { planWithReceivers } from '../../shared/live/receivers.ts'
import { dealLine, dealOf } from '../attention.ts'
import { DISRUPTIONS } from '../disruption.ts'
import type { LaneMinutes } from '../lane.ts'
import { arrivals } from '../left.ts'
import { vocabularyOf } from '../vocabulary.ts'
import { ENTRY } from '../words/entry.ts'
import { MEMBERS } from '../words/members.ts'
import { useAttention, type Attention } from './useAttention.ts'
import { useDisruption } from './useDisruption.ts'
import { useDraft, type Draft } from './useDraft.ts'
import { useEntry, type Entry } from './useEntry.ts'
import type { LiveEvent } from './useEvent.ts'
import { useKeys } from './useKeys.ts'
import { useOrder, type OrderDesk } from './useOrder.ts'
import { useRanking } from './useRanking.ts'
import { useUndo } from './useUndo.ts'

export interface Board {
  order: ComputedRef<readonly string[]>
  selected: Ref<string | undefined>
  minutes: Ref<LaneMinutes>
  helpOpen: Ref<boolean>
  logOpen: Ref<boolean>
  draft: Draft
  desk: OrderDesk
  entry: Entry
  /** Chooses a ship, and begins the line with its name. */
  ask: (shipId: string) => void
  attention: Attention
  /** Chooses the ship and prepares what deals with a reason; nothing is recorded. */
  deal: (reason: Reason) => void
  select: (shipId: string) => void
  move: (by: -1 | 1) => void
  moveAcross: (by: -1 | 1) => void
  pinSlot: (slotId: string, pinned: boolean) => Promise<void>
  accept: () => Promise<void>
  refuse: () => void
  /** Takes a tanker in hand, or lets it go. */
  hold: (tankerId: string, held: boolean) => Promise<void>
  /** Takes back an entry of the log. */
  withdraw: (seq: number, said: string) => Promise<void>
  /** Puts words into the entry line. */
  say: (line: string) => void
}

/** The facts that made an order stale come by the stream, at about the time of the refusal. */
const STALE_LOOK_MS = 100
const STALE_LOOKS = 20

/** What a coordinator does on the board: choose, move, enter; nothing here but what this page holds. */
export function useBoard(event: LiveEvent, focusLine: () => void, nameOf: () => (linkId: string) => string): Board {
  const selected = ref<string>()
  const minutes = ref<LaneMinutes>(60)
  const helpOpen = ref(false)
  const logOpen = ref(false)
  const draft = useDraft({
    state: event.state,
    view: event.view,
    labels: event.labels,
    moving: event.moving
  })

  const desk = useOrder(event.view)

  const entry: Entry = useEntry({
    vocabulary: () => {
      const [view, labels, plan] = [event.view.value, event.labels.value, planWithReceivers(event.state.value)]
      return view && labels && plan ? vocabularyOf(view, plan, labels, event.state.value) : undefined
    },
    record: async (request, sentence) => {
      const answer = await event.record(request, sentence)
      recorded(request)
      disruption.after(request, answer)
      return answer
    },
    act: (action) => act(action),
    setAside: event.setAside
  })
  const order = useRanking(
    event.view,
    () =>
      entry.text.value !== '' || draft.pending.value || selected.value !== undefined || helpOpen.value || logOpen.value,
    () => (event.state.value.plan?.rules.lateMarginMin ?? 5) * 60
  )

  const tell = (recorded: boolean, sentence: string) => {
    entry.tell({ recorded, sentence })
  }
  const say = (line: string) => {
    entry.text.value = line
    focusLine()
  }
  const disruption = useDisruption({
    event,
    chosen: () => selected.value,
    typed: () => entry.text.value,
    say,
    send: entry.send,
    tell,
    suggest: () => {
      desk.suggest('best')
    }
  })
  const moved = (done: boolean) => {
    if (!done) tell(false, ENTRY.cannotMove)
  }

  function deal(reason: Reason) {
    const labels = event.labels.value
    if (labels === undefined) return
    const { shipId } = reason
    if (shipId !== null) choose(shipId)
    const name = dealOf(reason)
    const words = dealLine(name, reason, labels)
    if (words !== undefined) say(words)
    else if (name === 'move up' && shipId !== null) moved(draft.move(shipId, -1))
    else if (name === 'better order') desk.suggest('best')
    else if (name === 'order list') desk.listOpen.value = true
    if (words === undefined) focusLine()
  }
  function ask(shipId: string) {
    choose(shipId)
    say(`${event.labels.value?.ship(shipId) ?? ''} `.toLowerCase())
  }
  const attention = useAttention({ view: event.view, labels: event.labels, deal })
  /** Nobody is named or chosen: a key that deals with a trouble is meant for the worst of them. */
  const forTheWorst = (key: string) =>
    selected.value === undefined && entry.text.value === '' && attention.takeUpBy(key)

  const { undo, recorded } = useUndo({ event, entry })
  // Asked twice it is sent once.
  let accepting = false
  async function accept() {
    if (accepting) return
    accepting = true
    try {
      await set()
    } finally {
      accepting = false
    }
  }
  async function set() {
    const request = draft.request()
    const name = draft.name.value
    if (request === undefined) tell(false, ENTRY.nothingPending)
    else if (await entry.send(request, ENTRY.accepted)) {
      draft.drop()
      desk.close()
    } else if (name !== undefined && entry.outcome.value?.code === 'stale-order') {
      draft.drop()
      desk.suggest(name === 'repair' || name === 'anew' ? name : 'best', true)
    } else if (request.kind === 'setOrder' && entry.outcome.value?.code === 'stale-order') await tellStale(request)
    // Another refused order stays pending: it can be moved on or dropped.
  }
  /** Says what another has changed, as soon as it is known here. */
  async function tellStale({ basedOnSeq, orders }: Extract<Unsent, { kind: 'setOrder' }>) {
    const refused = entry.outcome.value
    const { changedSince } = await import('../stale.ts')
    for (let look = 0; look < STALE_LOOKS; look += 1) {
      const labels = event.labels.value
      const parts = labels && { log: event.log, state: event.state.value, labels, nameOf: nameOf() }
      const tankerIds = orders.map(({ tankerId }) => tankerId)
      const told = parts === undefined ? '' : changedSince(basedOnSeq, tankerIds, parts)
      // Something else may have been entered meanwhile.
      if (entry.outcome.value !== refused || refused === undefined) return
      if (told !== '') {
        entry.tell({ ...refused, sentence: `${refused.sentence} ${told}` })
        return
      }
      await new Promise((resolve) => setTimeout(resolve, STALE_LOOK_MS))
    }
  }
  function refuse() {
    desk.close()
    if (!draft.pending.value) return
    draft.drop()
    tell(true, ENTRY.refuseDone)
  }
  async function pin() {
    const ship = event.view.value?.ships.find((one) => one.shipId === selected.value)
    const slot = event.view.value?.slots.find((one) => one.slotId === ship?.slotId)
    if (slot === undefined) tell(false, ENTRY.nothingToPin)
    else await pinSlot(slot.slotId, !slot.pinned)
  }
  async function pinSlot(slotId: string, pinned: boolean) {
    const slot = event.view.value?.slots.find((one) => one.slotId === slotId)
    if (slot === undefined) return
    const { serveAnyway } = slot
    const ship = event.labels.value?.ship(slot.shipId) ?? slot.shipId
    await entry.send(
      { kind: 'setPin', slotId, pinned, serveAnyway } as Unsent,
      pinned ? ENTRY.pinned(ship) : ENTRY.unpinned(ship)
    )
  }
  async function hold(tankerId: string, held: boolean) {
    const name = event.labels.value?.tanker(tankerId) ?? tankerId
    const request = { kind: 'holdTanker', tankerId, held } as Unsent
    await entry.send(request, held ? MEMBERS.holds(name) : MEMBERS.letsGo(name))
  }
  const withdraw = async (seq: number, said: string) => {
    await entry.send({ kind: 'withdrawFact', withdrawnSeq: seq }, ENTRY.undone(said))
  }
  const showLog = () => {
    logOpen.value = true
  }
  const list = () => {
    desk.listOpen.value = !desk.listOpen.value
  }

  function act(action: Exclude<Action, { kind: 'record' }>): void | Promise<void> {
    switch (action.kind) {
      case 'move':
        selected.value = action.shipId
        moved(draft.move(action.shipId, action.direction === 'up' ? -1 : 1))
        return
      case 'moveTo':
        selected.value = action.shipId
        moved(draft.moveTo(action.shipId, { tankerId: action.tankerId, stationId: action.stationId }))
        return
      case 'lift':
        selected.value = action.shipId
        if (!draft.lift(action.shipId, action.said)) tell(false, ENTRY.nothingToLift)
        return
      case 'topOff':
        return disruption.topOff(action.shipId)
      case 'select':
        selected.value = action.shipId
        return
      case 'lane':
        minutes.value = action.minutes
        return
      case 'accept':
        return accept()
      case 'refuse':
        refuse()
        return
      case 'undo':
        return undo()
      case 'suggest':
        desk.suggest(action.choose)
        return
      case 'list':
        list()
        return
      case 'log':
        showLog()
        return
      case 'print':
        desk.print()
        return
      case 'help':
        helpOpen.value = true
    }
  }

  const withSelected = (act: (shipId: string) => boolean) => {
    if (selected.value !== undefined) moved(act(selected.value))
  }
  const move = (by: -1 | 1) => {
    withSelected((shipId) => draft.move(shipId, by))
  }
  const moveAcross = (by: -1 | 1) => {
    withSelected((shipId) => draft.moveAcross(shipId, by))
  }

  function choose(shipId: string) {
    selected.value = shipId
    document.getElementById(`ship-${shipId}`)?.scrollIntoView({ block: 'nearest' })
  }
  /** Rows as they stand: those that left come below all others. */
  const rows = () => {
    const left = arrivals(event.view.value?.ships ?? []).map(({ shipId }) => shipId)
    const away = new Set(left)
    return [...order.value.filter((shipId) => !away.has(shipId)), ...left]
  }
  function step(by: -1 | 1) {
    const shown = rows()
    const at = selected.value === undefined ? -1 : shown.indexOf(selected.value)
    const next = shown[at === -1 ? (by > 0 ? 0 : shown.length - 1) : at + by]
    if (next === undefined) return
    choose(next)
  }
  function landed() {
    const ships = arrivals(event.view.value?.ships ?? [])
    const ship = ships.find(({ shipId }) => shipId === selected.value) ?? ships[0]
    if (ship === undefined) tell(false, ENTRY.nobodyLeft)
    else say(`${ship.callSign} landed`.toLowerCase())
  }
  function escape() {
    attention.reset()
    if (draft.pending.value) refuse()
    else if (entry.text.value !== '') entry.text.value = ''
    else if (desk.wish.value !== undefined) desk.close()
    else if (desk.listOpen.value && selected.value === undefined) list()
    else selected.value = undefined
  }

  useKeys({
    type: focusLine,
    step,
    move: (by) => {
      if (by === 1 || !forTheWorst('Alt ↑')) move(by)
    },
    moveAcross,
    accept: () => void accept(),
    pin: () => void pin(),
    landed,
    suggest: () => {
      desk.suggest('best')
    },
    list,
    log: showLog,
    print: desk.print,
    undo: () => void undo(),
    attend: attention.takeUp,
    disrupt: (name) => {
      if (!forTheWorst(`Alt ${DISRUPTIONS[name].letter}`)) disruption.begin(name)
    },
    escape,
    lineIsEmpty: () => entry.text.value === ''
  })

  return {
    order: computed(() => order.value),
    selected,
    minutes,
    helpOpen,
    logOpen,
    draft,
    desk,
    entry,
    ask,
    attention,
    deal,
    pinSlot,
    select: (shipId) => {
      selected.value = selected.value === shipId ? undefined : shipId
      focusLine()
    },
    move,
    moveAcross,
    accept,
    refuse,
    hold,
    withdraw,
    say
  }
}
