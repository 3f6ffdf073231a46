/** Invented fighters refuelled by boom. No aircraft is meant. */
import { external, gal, galPerMin, internal, kt, lb, lbPerH, lbPerMin, stage } from './figures.ts'

/** One engine, receptacle. */
export const larch = {
  id: 'larch',
  name: 'Larch, one engine, receptacle',
  method: 'boom',
  maxRate: lbPerMin(2650),
  gauge: 'total',
  refuellingLow: kt(270),
  refuellingHigh: kt(330),
  recoveryAirspeed: kt(440),
  approachFuel: lb(550),
  flows: {
    taxi: lbPerH(1300),
    departure: lbPerH(9500),
    climb: lbPerH(8700),
    transit: lbPerH(5100),
    loiter: lbPerH(4500),
    combat: lbPerH(13800),
    recovery: lbPerH(4700),
    refuelling: lbPerH(5000),
    holding: lbPerH(3700)
  },
  groups: [
    {
      id: 'larch-sump',
      name: 'Sump',
      ...internal,
      tankCount: 1,
      capacity: lb(950),
      unusable: lb(40),
      fillRate: lbPerMin(700),
      role: { kind: 'feed' }
    },
    {
      id: 'larch-body',
      name: 'Body',
      ...internal,
      tankCount: 1,
      capacity: lb(4450),
      unusable: lb(60),
      fillRate: lbPerMin(1700),
      transferRate: lbPerMin(215),
      role: stage(3)
    },
    {
      id: 'larch-wing',
      name: 'Wing',
      ...internal,
      tankCount: 2,
      capacity: lb(820),
      unusable: lb(15),
      fillRate: lbPerMin(290),
      fillsAfter: 'larch-sump',
      transferRate: lbPerMin(115),
      role: stage(2)
    },
    {
      id: 'larch-wing-tank',
      name: 'Wing tank',
      ...external,
      tankCount: 2,
      capacity: gal(340),
      unusable: gal(3),
      transferRate: lbPerMin(95),
      role: stage(1),
      dragFactor: 1.09
    }
  ]
}

/** Two engines, receptacle; its wings are silent while the belly tank is selected. */
export const maple = {
  id: 'maple',
  name: 'Maple, two engines, receptacle',
  method: 'boom',
  maxRate: lbPerMin(3900),
  gauge: 'total',
  feedLowMark: lb(1750),
  dump: { rate: lbPerMin(620), groupIds: ['maple-wing', 'maple-body'] },
  refuellingLow: kt(280),
  refuellingHigh: kt(335),
  recoveryAirspeed: kt(450),
  approachFuel: lb(950),
  flows: {
    taxi: lbPerH(2600),
    climb: lbPerH(17500),
    transit: lbPerH(10400),
    loiter: lbPerH(9200),
    combat: lbPerH(24500),
    recovery: lbPerH(9800),
    refuelling: lbPerH(8400),
    holding: lbPerH(7300)
  },
  groups: [
    {
      id: 'maple-feed',
      name: 'Feed',
      ...internal,
      tankCount: 2,
      capacity: lb(950),
      unusable: lb(35),
      fillRate: lbPerMin(450),
      role: { kind: 'feed' }
    },
    {
      id: 'maple-body',
      name: 'Body',
      ...internal,
      tankCount: 1,
      capacity: lb(5700),
      unusable: lb(75),
      fillRate: lbPerMin(1900),
      transferRate: lbPerMin(420),
      role: stage(3)
    },
    {
      id: 'maple-wing',
      name: 'Wing',
      ...internal,
      tankCount: 2,
      capacity: lb(2150),
      unusable: lb(20),
      fillRate: lbPerMin(640),
      transferRate: lbPerMin(170),
      role: stage(2),
      silencedByExternals: true
    },
    {
      id: 'maple-belly-tank',
      name: 'Belly tank',
      ...external,
      tankCount: 1,
      capacity: gal(480),
      unusable: gal(4),
      fillRate: galPerMin(70),
      transferRate: lbPerMin(260),
      role: stage(1),
      dragFactor: 1.06
    }
  ]
}
