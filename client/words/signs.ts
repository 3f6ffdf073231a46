import type { Reason, ShipStatus } from '../../shared/contracts/view.ts'

/** Shapes that stand beside words, so that nothing is told by colour alone. */
export type Sign =
  | 'ring'
  | 'half'
  | 'disc'
  | 'dot'
  | 'check'
  | 'triangle'
  | 'diamond'
  | 'up'
  | 'down'
  | 'left'
  | 'right'
  | 'away'
  | 'enter'
  | 'question'

export const STATUS_SIGNS: Record<ShipStatus, Sign> = {
  planned: 'dot',
  inbound: 'right',
  waiting: 'ring',
  next: 'half',
  'in contact': 'disc',
  done: 'check',
  'must leave': 'triangle',
  'on task': 'right',
  recovering: 'away',
  left: 'away',
  'no-show': 'question',
  landed: 'down'
}

export const SEVERITY_SIGNS: Record<Reason['severity'], Sign> = { now: 'triangle', soon: 'diamond', note: 'ring' }
