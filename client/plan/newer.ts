import type { Plan } from '../../shared/contracts/plan.ts'
import { differences } from '../../shared/tables/differences.ts'
import { draftOf } from '../../shared/tables/draft.ts'
import type { RevisionList } from '../api.ts'
import { differenceText, newerText } from '../words/tables.ts'

/** Of the changes that somebody else saved, so many are told at once. */
const MOST_TOLD = 3

/** What somebody saved while this page showed an older revision: which, when, under which link, and what it changes. */
export function newsOfRevision(before: Plan, after: Plan, saved: RevisionList[number]): string {
  const changes = differences(draftOf(before), draftOf(after))
  return newerText(saved, changes.slice(0, MOST_TOLD).map(differenceText), changes.length)
}
