/**
 * The closed lists of the contract, free of any schema library: pages import these in their first load,
 * schemas are built from them.
 */
export const PLAN_VERSION = 1
export const FACT_VERSION = 1

export const MASS_UNITS = ['lb', 'kg'] as const
export const VOLUME_UNITS = ['USgal', 'L'] as const
export const DENSITY_UNITS = ['kg/m3', 'kg/L', 'lb/USgal'] as const
export const FLOW_UNITS = ['lb/min', 'lb/h', 'kg/min', 'kg/h', 'USgal/min', 'L/min'] as const
export const SPEED_UNITS = ['kt', 'm/s', 'km/h'] as const
export const DISTANCE_UNITS = ['NM', 'km'] as const
export type DistanceUnit = (typeof DISTANCE_UNITS)[number]
export type MassUnit = (typeof MASS_UNITS)[number]
export type VolumeUnit = (typeof VOLUME_UNITS)[number]
export type DensityUnit = (typeof DENSITY_UNITS)[number]
export type FlowUnit = (typeof FLOW_UNITS)[number]
export type SpeedUnit = (typeof SPEED_UNITS)[number]

export const FUEL_GRADES = ['JP-4', 'JP-5', 'JP-8', 'Jet A', 'Jet A-1'] as const
export type FuelGrade = (typeof FUEL_GRADES)[number]

export const METHODS = ['boom', 'drogue'] as const
export type Method = (typeof METHODS)[number]
export const PLACES = ['internal', 'external'] as const
export type Place = (typeof PLACES)[number]
export const GAUGES = ['total', 'internal'] as const
export type Gauge = (typeof GAUGES)[number]

/** Phases with a planned duration or leg; `refuelling` is the visit itself. */
export const PHASE_KINDS = ['taxi', 'departure', 'climb', 'transit', 'loiter', 'combat', 'recovery'] as const
export type PhaseKind = (typeof PHASE_KINDS)[number]
/** Kinds of flight a type sheet must state a fuel flow for. */
export const FLOW_KINDS = [...PHASE_KINDS, 'refuelling', 'holding'] as const
export type FlowKind = (typeof FLOW_KINDS)[number]

export const ON_LOAD_RULES = ['required', 'internals', 'full', 'fixed'] as const
export type OnLoadRuleKind = (typeof ON_LOAD_RULES)[number]
export const PRIORITIES = [1, 2, 3, 4, 5] as const
export type Priority = (typeof PRIORITIES)[number]

export const EXTERNALS = ['selected', 'held', 'off'] as const
export type Externals = (typeof EXTERNALS)[number]
export const STATION_STATES = ['good', 'suspect', 'failed'] as const
export type StationState = (typeof STATION_STATES)[number]
/** What can be wrong with a tank; `none` takes it back. */
export const TANK_TROUBLES = ['not giving', 'not taking', 'gone'] as const
export type TankTrouble = (typeof TANK_TROUBLES)[number]
/** Limits a commander may set higher than computed. */
export const HAND_LIMITS = ['abort', 'bingo', 'joker', 'required'] as const
export type HandLimit = (typeof HAND_LIMITS)[number]
/** Of the tanker, where receivers wait before a contact. */
export const WAIT_SIDES = ['left', 'right'] as const
export type WaitSide = (typeof WAIT_SIDES)[number]
/** Why no hold is advised. */
export const HOLD_REFUSALS = ['no externals', 'not selected', 'jettison', 'floor', 'under half a minute'] as const
export type HoldRefusal = (typeof HOLD_REFUSALS)[number]
/** Why the first abort base of a track does not count. */
export const ABORT_WHYS = ['closed', 'not fit', 'not open', 'out of reach'] as const
export type AbortWhy = (typeof ABORT_WHYS)[number]
export const COVERS = ['total', 'internal'] as const
export type Covers = (typeof COVERS)[number]
export const DISCONNECT_KINDS = ['whole', 'partial'] as const
export type DisconnectKind = (typeof DISCONNECT_KINDS)[number]

/** `feed` is a program that sends readings: it writes those and reads nothing. */
export const ROLES = ['feed', 'viewer', 'crew', 'coordinator', 'commander', 'owner'] as const
export type Role = (typeof ROLES)[number]

export const FACT_KINDS = [
  'planAdopted',
  'eventOpened',
  'eventClosed',
  'clockSet',
  'shipJoined',
  'fuelCalled',
  'tankerFuelCalled',
  'contactMade',
  'fuelFlowing',
  'disconnected',
  'pushed',
  'shipLeft',
  'landed',
  'stationStatus',
  'externalsSet',
  'troubleSet',
  'jettisoned',
  'limitSet',
  'pinSet',
  'orderSet',
  'readySet',
  'noShowSet',
  'prioritySet',
  'onLoadSet',
  'tankerTimesSet',
  'giveSet',
  'baseSet',
  'receiverAdded',
  'slotSeen',
  'tankerHeld',
  'factWithdrawn'
] as const
export type FactKind = (typeof FACT_KINDS)[number]

export const REQUEST_KINDS = [
  'adoptPlan',
  'openEvent',
  'closeEvent',
  'setClock',
  'joinShip',
  'callFuel',
  'callTankerFuel',
  'makeContact',
  'startFlow',
  'disconnect',
  'push',
  'leave',
  'land',
  'setStation',
  'setExternals',
  'setTrouble',
  'jettison',
  'setLimit',
  'setPin',
  'setOrder',
  'setReady',
  'setNoShow',
  'setPriority',
  'setOnLoad',
  'setTankerTimes',
  'setGive',
  'setBase',
  'addReceiver',
  'seeSlot',
  'holdTanker',
  'withdrawFact'
] as const
export type RequestKind = (typeof REQUEST_KINDS)[number]
/** Requests that tell of something observed in the air: they need an open event and a time inside it. */
export const OBSERVED_REQUESTS = [
  'joinShip',
  'callFuel',
  'callTankerFuel',
  'makeContact',
  'startFlow',
  'disconnect',
  'push',
  'leave',
  'land',
  'setStation',
  'setExternals',
  'setTrouble',
  'jettison',
  'setReady',
  'setNoShow',
  'addReceiver'
] as const satisfies readonly RequestKind[]
