import type { ProblemCode } from '../contracts/problem.ts'
import type { RequestKind, Role } from '../contracts/kinds.ts'
import type { AnyRequest } from '../contracts/requests.ts'

/** Who asks: a link of the event, or the owner of the service. */
export interface Who {
  linkId: string
  role: Role
  /** A crew link writes for this ship only. */
  shipId?: string
}

const anyShip = ['crew', 'coordinator', 'commander', 'owner'] as const
const runners = ['coordinator', 'commander', 'owner'] as const
const commanders = ['commander', 'owner'] as const

/** Who may ask what; total over the requests. A crew link is held to its own ship besides. */
export const MAY_ASK: Record<RequestKind, readonly Role[]> = {
  adoptPlan: commanders,
  openEvent: commanders,
  closeEvent: commanders,
  setClock: commanders,
  joinShip: anyShip,
  callFuel: anyShip,
  callTankerFuel: runners,
  makeContact: anyShip,
  startFlow: anyShip,
  disconnect: anyShip,
  push: anyShip,
  leave: anyShip,
  land: anyShip,
  setStation: runners,
  setExternals: anyShip,
  setTrouble: anyShip,
  jettison: anyShip,
  setLimit: commanders,
  setPin: runners,
  setOrder: runners,
  setReady: anyShip,
  setNoShow: anyShip,
  setPriority: runners,
  setOnLoad: runners,
  setTankerTimes: runners,
  setGive: runners,
  setBase: runners,
  addReceiver: runners,
  seeSlot: anyShip,
  holdTanker: runners,
  withdrawFact: anyShip
}

/** Undefined when the request may be asked; else the refusal. Whose fact is withdrawn is judged in `decide`. */
export function mayAsk(who: Who, request: AnyRequest): ProblemCode | undefined {
  if (!MAY_ASK[request.kind].includes(who.role)) return 'not-allowed'
  if (who.role !== 'crew') return undefined
  const ships = 'shipIds' in request ? request.shipIds : 'shipId' in request ? [request.shipId] : []
  return ships.every((shipId) => shipId === who.shipId) ? undefined : 'not-allowed'
}
