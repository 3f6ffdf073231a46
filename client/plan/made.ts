import { shallowRef } from 'vue'
import type { CreatedPlan } from '../api.ts'

/** The event made last on this page, with its commander's link: told once, and kept nowhere else. */
export const madeEvent = shallowRef<CreatedPlan>()
