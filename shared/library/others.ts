/** Invented receivers that are no fighters: an attack type by drogue, a transport by boom. No aircraft is meant. */
import {
  external,
  internal,
  kg,
  kgPerH,
  kgPerMin,
  kt,
  lb,
  lbPerH,
  lbPerMin,
  litres,
  litresPerMin,
  stage
} from './figures.ts'

/** Attack type, probe, with a reserve group; its sheet is in kilograms and litres. */
export const nettle = {
  id: 'nettle',
  name: 'Nettle, attack, probe',
  method: 'drogue',
  maxRate: litresPerMin(760),
  gauge: 'total',
  refuellingLow: kt(220),
  refuellingHigh: kt(275),
  recoveryAirspeed: kt(370),
  approachFuel: kg(270),
  flows: {
    taxi: kgPerH(560),
    climb: kgPerH(3300),
    transit: kgPerH(2150),
    loiter: kgPerH(1900),
    combat: kgPerH(4300),
    recovery: kgPerH(2000),
    refuelling: kgPerH(2080),
    holding: kgPerH(1600)
  },
  groups: [
    {
      id: 'nettle-collector',
      name: 'Collector',
      ...internal,
      tankCount: 1,
      capacity: kg(520),
      unusable: kg(22),
      fillRate: kgPerMin(180),
      role: { kind: 'feed' }
    },
    {
      id: 'nettle-body',
      name: 'Body',
      ...internal,
      tankCount: 1,
      capacity: kg(1450),
      unusable: kg(25),
      fillRate: kgPerMin(330),
      transferRate: kgPerMin(62),
      role: stage(3)
    },
    {
      id: 'nettle-wing',
      name: 'Wing',
      ...internal,
      tankCount: 2,
      capacity: litres(640),
      unusable: litres(12),
      fillRate: litresPerMin(150),
      transferRate: kgPerMin(26),
      role: stage(2)
    },
    {
      id: 'nettle-aft',
      name: 'Aft reserve',
      ...internal,
      tankCount: 1,
      capacity: kg(310),
      unusable: kg(8),
      fillRate: kgPerMin(90),
      fillsAfter: 'nettle-body',
      transferRate: kgPerMin(35),
      role: { kind: 'reserve', releasedBelow: kg(460) }
    },
    {
      id: 'nettle-wing-tank',
      name: 'Wing tank',
      ...external,
      tankCount: 2,
      capacity: litres(1150),
      unusable: litres(9),
      transferRate: kgPerMin(28),
      role: stage(1),
      dragFactor: 1.07
    }
  ]
}

/** Transport that takes fuel by a receptacle; no externals, long fills. */
export const bulrush = {
  id: 'bulrush',
  name: 'Bulrush, transport, receptacle',
  method: 'boom',
  maxRate: lbPerMin(4300),
  gauge: 'total',
  refuellingLow: kt(245),
  refuellingHigh: kt(290),
  recoveryAirspeed: kt(360),
  approachFuel: lb(2400),
  flows: {
    taxi: lbPerH(3900),
    departure: lbPerH(26500),
    climb: lbPerH(21000),
    transit: lbPerH(13600),
    loiter: lbPerH(11800),
    recovery: lbPerH(12400),
    refuelling: lbPerH(14100),
    holding: lbPerH(10700)
  },
  groups: [
    {
      id: 'bulrush-main',
      name: 'Main',
      ...internal,
      tankCount: 4,
      capacity: lb(6850),
      unusable: lb(90),
      fillRate: lbPerMin(620),
      role: { kind: 'feed' }
    },
    {
      id: 'bulrush-wing',
      name: 'Outer wing',
      ...internal,
      tankCount: 2,
      capacity: lb(9300),
      unusable: lb(110),
      fillRate: lbPerMin(740),
      transferRate: lbPerMin(260),
      role: stage(2)
    },
    {
      id: 'bulrush-hold',
      name: 'Long-range tank',
      ...internal,
      tankCount: 1,
      capacity: lb(12700),
      unusable: lb(150),
      fillRate: lbPerMin(900),
      transferRate: lbPerMin(430),
      role: stage(1)
    }
  ]
}
