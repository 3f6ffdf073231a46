import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../server/demo/plan.ts'
import ImportSheet from '../../client/parts/ImportSheet.vue'
import { incomingOf } from '../../client/plan/incoming.ts'

/* A plan file before it is taken: what it holds and what it would change, or all it is refused for. */

const demo = demoPlan(Date.UTC(2031, 4, 17, 13))
const shown = (text: string, over = false) => {
  const sheet = mount(ImportSheet, {
    props: { incoming: incomingOf(text, over ? demo : undefined) },
    attachTo: document.body
  })
  const said = sheet.text().replace(/\s+/g, ' ')
  const buttons = sheet.findAll('button').map((one) => one.text())
  sheet.unmount()
  return { said, buttons }
}

describe('a plan file', () => {
  it('is shown with its name, its opening and how much it holds', () => {
    const { said, buttons } = shown(JSON.stringify(demo))
    const ships = demo.flights.flatMap((flight) => flight.ships).length
    for (const part of [demo.name, '2031-05-17 13:00Z', `${String(demo.flights.length)} flights`])
      expect(said).toContain(part)
    expect(said).toContain(`${String(ships)} ships, ${String(demo.tankers.length)} tankers`)
    expect(said).toContain('an event of its own')
    expect(buttons).toEqual(['Import it', 'Do not import it'])
  })

  it('says what it changes in the plan whose place it takes', () => {
    const [tanker, ...others] = demo.tankers
    if (tanker === undefined) throw new Error('no tanker')
    const other = { ...demo, tankers: [{ ...tanker, fuelOnStation: { value: 100_001, unit: 'lb' } }, ...others] }
    const { said } = shown(JSON.stringify(other), true)
    expect(said).toContain('1 change to the newest revision')
    expect(said).toContain(`Tankers, ${tanker.callSign}: Fuel on station 100001 lb`)
    expect(shown(JSON.stringify(demo), true).said).toContain('says what the newest revision says')
  })

  it.each([
    ['Ship;Fuel', 'no JSON'],
    ['', 'nothing'],
    ['{"v":1}', 'faults in the file'],
    [JSON.stringify({ ...demo, opensAtMs: 'noon' }), '/opensAtMs']
  ])('%.20s is refused with what is wrong, and cannot be taken', (text, part) => {
    const { said, buttons } = shown(text)
    expect(said).toContain(part)
    expect(said).toContain('nothing was taken')
    expect(buttons).toEqual(['Close'])
  })

  /* 5,144 kg in the demo's tanks; 1 lb = 0.453 592 37 kg. The limits of the API are in SI, whoever asks. */
  it('is refused in the units and names that stand in it', () => {
    const wrong = structuredClone(demo) as unknown as {
      fuelDensity: { value: number; unit: string }
      tracks: { name: string; orbit: unknown[] }[]
      flights: { callSign: string; ships: { callSign: string; startFuel: { value: number; unit: string } }[] }[]
    }
    const [flight] = wrong.flights
    const [ship] = flight?.ships ?? []
    if (flight === undefined || ship === undefined) throw new Error('no ship')
    ship.startFuel = { value: 99_999, unit: 'lb' }
    const overfull = shown(JSON.stringify(wrong)).said
    expect(overfull).toContain(`Flights, ${flight.callSign}, Ships, ${ship.callSign}, Start fuel`)
    expect(overfull).toContain('99999 lb')
    expect(overfull).toMatch(/at most [\d,]+ lb, what its tanks hold/)
    expect(overfull).not.toMatch(/\d kg/)
    ship.startFuel = { value: 9_999, unit: 'lb' }
    wrong.fuelDensity = { value: 6.7, unit: 'kg/L' }
    wrong.tracks[0]?.orbit.splice(1)
    const { said } = shown(JSON.stringify(wrong))
    expect(said).toContain('Fuel density')
    expect(said).toContain('0.65 to 0.9 kg/L')
    expect(said).toContain(`Tracks, ${wrong.tracks[0]?.name ?? ''}, Orbit`)
    expect(said).toContain('at least 2 of them')
    expect(said).not.toMatch(/expected|kg\/m3|>=/)
  })
})
