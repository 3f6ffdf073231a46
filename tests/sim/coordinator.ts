/** Who hears what is said and enters it; where the law has it so, asks whom the board names and reads back what it doubts. */
import type { View } from '../../shared/contracts/view.ts'
import { massKg, type Reported } from '../../shared/units.ts'
import type { Radio, Word } from './calls.ts'

/** A ship that does not answer is asked again no sooner, s. */
const ASKED_AGAIN_S = 30
/** The first look is so long before the hour, as the first ships are in the air, s. */
const BEGINS_S = -14 * 60
/** What was said longer ago is held against nothing of now, s. */
const LATE_S = 30

interface Parts {
  words: readonly Word[]
  radios: ReadonlyMap<string, Radio>
  /** How often it is looked whom to ask, s; nobody is asked where undefined. */
  everyS: number | undefined
  enter: (word: Word) => void
  boardAt: (atS: number) => View | undefined
}

export class Coordinator {
  private readonly parts: Parts
  /** What is said and not entered yet, in order of when it will be. */
  private coming: Word[]
  private looksS = BEGINS_S
  private board: View | undefined
  private readonly readBack = new Set<Word>()
  private readonly askedS = new Map<string, number>()

  constructor(parts: Parts) {
    this.parts = parts
    this.coming = [...parts.words]
  }

  /** What has been said and is not entered yet. */
  get waiting(): readonly Word[] {
    return this.coming
  }

  workUntil(untilS: number): void {
    const { everyS } = this.parts
    if (everyS !== undefined) while (this.looksS <= untilS) this.looksS = this.look(this.looksS, everyS)
    this.hear(untilS)
  }

  private hear(untilS: number): void {
    for (let word = this.coming[0]; word && word.recordedS <= untilS; word = this.coming[0]) {
      this.coming.shift()
      const radio = this.radioOf(word)
      if (radio?.readBack && !this.readBack.has(word) && this.isBeyond(word)) {
        const again = radio.readBack(word)
        this.readBack.add(again)
        this.hearLater([again])
      } else this.parts.enter(word)
    }
  }

  /** Asks whom the board names, and looks again once the answer is in. Gives when that is, s. */
  private look(nowS: number, everyS: number): number {
    this.hear(nowS)
    this.board = this.parts.boardAt(nowS)
    const named = this.board?.asks.find(
      ({ shipId, why }) => why === 'check' || nowS - (this.askedS.get(shipId) ?? -Infinity) >= ASKED_AGAIN_S
    )
    if (!named) return nowS + everyS
    this.askedS.set(named.shipId, nowS)
    const answers = this.parts.radios.get(named.shipId)?.answer?.(nowS) ?? []
    this.hearLater(answers)
    return Math.max(...answers.map(({ recordedS }) => recordedS + 1), nowS + (answers.length > 0 ? 0 : everyS))
  }

  private hearLater(words: readonly Word[]): void {
    this.coming = [...this.coming, ...words].sort((a, b) => a.recordedS - b.recordedS)
  }

  private radioOf({ request }: Word): Radio | undefined {
    return this.parts.radios.get(String(request['shipId']))
  }

  /** Whether a figure called now is beyond what the board last seen holds for reasonable, as its entry line would say. */
  private isBeyond({ request, observedS, recordedS }: Word): boolean {
    if (request.kind !== 'callFuel' || recordedS - observedS > LATE_S) return false
    const reason = this.board?.ships.find((ship) => ship.shipId === request['shipId'])?.estimate.reason
    const calledKg = massKg(request['fuel'] as Reported<'lb'>)
    return reason !== undefined && reason !== null && (calledKg < reason.leastKg || calledKg > reason.mostKg)
  }
}
