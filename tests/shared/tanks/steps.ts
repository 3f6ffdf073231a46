import { type Sheet, type TankState } from '../../../shared/tanks/sheet.ts'

/**
 * The rules again, as a plain time-step integration that halves a step over which a tank ran dry, got full or passed a
 * mark: slow, and another way to say the same.
 */
export function stepped(of: Sheet, start: TankState, burnKgPerS: number, durationS: number, dumps = false): number[][] {
  const q = start.quantitiesKg.map((tanks, g) => tanks.map((kg, i) => (start.troubles[g]?.[i] === 'gone' ? 0 : kg)))
  const finestS = 2e-6
  let { externals } = start
  const gives = (g: number, i: number): boolean => {
    const trouble = start.troubles[g]?.[i]
    return trouble !== 'not giving' && trouble !== 'gone'
  }
  const usableIn = (g: number, i: number): number =>
    gives(g, i) ? Math.max(0, (q[g]?.[i] ?? 0) - (of.groups[g]?.unusableKg ?? 0)) : 0
  const tanksOf = (g: number): number[] => (q[g] ?? []).map((_, i) => i)
  const wet = (g: number): boolean => tanksOf(g).some((i) => usableIn(g, i) > 1e-9)
  const feedTanks = tanksOf(of.feedIndex).filter((i) => gives(of.feedIndex, i))
  const feedSheet = of.groups[of.feedIndex]
  if (feedSheet === undefined) throw new Error('no feed group')
  const move = (g: number, i: number, kg: number): void => {
    const tanks = q[g]
    if (tanks) tanks[i] = (tanks[i] ?? 0) + kg
  }
  /** Draws up to the wanted mass from a group, no tank faster than it can; gives what came. */
  const draw = (gs: number[], wantedKg: number, dt: number): number => {
    const offers = gs.flatMap((g) =>
      tanksOf(g).flatMap((i) =>
        usableIn(g, i) > 1e-9 ? [{ g, i, kg: (of.groups[g]?.transferRateKgPerS ?? 0) * dt }] : []
      )
    )
    const offeredKg = offers.reduce((kg, offer) => kg + offer.kg, 0)
    const share = offeredKg > wantedKg ? wantedKg / offeredKg : 1
    let drawnKg = 0
    for (const { g, i, kg } of offers) {
      const givenKg = Math.min(usableIn(g, i), kg * share)
      move(g, i, -givenKg)
      drawnKg += givenKg
    }
    return drawnKg
  }
  const level = (): number => feedTanks.reduce((kg, i) => kg + (q[of.feedIndex]?.[i] ?? 0), 0)
  const fullKg = feedTanks.length * feedSheet.capacityKg
  const dryKg = feedTanks.length * feedSheet.unusableKg
  const signs = (): string =>
    of.groups
      .map((one, g) => {
        const tanks = (q[g] ?? []).map((kg) =>
          kg <= one.unusableKg + 1e-9 ? 'd' : kg >= one.capacityKg - 1e-9 ? 'f' : '-'
        )
        const gapKg =
          one.role.kind === 'reserve' ? level() - Math.max(dryKg, Math.min(fullKg, one.role.releasedBelowKg)) : 0
        return `${tanks.join('')}${Math.abs(gapKg) < 1e-9 ? 0 : Math.sign(gapKg)}`
      })
      .join()
  const advance = (dt: number): void => {
    const before = q.map((tanks) => [...tanks])
    const was = signs()
    step(dt)
    if (dt <= finestS || signs() === was) return
    before.forEach((tanks, g) => (q[g] = tanks))
    advance(dt / 2)
    advance(dt / 2)
  }
  const step = (dt: number): void => {
    if (externals === 'selected' && !of.groups.some((one, g) => one.place === 'external' && wet(g))) externals = 'off'
    const can = (g: number): boolean => {
      const one = of.groups[g]
      if (one === undefined || g === of.feedIndex || !wet(g)) return false
      if (one.place === 'external') return externals === 'selected'
      return !(one.silencedByExternals && externals === 'selected')
    }
    let gainKg = 0
    const burntKg = burnKgPerS * dt
    if (feedTanks.length > 0) {
      const turns = of.groups.flatMap((one, g) => (one.role.kind === 'stage' && can(g) ? [one.role.turnCount] : []))
      const turn = Math.min(...turns)
      const stage = of.groups.flatMap((one, g) =>
        one.role.kind === 'stage' && one.role.turnCount === turn && can(g) ? [g] : []
      )
      gainKg += draw(stage, fullKg - level() + burntKg, dt)
      const reserves = of.groups.flatMap((one, g) =>
        one.role.kind === 'reserve' && can(g)
          ? [{ g, keepsKg: Math.max(dryKg, Math.min(fullKg, one.role.releasedBelowKg)) }]
          : []
      )
      for (const keepsKg of [...new Set(reserves.map((one) => one.keepsKg))].sort((x, y) => y - x)) {
        const together = reserves.filter((one) => one.keepsKg === keepsKg).map((one) => one.g)
        gainKg += draw(together, Math.max(0, keepsKg - (level() + gainKg - burntKg)), dt)
      }
    }
    if (dumps && of.dump !== undefined) {
      const open = of.dump.groups.flatMap((g) => tanksOf(g).flatMap((i) => (usableIn(g, i) > 1e-9 ? [{ g, i }] : [])))
      for (const { g, i } of open) move(g, i, -Math.min(usableIn(g, i), (of.dump.rateKgPerS * dt) / open.length))
    }
    // Connected feed tanks share what comes and goes.
    const leftKg = feedTanks.reduce((kg, i) => kg + usableIn(of.feedIndex, i), 0)
    let changeKg = Math.max(gainKg - burntKg, -leftKg)
    for (let round = 0; round < 4 && Math.abs(changeKg) > 1e-12; round++) {
      const sharing = feedTanks.filter((i) =>
        changeKg > 0
          ? (q[of.feedIndex]?.[i] ?? 0) < feedSheet.capacityKg - 1e-12
          : (q[of.feedIndex]?.[i] ?? 0) > feedSheet.unusableKg + 1e-12
      )
      const eachKg = changeKg / sharing.length
      for (const i of sharing) {
        const now = q[of.feedIndex]?.[i] ?? 0
        const next = Math.max(Math.min(feedSheet.unusableKg, now), Math.min(feedSheet.capacityKg, now + eachKg))
        move(of.feedIndex, i, next - now)
        changeKg -= next - now
      }
    }
  }
  for (let n = 0; n < 64; n++) advance(durationS / 64)
  return q
}

/**
 * A contact by the same kind of steps: what its rules say, group by group, with what passed the station and what of it
 * went into tanks that do not give.
 */
export function steppedFill(
  of: Sheet,
  start: TankState,
  { stationRateKgPerS, burnKgPerS }: { stationRateKgPerS: number; burnKgPerS: number },
  durationS: number
): { quantitiesKg: number[][]; onLoadKg: number; lostKg: number } {
  let q = start.quantitiesKg.map((tanks, g) => tanks.map((kg, i) => (start.troubles[g]?.[i] === 'gone' ? 0 : kg)))
  let onLoadKg = 0
  let lostKg = 0
  const capKgPerS = Math.min(stationRateKgPerS, of.maxRateKgPerS)
  const stuck = (g: number, i: number): boolean => start.troubles[g]?.[i] === 'not giving'
  /** The tanks of a group that take fuel: whole ones, and stuck ones that cannot be shut. */
  const takers = (g: number): number[] =>
    (q[g] ?? []).flatMap((_, i) => {
      const trouble = start.troubles[g]?.[i]
      return trouble === undefined || (trouble === 'not giving' && of.groups[g]?.canShut === false) ? [i] : []
    })
  const roomIn = (g: number, i: number): number => Math.max(0, (of.groups[g]?.capacityKg ?? 0) - (q[g]?.[i] ?? 0))
  const fills = (g: number): number[] => takers(g).filter((i) => roomIn(g, i) > 1e-9)
  const waits = (g: number): boolean => {
    const after = of.groups[g]?.fillsAfter
    return after !== undefined && fills(after).length > 0
  }
  const put = (g: number, i: number, kg: number): void => {
    const tanks = q[g]
    if (tanks) tanks[i] = (tanks[i] ?? 0) + kg
    if (stuck(g, i)) lostKg += kg
  }
  const signs = (): string => of.groups.map((_, g) => `${fills(g).join('')}/${drinkable().join('')}`).join()
  const drinkable = (): number[] =>
    (q[of.feedIndex] ?? []).flatMap((kg, i) =>
      !stuck(of.feedIndex, i) && kg > (of.groups[of.feedIndex]?.unusableKg ?? 0) + 1e-9 ? [i] : []
    )
  const step = (dt: number): void => {
    const wants = of.groups.flatMap((one, g) =>
      waits(g) ? [] : fills(g).map((i) => ({ g, i, kgPerS: one.fillRateKgPerS }))
    )
    if (wants.length === 0 && of.groups.every((_, g) => fills(g).length === 0)) return
    const inFeed = wants.filter((want) => want.g === of.feedIndex)
    const others = wants.filter((want) => want.g !== of.feedIndex)
    const sum = (some: typeof wants): number => some.reduce((kgPerS, want) => kgPerS + want.kgPerS, 0)
    const share = Math.min(1, capKgPerS / (sum(wants) || 1))
    let feedKgPerS = share * sum(inFeed)
    const canDrink = takers(of.feedIndex).some((i) => !stuck(of.feedIndex, i)) && !waits(of.feedIndex)
    if (feedKgPerS < burnKgPerS) feedKgPerS = canDrink ? Math.min(burnKgPerS, capKgPerS) : 0
    const otherShare = Math.min(1, (capKgPerS - feedKgPerS) / (sum(others) || 1))
    const changeKg = (feedKgPerS - burnKgPerS) * dt
    const sharing = changeKg > 0 ? fills(of.feedIndex) : drinkable()
    for (const i of sharing) put(of.feedIndex, i, changeKg / sharing.length)
    for (const { g, i, kgPerS } of others) put(g, i, otherShare * kgPerS * dt)
    onLoadKg += (feedKgPerS + otherShare * sum(others)) * dt
  }
  const advance = (dt: number): void => {
    const before = { q: q.map((tanks) => [...tanks]), onLoadKg, lostKg }
    const was = signs()
    step(dt)
    if (dt <= 2e-6 || signs() === was) return
    ;({ q, onLoadKg, lostKg } = before)
    advance(dt / 2)
    advance(dt / 2)
  }
  for (let n = 0; n < 64; n++) advance(durationS / 64)
  return { quantitiesKg: q, onLoadKg, lostKg }
}
