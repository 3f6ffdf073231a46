import type { WaitSide } from '../../shared/contracts/kinds.ts'
import type { Join } from '../../shared/contracts/plan.ts'
import { dayMark, minuteText } from '../figures.ts'

export const JOIN_FIELDS = {
  title: 'Join',
  rendezvous: 'rendezvous',
  block: 'block',
  waitLevel: 'wait',
  frequency: 'frequency'
} as const

const SIDES: Record<WaitSide, string> = { left: 'on its left', right: 'on its right' }

/** What was agreed with a tanker, each with its name; what nobody has agreed on is left out. A time of another day than `dayMs` says so. */
export function joinLines(join: Join | undefined, dayMs = join?.rendezvousAtMs ?? 0): { name: string; text: string }[] {
  const { rendezvous, rendezvousAtMs, block, waitLevel, waitSide, frequency } = join ?? {}
  const at =
    rendezvousAtMs === undefined
      ? undefined
      : `${minuteText(rendezvousAtMs)}${dayMark(rendezvousAtMs, dayMs, 'down', 60)}`
  const side = waitSide === undefined ? undefined : SIDES[waitSide]
  return [
    { name: JOIN_FIELDS.rendezvous, text: joined(rendezvous, at) },
    { name: JOIN_FIELDS.block, text: block ?? '' },
    { name: JOIN_FIELDS.waitLevel, text: joined(waitLevel, side) },
    { name: JOIN_FIELDS.frequency, text: frequency ?? '' }
  ].filter(({ text }) => text !== '')
}

const joined = (...parts: readonly (string | undefined)[]): string => parts.filter(Boolean).join(', ')
