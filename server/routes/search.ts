import { z } from 'zod'
import { eventId } from '../../shared/contracts/ids.ts'
import { searchAnswer, searchBody } from '../../shared/contracts/search.ts'
import { planInForce } from '../../shared/live/inforce.ts'
import type { App, Door } from '../app.ts'
import { at, callerOf } from '../auth/guard.ts'
import type { Room } from '../live/room.ts'
import { Problem } from '../problem.ts'
import { REFUSALS, sendText } from './answers.ts'

const ofEvent = z.object({ eventId })

export function registerSearch(app: App, { rooms }: Door): void {
  app.route({
    ...at('startSearch'),
    schema: { params: ofEvent, body: searchBody, response: { 202: searchAnswer, ...REFUSALS } },
    handler: async (request, reply) => {
      const room = await rooms.of(request.params.eventId)
      if (room.state.plan === undefined) throw new Problem('event-not-begun')
      if (room.state.closed) throw new Problem('event-closed')
      const flights = planInForce(room.state)?.flights ?? []
      const unknown = request.body.maySpread?.find((flightId) => !flights.some(({ id }) => id === flightId))
      if (unknown !== undefined)
        throw new Problem('unknown-flight', { detail: `${unknown} is not in the plan in force` })
      return sendText(reply.code(202), room.search.start(callerOf(request).linkId, request.body))
    }
  })

  app.route({
    ...at('readSearch'),
    schema: { params: ofEvent, response: { 200: searchAnswer, ...REFUSALS } },
    handler: async (request, reply) => sendText(reply, viewOf(await rooms.of(request.params.eventId)))
  })

  app.route({
    ...at('stopSearch'),
    schema: { params: ofEvent, response: { 200: searchAnswer, ...REFUSALS } },
    handler: async (request, reply) => {
      const room = await rooms.of(request.params.eventId)
      await room.search.stop()
      return sendText(reply, viewOf(room))
    }
  })
}

function viewOf({ search }: Room): string {
  const { view } = search
  if (view === undefined) throw new Problem('no-search')
  return view
}
