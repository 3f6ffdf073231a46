/**
 * The closed list of refusal codes with their HTTP status and title (RFC 9457). The body carries `code`;
 * a client turns the code into a sentence of its own words. docs/problems.md explains each, checked both ways.
 */
export const PROBLEMS = {
  'bad-request': [400, 'The request does not fit the contract'],
  'plan-refused': [422, 'The plan was refused whole'],
  'not-json': [400, 'The body is not readable JSON'],
  'too-large': [413, 'The body is larger than this route takes'],
  'too-many-requests': [429, 'Asked too often; wait a little'],
  'too-many-sockets': [429, 'Too many live sockets are open'],
  busy: [503, 'The service has too much to do just now'],
  'no-membership': [401, 'No valid link was presented'],
  'not-allowed': [403, 'This link may not do that'],
  'foreign-origin': [403, 'The request came from another site'],
  'not-found': [404, 'There is nothing at this address for this link'],
  'no-search': [404, 'Nobody has asked for a search in this event'],
  'stale-revision': [409, 'The plan was changed since it was read'],
  'stale-order': [409, 'The order was changed since it was read'],
  'request-id-reused': [409, 'This request id was used with another body'],
  'outcome-unknown': [503, 'It is not known whether this was recorded; repeat it with the same request id'],
  'event-not-begun': [409, 'No plan has been published for this event'],
  'event-closed': [409, 'The event is closed'],
  'event-already-open': [409, 'The event is open already'],
  'adoption-drops-live': [409, 'The new plan lacks something that is live'],
  'unknown-ship': [422, 'No such ship in the plan in force'],
  'unknown-tanker': [422, 'No such tanker in the plan in force'],
  'unknown-station': [422, 'No such station in the plan in force'],
  'unknown-slot': [422, 'No such slot'],
  'unknown-group': [422, 'No such tank group or tank on this ship'],
  'unknown-base': [422, 'No such base in the plan in force'],
  'unknown-revision': [422, 'No such revision of the plan'],
  'unknown-flight': [422, 'No such flight in the plan in force'],
  'unknown-visit': [422, 'No such visit of this ship'],
  'unknown-type': [422, 'No such receiver type in the plan in force'],
  'unknown-push-group': [422, 'No such push group in the plan in force'],
  'unknown-fact': [422, 'No such fact in this event'],
  'fact-not-withdrawable': [409, 'This kind of fact cannot be withdrawn'],
  'fact-already-withdrawn': [409, 'This fact is withdrawn already'],
  'not-your-fact': [403, 'Only a coordinator or commander may withdraw what another recorded'],
  'time-ahead': [422, 'The observed time lies ahead of event time'],
  'time-before-event': [422, 'The observed time lies before the event'],
  'clock-backwards': [409, 'The exercise clock never runs backwards'],
  'fuel-above-capacity': [422, 'More fuel than the tanks hold or have room for'],
  'out-of-bounds': [422, 'A time or figure lies outside what is possible here'],
  'call-sign-taken': [409, 'This call sign is in use'],
  'receiver-refused': [422, 'The plan in force cannot take this receiver'],
  'ship-came': [409, 'The ship is there already'],
  'group-stays': [422, 'This group cannot be jettisoned'],
  'limit-below-computed': [422, 'A limit set by hand lies below the computed one'],
  'method-mismatch': [422, 'The station and the receiver refuel by different methods'],
  'no-clearance': [422, 'No clearance for this receiver type on this station'],
  'speed-mismatch': [422, 'Receiver and tanker have no common refuelling speed'],
  'ship-in-contact': [409, 'The ship is in contact'],
  'ship-gone': [409, 'The ship has left or landed'],
  'ship-not-joined': [409, 'The ship has not joined'],
  'out-of-order': [409, 'Something observed later has been recorded already'],
  'visit-done': [409, 'This contact is over already'],
  'not-in-contact': [409, 'The ship is not in contact'],
  'station-occupied': [409, 'Another ship is in contact at this station'],
  'station-closed': [409, 'The station is failed, or suspect and takes nobody new'],
  'ship-twice': [422, 'A slot stands twice in the order'],
  'slot-missing': [422, 'A slot still to be flown is missing from the order'],
  'slot-pinned': [409, 'A pinned slot would move'],
  'slot-in-contact': [409, 'A slot in contact would move'],
  'internals-not-allowed': [422, 'The flight may not leave with internal fuel only'],
  'off-load-missing': [422, 'A partial disconnect needs its off-load'],
  'store-full': [507, 'There is no room left to record anything'],
  'store-broken': [503, 'The disk has failed; nothing more is recorded until the service has started anew'],
  internal: [500, 'Something went wrong here']
} as const satisfies Record<string, readonly [status: number, title: string]>

export type ProblemCode = keyof typeof PROBLEMS
export const PROBLEM_CODES = Object.keys(PROBLEMS) as ProblemCode[]

/** One fault in a document: where (a JSON pointer), what stood there, and which limit it breaks. */
export interface Fault {
  path: string
  value: string
  limit: string
  message: string
}

/** The body of every refusal: `application/problem+json`. */
export interface ProblemBody {
  type: string
  title: string
  status: number
  code: ProblemCode
  detail?: string
  /** At most SIZES.errors of them; `errorCount` counts all. */
  errors?: Fault[]
  errorCount?: number
  requestId?: string
}
