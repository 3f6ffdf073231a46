import { z } from 'zod'
import { READINGS } from './bounds.ts'
import { requestId, shipId } from './ids.ts'
import { COVERS, MASS_UNITS, VOLUME_UNITS } from './kinds.ts'
import { PROBLEM_CODES } from './problem.ts'
import { instantMs } from './quantities.ts'

/** Any figure at all: one gauge that shows what cannot be must not cost the readings of the others. */
const shown = z.strictObject({ value: z.number(), unit: z.enum([...MASS_UNITS, ...VOLUME_UNITS]) })

/** What a gauge showed, at an event time; left out, it is now. */
export const reading = z.strictObject({ shipId, atMs: instantMs.optional(), fuel: shown, covers: z.enum(COVERS) })
export type Reading = z.infer<typeof reading>

export const readingsBody = z.strictObject({ requestId, readings: z.array(reading).min(1).max(READINGS.batch) })
export type ReadingsBody = z.infer<typeof readingsBody>

/**
 * Why a reading became no fact: it says what was expected; it comes too soon after the ship's last call, or was observed
 * before it; the ship was called a no-show; the batch was answered before and this one was not recorded then.
 */
const READING_DROPS = ['as expected', 'too soon', 'older', 'does not come', 'answered before'] as const

const readingOutcome = z.discriminatedUnion('outcome', [
  z.object({ outcome: z.literal('recorded'), seq: z.int() }),
  z.object({ outcome: z.literal('dropped'), why: z.enum(READING_DROPS) }),
  z.object({ outcome: z.literal('refused'), code: z.enum(PROBLEM_CODES as [string, ...string[]]) })
])
export type ReadingOutcome = z.infer<typeof readingOutcome>

/** The facts from..to, to = from - 1 when there are none, and what became of each reading, in the order sent. */
export const readingsAnswer = z.object({
  from: z.int(),
  to: z.int(),
  repeated: z.boolean(),
  readings: z.array(readingOutcome)
})
