import type { ProblemCode } from '../../shared/contracts/problem.ts'

/** A refusal in words: what is wrong and what would mend it. */
export const PROBLEM_SENTENCES: Record<ProblemCode, string> = {
  'bad-request': 'That does not fit what can be recorded. Check the figures and send it again.',
  'plan-refused': 'The plan was refused whole. Every fault is listed; mend them and import again.',
  'not-json': 'The file is not readable JSON.',
  'too-large': 'The file is larger than a plan may be.',
  'no-membership': 'This browser holds no valid link. Open your link again.',
  'not-allowed': 'Your link may not do that. Ask the coordinator or commander.',
  'foreign-origin': 'The request came from another site and was not taken.',
  'not-found': 'There is nothing here for your link.',
  'stale-revision': 'The plan was changed since you read it. Load it again, then repeat the change.',
  'stale-order': 'The order was changed since you read it. Look at the new order, then move again.',
  'request-id-reused': 'That request was sent before with other contents. Enter it again.',
  'outcome-unknown':
    'It is not known whether that was recorded. Look at the board, then send it again if it is missing.',
  'event-not-begun': 'No plan has been published for this event. The commander publishes it.',
  'event-closed': 'The event is closed.',
  'event-already-open': 'The event is open already.',
  'adoption-drops-live': 'The new plan lacks something that is live. Put it back and publish again.',
  'unknown-ship': 'No such ship in the plan in force.',
  'unknown-tanker': 'No such tanker in the plan in force.',
  'unknown-station': 'No such station in the plan in force.',
  'unknown-slot': 'No such slot.',
  'unknown-base': 'No such base in the plan in force.',
  'unknown-revision': 'No such revision of the plan.',
  'unknown-fact': 'There is no such entry in this event.',
  'fact-not-withdrawable': 'That kind of entry cannot be withdrawn.',
  'fact-already-withdrawn': 'That entry is withdrawn already.',
  'not-your-fact': 'Somebody else recorded that. A coordinator or commander can withdraw it.',
  'time-ahead': 'That time lies ahead of event time.',
  'time-before-event': 'That time lies before the event.',
  'clock-backwards': 'The exercise clock never runs backwards.',
  'fuel-above-capacity': 'That is more fuel than the tanks hold. Ask for the figure again.',
  'method-mismatch': 'The station and the ship refuel by different methods.',
  'no-clearance': 'The plan lists no clearance for this type on this station.',
  'speed-mismatch': 'Ship and tanker have no common refuelling speed.',
  'ship-in-contact': 'The ship is in contact. Record its disconnect first.',
  'ship-gone': 'The ship has left or landed.',
  'visit-done': 'This contact is over already.',
  'not-in-contact': 'The ship is not in contact.',
  'station-occupied': 'Another ship is in contact at this station. Record its disconnect first.',
  'station-closed': 'The station takes nobody new until the tanker calls it good.',
  'ship-twice': 'A slot stands twice in the order.',
  'slot-missing': 'A slot still to be flown is missing from the order.',
  'slot-pinned': 'A pinned slot would move. Unpin it first.',
  'slot-in-contact': 'A slot in contact would move.',
  'off-load-missing': 'A partial disconnect needs its off-load. Add the figure.',
  'store-full': 'The service has no room left to record anything. Tell whoever runs it.',
  internal: 'Something went wrong in the service. Send it again.'
}

/** Said when no answer came at all. */
export const NO_ANSWER_SENTENCE =
  'The service did not answer. Nothing is known to be recorded; send it again when contact is back.'
