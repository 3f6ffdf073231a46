import type { FastifySchemaCompiler } from 'fastify'
import type { z } from 'zod'
import { misfit, type Problem } from './problem.ts'

/** Reads one part of a request, or tells what is wrong with it. */
export type Reading = (input: unknown) => { value: unknown } | { error: Problem }

export const fitting =
  (schema: z.ZodType): Reading =>
  (input) => {
    const read = schema.safeParse(input)
    return read.success ? { value: read.data } : { error: misfit(read.error, input) }
  }

/** Every part of a request is read by its schema. */
export const bySchema: FastifySchemaCompiler<z.ZodType> = ({ schema }) => fitting(schema)

/** The body is read by `reading`, whatever else its schema says of it in the document; the other parts by theirs. */
export const bodyBy =
  (reading: Reading): FastifySchemaCompiler<unknown> =>
  ({ schema, httpPart }) =>
    httpPart === 'body' ? reading : fitting(schema as z.ZodType)
