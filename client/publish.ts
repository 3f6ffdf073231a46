import type { Reason, View } from '../shared/contracts/view.ts'
import type { Labels } from './labels.ts'
import { verdict } from './words/plan.ts'
import { saidReason, reasonWords } from './words/reasons.ts'
import { PUBLISH } from './words/publish.ts'

const ORDER: Record<Reason['severity'], number> = { now: 0, soon: 1, note: 2 }

/** What is asked before a plan that does not work is published, naming the worst; empty where there is nothing to ask. */
export function publishQuestion(view: View, labels: Labels, revision: number): string {
  if (verdict(view).works) return ''
  const reasons = view.reasons.toSorted((a, b) => ORDER[a.severity] - ORDER[b.severity])
  const [worst] = reasons
  const bad = reasons.filter(({ severity }) => severity === worst?.severity)
  const told = worst === undefined ? '' : ` ${saidReason(reasonWords(worst, labels, labels.massUnit))}`
  return `${PUBLISH.worksNot(revision)}${told}${PUBLISH.more(Math.max(0, bad.length - 1))}${PUBLISH.asks}`
}
