/** Event time after which what was not asked for again is let go of, ms: a board asks once a second. */
const TURN_MS = 1000

/**
 * What was worked out and may be asked for again, by what it depends on. It holds what was asked for at the event time
 * that is looked at and at the one before, no more: of a ship that is late every second brings names of its own, and
 * an event lasts for hours.
 */
export class Kept extends Map<string, unknown> {
  private before = new Map<string, unknown>()
  private turnedAtMs: number | undefined

  /** Tells which event time is looked at, now or in hindsight. */
  lookedAt(nowMs: number): void {
    this.turnedAtMs ??= nowMs
    if (Math.abs(nowMs - this.turnedAtMs) < TURN_MS) return
    this.turnedAtMs = nowMs
    this.before = new Map(this)
    super.clear()
  }

  override get(name: string): unknown {
    const known = super.get(name)
    if (known !== undefined) return known
    const before = this.before.get(name)
    if (before !== undefined) this.set(name, before)
    return before
  }

  override clear(): void {
    super.clear()
    this.before.clear()
  }
}
