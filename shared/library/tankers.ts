/** Invented tankers: booms, hoses and pods. No aircraft is meant. */
import type { TankerType } from '../contracts/plan.ts'
import { galPerMin, kmPerH, kt, lbPerMin, litresPerMin } from './figures.ts'

const boom = (maxRate: { value: number; unit: string }) => ({ id: 'boom', name: 'Boom', method: 'boom', maxRate })
const pods = (maxRate: { value: number; unit: string }) => [
  { id: 'left', name: 'Left pod', method: 'drogue', maxRate },
  { id: 'right', name: 'Right pod', method: 'drogue', maxRate }
]
const hose = (maxRate: { value: number; unit: string }) => ({
  id: 'centre',
  name: 'Centreline hose',
  method: 'drogue',
  maxRate
})

const ladle = {
  id: 'ladle',
  name: 'Ladle, one boom',
  refuellingLow: kt(255),
  refuellingHigh: kt(325),
  stations: [boom(lbPerMin(3300))]
}

const trivet = {
  id: 'trivet',
  name: 'Trivet, two wing pods and a centreline hose',
  refuellingLow: kt(235),
  refuellingHigh: kt(300),
  stations: [...pods(lbPerMin(1300)), hose(galPerMin(270))]
}

const gimlet = {
  id: 'gimlet',
  name: 'Gimlet, two pods',
  refuellingLow: kmPerH(425),
  refuellingHigh: kmPerH(520),
  stations: pods(lbPerMin(1150))
}

/** Boom and pods cannot be used together. */
const mattock = {
  id: 'mattock',
  name: 'Mattock, boom or two wing pods',
  refuellingLow: kt(240),
  refuellingHigh: kt(320),
  stations: [{ ...boom(lbPerMin(4700)), excludes: ['left', 'right'] }, ...pods(lbPerMin(1850))]
}

const spigot = {
  id: 'spigot',
  name: 'Spigot, one centreline hose',
  refuellingLow: kt(215),
  refuellingHigh: kt(275),
  stations: [hose(litresPerMin(1150))]
}

/** Ids of a written sheet are plain words: the contract reads every one of these in a test. */
export const TANKERS = [ladle, trivet, gimlet, mattock, spigot] as unknown as readonly TankerType[]
