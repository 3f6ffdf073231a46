/** Invented type sheets to plan with and to learn on: five receivers, by boom and by drogue. No aircraft is meant. */
import type { ReceiverType } from '../contracts/plan.ts'

const lb = (value: number) => ({ value, unit: 'lb' })
const kg = (value: number) => ({ value, unit: 'kg' })
const gal = (value: number) => ({ value, unit: 'USgal' })
const litres = (value: number) => ({ value, unit: 'L' })
const lbPerH = (value: number) => ({ value, unit: 'lb/h' })
const lbPerMin = (value: number) => ({ value, unit: 'lb/min' })
const kgPerH = (value: number) => ({ value, unit: 'kg/h' })
const kgPerMin = (value: number) => ({ value, unit: 'kg/min' })
const litresPerMin = (value: number) => ({ value, unit: 'L/min' })
const galPerMin = (value: number) => ({ value, unit: 'USgal/min' })
const kt = (value: number) => ({ value, unit: 'kt' })

const plain = { canShut: false, silencedByExternals: false, jettisonable: false }
const internal = { place: 'internal', ...plain }
const external = { place: 'external', ...plain, canShut: true, jettisonable: true }
const stage = (turnCount: number) => ({ kind: 'stage', turnCount })

/** One engine, receptacle. */
const larch = {
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
const maple = {
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

/** One engine, probe. */
const sedge = {
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

/** Attack type, probe, with a reserve group; its sheet is in kilograms and litres. */
const nettle = {
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

/** Light fighter, probe; its gauge shows the inside only. */
const osier = {
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

/** Ids of a written sheet are plain words: the contract reads every one of these in a test. */
export const RECEIVERS = [larch, maple, sedge, nettle, osier] as unknown as readonly ReceiverType[]
