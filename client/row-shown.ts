import type { MassUnit } from '../shared/contracts/kinds.ts'
import type { ShipView, SlotView } from '../shared/contracts/view.ts'
import type { LaneMinutes } from './lane.ts'

/** All that a row of the board shows. */
export interface RowShown {
  ship: ShipView
  /** As the order in force has it. */
  slotView: SlotView | undefined
  /** As its lane shows it: of the moved order where that is another. */
  laneSlot: SlotView | undefined
  draft: boolean
  later: readonly SlotView[]
  scaleKg: number
  unit: MassUnit
  nowMs: number
  minutes: LaneMinutes
  /** A margin shorter than this is "soon". */
  soonS: number
  station: string
  /** The second abort base, where that one counts. */
  second: string
  /** Contact with the service is lost: figures are the last ones known. */
  lastKnown: boolean
}
