import type { MassUnit } from '../../shared/contracts/kinds.ts'
import type { Position } from '../../shared/contracts/quantities.ts'
import type { SlotView, View } from '../../shared/contracts/view.ts'
import {
  clockText,
  contactText,
  disconnectText,
  fuelText,
  latestContactText,
  onLoadText,
  pastText,
  pushText,
  spanText
} from '../figures.ts'
import type { Labels } from '../labels.ts'
import { bindsFirst, nearestPush, pushSpareS, type Binding } from '../pictures/demand.ts'
import { giveOf } from '../pictures/timeline.ts'
import type { Words } from './parts.ts'

export const PICTURES = {
  asTable: 'as a table',
  hint: 'Arrow keys go from mark to mark; Enter shows the working.'
} as const

export const TIMELINE = {
  title: 'Stations over time',
  onStation: 'on station',
  leaves: 'leaves',
  push: 'push',
  planned: 'planned',
  late: 'late',
  nobody: 'nobody',
  canGive: 'can give',
  left: 'left',
  ship: 'ship',
  station: 'station',
  ready: 'ready',
  contact: 'contact',
  disconnect: 'disconnect',
  latest: 'latest contact',
  onLoad: 'on-load',
  giveLeft: 'give left',
  wait: 'ready and waiting',
  hookUp: 'hook-up',
  flow: 'fuel flows',
  missed: 'past its latest contact',
  changeover: 'changeover'
} as const

/** A slot in a line, as its block says it. */
export function slotSays(slot: SlotView, labels: Labels, unit: MassUnit): string {
  const where = `${labels.ship(slot.shipId)}, ${labels.station(slot.tankerId, slot.stationId)}`
  if (slot.state === 'missed')
    return `${where}: past its latest contact ${latestContactText(slot)} by ${pastText(slot)}, no fuel`
  return `${where}: contact ${contactText(slot)}, disconnect ${disconnectText(slot)}, on-load ${onLoadText(slot, unit)}, latest contact ${latestContactText(slot)}, push ${pushText(slot)}`
}

export const stationSays = (callSign: string, fromMs: number, toMs: number): string =>
  `${callSign}, on station ${clockText(fromMs)}, leaves ${clockText(toMs)}`

export const LADDER = {
  title: 'Fuel ladder',
  ship: 'Ship',
  fuel: 'planned fuel',
  counted: 'counted',
  recovery: 'recovery fuel',
  abort: 'abort fuel',
  bingo: 'bingo',
  joker: 'joker',
  required: 'required at push',
  weakest: 'weakest point',
  runsOut: 'runs out of fuel',
  contact: 'contact',
  from: 'from',
  phase: 'phase',
  end: 'end',
  limits: 'Limits on the way',
  limit: 'limit',
  until: 'until',
  axis: (unit: MassUnit) => `fuel, ${unit}`
} as const

export const DEMAND_PICTURE = {
  title: 'Demand against give',
  whole: 'Whole package',
  asked: 'asked by each push',
  begun: 'promised to contacts begun',
  give: 'can give',
  tanker: 'tanker',
  by: 'by push',
  spare: 'to spare',
  promised: 'promised',
  left: 'left',
  neither: 'Neither time nor give binds.',
  time: 'Time binds first',
  giveBinds: 'Give binds first',
  nearest: 'Nearest by time:',
  before: (push: string) => ` before ${push}.`,
  leftOver: 'Left of give:',
  lateAt: (push: string) => `${push} is late by `,
  pastAt: (ship: string) => `${ship} is past its latest contact by `,
  dryAt: (tanker: string, ship: string) => `${tanker} runs out at ${ship}, lacking `,
  axis: (unit: MassUnit) => `fuel, ${unit}`
} as const

/** What binds first, time or give; where neither does, how near each is. */
export function bindingWords(view: View, reformMin: number, labels: Labels): { binds: boolean; words: Words } {
  const first = bindsFirst(view)
  if (first === undefined) return { binds: false, words: spareWords(view, reformMin, labels) }
  const said = first.kind === 'dry' ? DEMAND_PICTURE.giveBinds : DEMAND_PICTURE.time
  return { binds: true, words: [`${said}, ${clockText(first.atMs)}: `, ...bindingTold(first, labels), '.'] }
}

function bindingTold(first: Binding, labels: Labels): Words {
  switch (first.kind) {
    case 'push':
      return [
        DEMAND_PICTURE.lateAt(labels.pushGroup(first.pushGroupId)),
        { figure: 'push late', of: first.pushGroupId, text: spanText(first.lateS, 'up') }
      ]
    case 'past':
      return [
        DEMAND_PICTURE.pastAt(labels.ship(first.slot.shipId)),
        { figure: 'past', of: first.slot.slotId, text: pastText(first.slot) }
      ]
    case 'dry':
      return [
        DEMAND_PICTURE.dryAt(labels.tanker(first.tankerId), labels.ship(first.slot.shipId)),
        { figure: 'short', of: first.tankerId, text: fuelText(first.shortKg, labels.massUnit, 'up') }
      ]
  }
}

function spareWords(view: View, reformMin: number, labels: Labels): Words {
  const push = nearestPush(view)
  const spareS = push && pushSpareS(view, push.pushGroupId, reformMin)
  const nearest: Words =
    push === undefined || spareS === undefined
      ? []
      : [
          ` ${DEMAND_PICTURE.nearest} `,
          { figure: 'push spare', of: push.pushGroupId, text: spanText(spareS) },
          DEMAND_PICTURE.before(labels.pushGroup(push.pushGroupId))
        ]
  const least = view.tankers.flatMap((tanker) => {
    const last = giveOf(tanker, view.atMs, view.slots).at(-1)
    return last?.slotId === undefined ? [] : [{ tanker, leftKg: last.leftKg, slotId: last.slotId }]
  })
  const [nearestDry] = least.toSorted((a, b) => a.leftKg - b.leftKg)
  const left: Words =
    nearestDry === undefined
      ? []
      : [
          ` ${DEMAND_PICTURE.leftOver} `,
          {
            figure: 'give left',
            of: nearestDry.slotId,
            text: fuelText(nearestDry.leftKg, labels.massUnit, 'down', 100)
          },
          ` at ${nearestDry.tanker.callSign}.`
        ]
  return [DEMAND_PICTURE.neither, ...nearest, ...left]
}

export const SLOT_CURVE = { title: 'On-load of one contact', contact: 'Contact' } as const

export const MAP = {
  title: 'Where it is flown',
  flight: 'Flight',
  all: 'all',
  north: 'N',
  track: 'track',
  tankers: 'tankers',
  base: 'abort base',
  distance: 'distance',
  abort: 'abort fuel',
  ship: 'ship',
  route: 'route',
  length: 'length of its route',
  position: 'position',
  place: 'base',
  uses: 'used by',
  abortWay: 'way to the abort base',
  orbit: 'orbit and control point',
  routes: 'route'
} as const

/** Degrees and minutes: `44 09.0N 155 24.0W`. */
export function positionText({ latitudeDeg, longitudeDeg }: Position): string {
  const part = (deg: number, digits: number, [plus = '', minus = '']: string): string => {
    const tenths = Math.round(Math.abs(deg) * 600)
    const whole = String(Math.floor(tenths / 600)).padStart(digits, '0')
    const minutes = ((tenths % 600) / 10).toFixed(1).padStart(4, '0')
    return `${whole} ${minutes}${deg < 0 ? minus : plus}`
  }
  return `${part(latitudeDeg, 2, 'NS')} ${part(longitudeDeg, 3, 'EW')}`
}
