/** Fuel along a ship's way ahead, bend by bend, with the contacts the order gives it. */
import type { Bend } from '../live/ahead.ts'
import type { Leg } from '../live/course.ts'
import { burnAt } from '../live/slots.ts'
import type { Scene } from '../live/view/scene.ts'
import { totalKg } from '../tanks/sheet.ts'
import { fuelAt } from './course.ts'
import { add, COMPUTED, multiply, subtract, type Expression, type Paper } from './paper.ts'
import type { Stage } from './stage.ts'

const SAME_KG = 1e-7

/** All fuel aboard at the first bend that is the end asked for. */
export function fuelAlong(paper: Paper, stage: Stage, scene: Scene, isEnd: (bend: Bend) => boolean): Expression {
  const { crew, way } = scene
  const { sheet } = crew.ship
  const { anchor } = crew.folded
  const heldKg = (bend: Pick<Bend, 'state'>): number => totalKg(sheet, bend.state)
  let { fuel } = fuelAt(paper, stage, { crew, legs: crew.legs }, anchor.atMs)
  let kg = heldKg(anchor)
  let open: { leg: Leg; seconds: number } | undefined
  const beside = (name: string, lostKg: number, about: string | undefined): Expression[] =>
    Math.abs(lostKg) > SAME_KG ? [paper.input(name, 'mass', lostKg, COMPUTED, about)] : []
  const step = (afterKg: number): void => {
    if (!open) return
    const { leg, seconds } = open
    open = undefined
    if (seconds <= 0 && Math.abs(afterKg - kg) < SAME_KG) return
    const about = leg.phaseId ?? leg.kind
    const time = paper.input('time in the phase', 'span', seconds, COMPUTED, about)
    const rate = paper.input('flow in the phase', 'flow', leg.burnKgPerS, COMPUTED, about)
    const lost = beside('lost beside the burn', kg - leg.burnKgPerS * seconds - afterKg, about)
    fuel = paper.line('fuel after the phase', 'mass', subtract(fuel, multiply(time, rate), ...lost), about, afterKg)
    kg = afterKg
  }
  const contacts = scene.slots.filter(({ out }) => out.state === 'planned' || out.state === 'in contact')
  let before: Pick<Bend, 'state' | 'atMs'> = anchor
  for (const bend of way.bends) {
    const seconds = (bend.atMs - before.atMs) / 1000
    const off = contacts.find(
      ({ out }) => out.disconnectAtMs === bend.atMs && Math.max(out.contactAtMs, anchor.atMs) <= before.atMs + 1e-3
    )
    if (off && heldKg(bend) > heldKg(before) + SAME_KG) {
      step(heldKg(before))
      const { placed, out } = off
      const burnKgPerS = burnAt(crew, placed.visit)
      const onto = paper.input('on-load', 'mass', out.onLoadKg, COMPUTED, placed.station.name)
      const time = paper.input('time in contact', 'span', seconds, COMPUTED, placed.station.name)
      const rate = paper.input('flow waiting and in contact', 'flow', burnKgPerS, COMPUTED)
      const had = beside(
        'taken before the last call',
        kg + out.onLoadKg - burnKgPerS * seconds - heldKg(bend),
        undefined
      )
      const after = subtract(add(fuel, onto), multiply(time, rate), ...had)
      kg = heldKg(bend)
      fuel = paper.line('fuel after the contact', 'mass', after, undefined, kg)
    } else {
      if (open && open.leg !== bend.leg) step(heldKg(before))
      open ??= { leg: bend.leg, seconds: 0 }
      open.seconds += seconds
    }
    before = bend
    if (isEnd(bend)) break
  }
  step(heldKg(before))
  return fuel
}
