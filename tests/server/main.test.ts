import { createServer, type AddressInfo } from 'node:net'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { once } from 'node:events'
import { describe, expect, it, onTestFinished } from 'vitest'
import { WebSocket } from 'ws'
import { demoPlan } from '../../server/demo/plan.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import type { View } from '../../shared/contracts/view.ts'
import { OPENS_AT_MS } from './plan.ts'
import { runToEnd, start } from './process.ts'
import { newFolder } from './service.ts'

const bearer = (secret = '') => ({ headers: { authorization: `Bearer ${secret}` } })

describe('the built server', { timeout: 60_000 }, () => {
  it('prints the owner link at its first start alone, and another one when asked', async () => {
    const DATA_DIR = newFolder()
    const first = await start({ DATA_DIR })
    expect([...first.secrets.keys()]).toEqual(['Owner of this service'])
    const plans = await fetch(first.address + pathOf('listPlans'), bearer(first.secrets.get('Owner of this service')))
    expect([plans.status, await plans.json()]).toEqual([200, []])
    expect(await first.kill('SIGTERM')).toEqual({ code: 0, signal: null })
    const second = await start({ DATA_DIR })
    expect(second.secrets.size).toBe(0)
    await second.kill('SIGTERM')
    const third = await start({ DATA_DIR }, ['--owner-link'])
    const again = await fetch(third.address + pathOf('listPlans'), bearer(third.secrets.get('Owner of this service')))
    expect(again.status).toBe(200)
  })

  it('starts on an empty folder with an event that is under way, and a link for each role', async () => {
    const { address, secrets } = await start({ DATA_DIR: newFolder(), DEMO: 'on' })
    const labels = [...secrets.keys()]
    expect(labels.map((label) => label.replace(/^Crew of .+/, 'Crew')).sort()).toEqual([
      'Commander',
      'Coordinator',
      'Crew',
      'Owner of this service',
      'Viewer'
    ])
    for (const [label, secret] of secrets) {
      const answer = await fetch(address + pathOf('signIn'), {
        method: 'POST',
        headers: { 'content-type': 'application/json', origin: address },
        body: JSON.stringify({ secret })
      })
      const { role } = (await answer.json()) as { role: string }
      expect(label.toLowerCase(), label).toContain(role)
    }
    const owner = bearer(secrets.get('Owner of this service'))
    const plans = await fetch(address + pathOf('listPlans'), owner)
    const [demo] = (await plans.json()) as { eventId: string; publishedRevision: number }[]
    expect(demo?.publishedRevision).toBe(1)
    const state = await fetch(address + pathOf('readState', { eventId: demo?.eventId ?? '' }), owner)
    const view = (await state.json()) as View
    expect(view.open).toBe(true)
    expect(view.ships).toHaveLength(24)
  })

  it('ends in order on SIGTERM and SIGINT, also while a board is open', async () => {
    for (const signal of ['SIGTERM', 'SIGINT'] as const) {
      const { address, secrets, kill } = await start({ DATA_DIR: newFolder(), DEMO: 'on' })
      const plans = await fetch(address + pathOf('listPlans'), bearer(secrets.get('Owner of this service')))
      const [demo] = (await plans.json()) as { eventId: string }[]
      const url = address.replace('http', 'ws') + pathOf('stream', { eventId: demo?.eventId ?? '' })
      const socket = new WebSocket(url, bearer(secrets.get('Viewer')))
      await once(socket, 'open')
      const closed = once(socket, 'close')
      expect(await kill(signal), signal).toEqual({ code: 0, signal: null })
      expect((await closed)[0]).toBe(1001)
    }
  })

  it('ends in order in the middle of a search', async () => {
    const { address, secrets, kill } = await start({ DATA_DIR: newFolder(), DEMO: 'on' })
    const owner = bearer(secrets.get('Owner of this service'))
    const plans = await fetch(address + pathOf('listPlans'), owner)
    const [demo] = (await plans.json()) as { eventId: string }[]
    const url = pathOf('stream', { eventId: demo?.eventId ?? '' })
    const socket = new WebSocket(address.replace('http', 'ws') + url, bearer(secrets.get('Viewer')))
    const statuses: string[] = []
    const found = new Promise<void>((resolve) => {
      socket.on('message', (message: Buffer) => {
        const frame = JSON.parse(message.toString()) as FrameOut
        if (frame.kind !== 'search') return
        statuses.push(frame.search.status)
        if (frame.search.proposal !== null) resolve()
      })
    })
    await once(socket, 'open')
    const ask = async (name: 'record' | 'startSearch', body: object) => {
      const { status } = await fetch(address + pathOf(name, { eventId: demo?.eventId ?? '' }), {
        method: 'POST',
        headers: { ...owner.headers, 'content-type': 'application/json' },
        body: JSON.stringify(body)
      })
      return status
    }
    // Something to mend: the first tanker loses its first station.
    const { tankers, tankerTypes } = demoPlan(OPENS_AT_MS)
    const stationId = tankerTypes.find(({ id }) => id === tankers[0]?.tankerTypeId)?.stations[0]?.id
    const failed = { kind: 'setStation', tankerId: tankers[0]?.id, stationId, status: 'failed' }
    expect(await ask('record', { requestId: 'station-failed', ...failed })).toBe(200)
    expect(await ask('startSearch', { kind: 'anew', judgements: 1_000_000 })).toBe(202)
    await found
    const closed = once(socket, 'close')
    expect(await kill('SIGTERM')).toEqual({ code: 0, signal: null })
    await closed
    expect(statuses.at(-1)).toBe('stopped')
  })

  it('says in a sentence that the port is taken', async () => {
    const other = createServer().listen(0, '127.0.0.1')
    onTestFinished(() => {
      other.close()
    })
    await once(other, 'listening')
    const { port } = other.address() as AddressInfo
    const { code, text } = await runToEnd({ PORT: String(port), DATA_DIR: newFolder(), DEMO: 'off' })
    expect(code).toBe(1)
    expect(text.trim()).toBe(
      `Something else listens on port ${String(port)} on 127.0.0.1 already. Stop it, or set PORT to another port.`
    )
  })

  it('names every setting that cannot be used', async () => {
    const { code, text } = await runToEnd({ PORT: 'http', DEMO: 'perhaps' })
    expect(code).toBe(1)
    expect(text.trim().split('\n')).toEqual([
      'The settings cannot be used:',
      '  PORT is "http": a port number from 0 to 65535 (0: any free port)',
      '  DEMO is "perhaps": on or off'
    ])
  })

  it('says which data folder it cannot use', async () => {
    const file = join(newFolder(), 'a-file')
    writeFileSync(file, '')
    const { code, text } = await runToEnd({ PORT: '0', DATA_DIR: file })
    expect(code).toBe(1)
    expect(text).toMatch(new RegExp(`^The data folder ${file} cannot be used: `))
    expect(text.trim().split('\n')).toHaveLength(1)
  })
})
