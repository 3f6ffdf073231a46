/** Invented fighters refuelled by drogue. No aircraft is meant. */
import { external, gal, internal, kt, lb, lbPerH, lbPerMin, stage } from './figures.ts'

/** One engine, probe. */
export const sedge = {
  id: 'sedge',
  name: 'Sedge, one engine, probe',
  method: 'drogue',
  maxRate: lbPerMin(1450),
  gauge: 'total',
  refuellingLow: kt(230),
  refuellingHigh: kt(290),
  recoveryAirspeed: kt(430),
  approachFuel: lb(600),
  flows: {
    taxi: lbPerH(1500),
    climb: lbPerH(9000),
    transit: lbPerH(5600),
    loiter: lbPerH(5000),
    combat: lbPerH(15000),
    recovery: lbPerH(5200),
    refuelling: lbPerH(5500),
    holding: lbPerH(4700)
  },
  groups: [
    {
      id: 'sedge-feed',
      name: 'Feed',
      ...internal,
      tankCount: 1,
      capacity: lb(1120),
      unusable: lb(45),
      fillRate: lbPerMin(420),
      role: { kind: 'feed' }
    },
    {
      id: 'sedge-body',
      name: 'Body',
      ...internal,
      tankCount: 1,
      capacity: lb(3900),
      unusable: lb(55),
      fillRate: lbPerMin(780),
      transferRate: lbPerMin(240),
      role: stage(3)
    },
    {
      id: 'sedge-wing',
      name: 'Wing',
      ...internal,
      tankCount: 2,
      capacity: lb(1050),
      unusable: lb(20),
      fillRate: lbPerMin(210),
      transferRate: lbPerMin(90),
      role: stage(2)
    },
    {
      id: 'sedge-wing-tank',
      name: 'Wing tank',
      ...external,
      tankCount: 2,
      capacity: gal(275),
      unusable: gal(2.5),
      fillRate: lbPerMin(150),
      transferRate: lbPerMin(80),
      role: stage(1),
      dragFactor: 1.08
    }
  ]
}

/** Two engines, probe; two wing tanks and a centre tank to choose from. */
export const teasel = {
  id: 'teasel',
  name: 'Teasel, two engines, probe',
  method: 'drogue',
  maxRate: lbPerMin(2150),
  gauge: 'total',
  feedLowMark: lb(1250),
  refuellingLow: kt(235),
  refuellingHigh: kt(295),
  recoveryAirspeed: kt(425),
  approachFuel: lb(880),
  flows: {
    taxi: lbPerH(2200),
    departure: lbPerH(15500),
    climb: lbPerH(14200),
    transit: lbPerH(8700),
    loiter: lbPerH(7600),
    combat: lbPerH(21000),
    recovery: lbPerH(8100),
    refuelling: lbPerH(7900),
    holding: lbPerH(6300)
  },
  groups: [
    {
      id: 'teasel-feed',
      name: 'Feed',
      ...internal,
      tankCount: 2,
      capacity: lb(790),
      unusable: lb(30),
      fillRate: lbPerMin(310),
      role: { kind: 'feed' }
    },
    {
      id: 'teasel-body',
      name: 'Body',
      ...internal,
      tankCount: 1,
      capacity: lb(5150),
      unusable: lb(70),
      fillRate: lbPerMin(1050),
      transferRate: lbPerMin(380),
      role: stage(3)
    },
    {
      id: 'teasel-wing',
      name: 'Wing',
      ...internal,
      tankCount: 2,
      capacity: lb(1340),
      unusable: lb(20),
      fillRate: lbPerMin(270),
      transferRate: lbPerMin(150),
      role: stage(2)
    },
    {
      id: 'teasel-centre-tank',
      name: 'Centre tank',
      ...external,
      tankCount: 1,
      capacity: gal(390),
      unusable: gal(3.5),
      transferRate: lbPerMin(170),
      role: stage(1),
      dragFactor: 1.05
    },
    {
      id: 'teasel-wing-tank',
      name: 'Wing tank',
      ...external,
      tankCount: 2,
      capacity: gal(305),
      unusable: gal(3),
      transferRate: lbPerMin(95),
      role: stage(1),
      dragFactor: 1.09
    }
  ]
}

/** Light fighter, probe; its gauge shows the inside only. */
export const osier = {
  id: 'osier',
  name: 'Osier, light, probe, gauge of the inside',
  method: 'drogue',
  maxRate: lbPerMin(1050),
  gauge: 'internal',
  gaugeBand: { low: lb(3700), high: lb(4250) },
  notGivingBelow: lb(3300),
  feedLowMark: lb(520),
  weighing: { zeroFuel: lb(14200), reference: lb(18900) },
  refuellingLow: kt(225),
  refuellingHigh: kt(285),
  recoveryAirspeed: kt(400),
  approachFuel: lb(420),
  flows: {
    taxi: lbPerH(900),
    climb: lbPerH(6200),
    transit: lbPerH(3700),
    loiter: lbPerH(3300),
    recovery: lbPerH(3400),
    refuelling: lbPerH(3600),
    holding: lbPerH(2700)
  },
  groups: [
    {
      id: 'osier-feed',
      name: 'Feed',
      ...internal,
      tankCount: 1,
      capacity: lb(850),
      unusable: lb(30),
      fillRate: lbPerMin(320),
      role: { kind: 'feed' }
    },
    {
      id: 'osier-body',
      name: 'Body',
      ...internal,
      tankCount: 1,
      capacity: lb(3450),
      unusable: lb(40),
      fillRate: lbPerMin(690),
      transferRate: lbPerMin(140),
      role: stage(2)
    },
    {
      id: 'osier-centre-tank',
      name: 'Centre tank',
      ...external,
      tankCount: 1,
      capacity: gal(310),
      unusable: gal(3),
      transferRate: lbPerMin(100),
      role: stage(1),
      dragFactor: 1.06
    }
  ]
}
