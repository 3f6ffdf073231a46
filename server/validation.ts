import type { FastifySchemaCompiler } from 'fastify'
import type { z } from 'zod'
import { misfit, type Problem } from './problem.ts'

/** Reads one part of a request, or tells what is wrong with it. */
type Reading = (input: unknown) => { value: unknown } | { error: Problem }

const fitting =
  (schema: z.ZodType): Reading =>
  (input) => {
    const read = schema.safeParse(input)
    return read.success ? { value: read.data } : { error: misfit(read.error, input) }
  }

/** Every part of a request is read by its schema. */
export const bySchema: FastifySchemaCompiler<z.ZodType> = ({ schema }) => fitting(schema)

/**
 * The body stays the text it came as, whatever its schema says of it in the document: who handles it reads it. The
 * other parts are read by theirs.
 */
export const asText: FastifySchemaCompiler<unknown> = ({ schema, httpPart }) =>
  httpPart === 'body' ? (text: unknown) => ({ value: text }) : fitting(schema as z.ZodType)
