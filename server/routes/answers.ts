import type { FastifyReply } from 'fastify'
import { problem } from '../../shared/contracts/answers.ts'

/** Refusals are part of every route's contract. */
export const REFUSALS = { '4xx': problem, '5xx': problem }

/** JSON that is serialised already: the facts of a room are, once for answers, frames and logs. */
export const sendText = (reply: FastifyReply, text: string): FastifyReply =>
  reply.header('content-type', 'application/json; charset=utf-8').send(text)
