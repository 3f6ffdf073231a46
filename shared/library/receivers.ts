/** Invented type sheets to plan with and to learn on, by boom and by drogue. No aircraft is meant. */
import type { ReceiverType } from '../contracts/plan.ts'
import { bulrush, nettle } from './others.ts'
import { osier, sedge, teasel } from './probes.ts'
import { larch, maple } from './receptacles.ts'

/** Ids of a written sheet are plain words: the contract reads every one of these in a test. */
export const RECEIVERS = [larch, maple, sedge, teasel, nettle, osier, bulrush] as unknown as readonly ReceiverType[]
