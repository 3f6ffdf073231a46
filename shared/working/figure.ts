/** Every figure a screen shows, by what it is a figure of. */

export const SHIP_FIGURES = [
  'rank',
  'fuel',
  'least fuel',
  'age of the call',
  'margin',
  'abort',
  'bingo',
  'joker',
  'stale for',
  'no flow for',
  'below by',
  'below recovery by',
  'too little by',
  'too little at',
  'starves at',
  'runs out at',
  'bingo gauge',
  'joker gauge',
  'overruled by',
  'feed low at',
  'band low',
  'band high'
] as const
export const SLOT_FIGURES = [
  'ready',
  'contact',
  'until contact',
  'disconnect',
  'until disconnect',
  'latest contact',
  'latest push',
  'slack',
  'past',
  'on-load',
  'fuel at contact',
  'gauge at contact',
  'fuel at push',
  'required',
  'shortage',
  'push',
  'hold from',
  'hold gauge',
  'hold saves',
  'release at',
  'release gauge',
  'abort gauge',
  'required gauge',
  'least on-load',
  'gauge at disconnect',
  'lost',
  'give left'
] as const
/** Of one of the places at which a contact may stop. */
export const STOP_FIGURES = [
  'stop after',
  'stop on-load',
  'stop usable',
  'stop saves',
  'stop leaves',
  'stop forgoes'
] as const
export const TANKER_FIGURES = ['give', 'promised', 'short', 'last disconnect', 'leaves', 'held late'] as const
export const PUSH_FIGURES = ['push late', 'push spare'] as const
export const FLIGHT_FIGURES = ['weakest margin', 'weakest at'] as const
/** Of one rung of a flight's ladder. */
export const RUNG_FIGURES = ['ladder at', 'ladder fuel', 'ladder counted', 'ladder recovery'] as const
/** The same of any ship. */
export const LEG_FIGURES = ['leg at', 'leg fuel', 'leg counted', 'leg recovery'] as const
export const PLAN_FIGURES = [
  'holds save',
  'hold count',
  'ship count',
  'flight count',
  'contact count',
  'tanker count',
  'total on-load',
  'lost count',
  'short count',
  'late count',
  'worst late',
  'dry count',
  'met count',
  'unplaced count',
  'empty count'
] as const
/**
 * Demand of a method, cycle of a push group, share of a slot, what its tanker lacks; what is asked by a push, of a tanker
 * by its place from 1, or of all (0); the way of a ship from a track to its abort base, by `ship track`.
 */
export const ASKED_FIGURES = [
  'contacts asked',
  'station time asked',
  'station time there',
  'stations needed',
  'on-load asked',
  'give there',
  'tankers by time',
  'tankers by give',
  'tankers needed',
  'tankers there',
  'cycle contacts',
  'cycle time',
  'cycle window',
  'share',
  'give lacking',
  'asked by push',
  'abort distance',
  'abort on track'
] as const
/** Of a ship, or of all, with one thing lost: by its place among the losses, 0 with nothing lost. */
export const LOSS_FIGURES = ['on time', 'late without', 'short without', 'past without'] as const

export type ShipFigure = (typeof SHIP_FIGURES)[number]
export type SlotFigure = (typeof SLOT_FIGURES)[number]
export type StopFigure = (typeof STOP_FIGURES)[number]
export type TankerFigure = (typeof TANKER_FIGURES)[number]
export type PushFigure = (typeof PUSH_FIGURES)[number]
export type FlightFigure = (typeof FLIGHT_FIGURES)[number]
export type RungFigure = (typeof RUNG_FIGURES)[number]
export type LegFigure = (typeof LEG_FIGURES)[number]
export type PlanFigure = (typeof PLAN_FIGURES)[number]
export type AnswerFigure = (typeof ASKED_FIGURES)[number] | (typeof LOSS_FIGURES)[number]

/** One figure of one thing. */
export type FigureRef =
  | { readonly figure: ShipFigure; readonly shipId: string }
  | { readonly figure: SlotFigure; readonly slotId: string }
  | { readonly figure: StopFigure; readonly slotId: string; readonly index: number }
  | { readonly figure: TankerFigure; readonly tankerId: string }
  | { readonly figure: PushFigure; readonly pushGroupId: string }
  | { readonly figure: FlightFigure; readonly flightId: string }
  | { readonly figure: RungFigure; readonly flightId: string; readonly index: number }
  | { readonly figure: LegFigure; readonly shipId: string; readonly index: number }
  | { readonly figure: PlanFigure }
  | { readonly figure: AnswerFigure; readonly about: string; readonly index: number }

export type Figure = FigureRef['figure']

const among = <const F extends string>(list: readonly F[], figure: string): figure is F =>
  (list as readonly string[]).includes(figure)

/** The figure a screen names by its kind, the id of what it belongs to, and a place in a list; undefined for no such kind. */
export function figureRef(figure: string, id: string, index: number): FigureRef | undefined {
  if (among(SHIP_FIGURES, figure)) return { figure, shipId: id }
  if (among(SLOT_FIGURES, figure)) return { figure, slotId: id }
  if (among(STOP_FIGURES, figure)) return { figure, slotId: id, index }
  if (among(TANKER_FIGURES, figure)) return { figure, tankerId: id }
  if (among(PUSH_FIGURES, figure)) return { figure, pushGroupId: id }
  if (among(FLIGHT_FIGURES, figure)) return { figure, flightId: id }
  if (among(RUNG_FIGURES, figure)) return { figure, flightId: id, index }
  if (among(LEG_FIGURES, figure)) return { figure, shipId: id, index }
  if (among(PLAN_FIGURES, figure)) return { figure }
  if (among(ASKED_FIGURES, figure) || among(LOSS_FIGURES, figure)) return { figure, about: id, index }
  return undefined
}
