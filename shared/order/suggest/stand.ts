/*
 * Who may stand at the stations of one tanker, by number: sets of ships with lists of ways to serve them, none of which is as
 * good as another.
 */

const START = 1 << 10

/** Who stood where in the end, by set of ships: lists of ways none of which is as good as another. */
export class Ends {
  readonly heads: Int32Array
  readonly used: number[] = []
  readonly late: number[] = []
  readonly last: number[] = []
  readonly next: number[] = []
  /** What it was made from: a way before it or −1, and a label of the station. */
  readonly from: number[] = []
  readonly label: number[] = []

  constructor(
    sets: number,
    readonly width: number
  ) {
    this.heads = new Int32Array(sets).fill(-1)
  }

  add(set: number, late: (group: number) => number, rest: { last: number; from: number; label: number }): void {
    const { width } = this
    for (let way = this.heads[set] ?? -1; way >= 0; way = this.next[way] ?? -1) {
      let covers = (this.last[way] ?? 0) <= rest.last
      for (let g = 0; covers && g < width; g++) covers = (this.late[way * width + g] ?? 0) <= late(g)
      if (covers) return
    }
    const made = this.last.length
    for (let g = 0; g < width; g++) this.late.push(late(g))
    this.last.push(rest.last)
    this.from.push(rest.from)
    this.label.push(rest.label)
    if ((this.heads[set] ?? -1) < 0) this.used.push(set)
    this.next.push(this.heads[set] ?? -1)
    this.heads[set] = made
  }
}

/** Labels of one station: somebody of a lot stands last there, over at an instant. */
export class Labels {
  count = 0
  readonly heads: Int32Array
  overAtMs = new Float64Array(START)
  lot = new Int8Array(START)
  kind = new Int16Array(START)
  from = new Int32Array(START)
  next = new Int32Array(START)
  late: Int32Array

  constructor(
    sets: number,
    readonly width: number
  ) {
    this.heads = new Int32Array(sets).fill(-1)
    this.late = new Int32Array(START * width)
  }

  room(): void {
    if (this.count < this.lot.length) return
    const length = 2 * this.lot.length
    const longer = <Values extends { set(from: Values): void }>(to: Values, from: Values): Values => {
      to.set(from)
      return to
    }
    this.overAtMs = longer(new Float64Array(length), this.overAtMs)
    this.lot = longer(new Int8Array(length), this.lot)
    this.kind = longer(new Int16Array(length), this.kind)
    this.from = longer(new Int32Array(length), this.from)
    this.next = longer(new Int32Array(length), this.next)
    this.late = longer(new Int32Array(length * this.width), this.late)
  }

  /** The one just written stays, unless another of its set and lot is nowhere later. */
  keep(set: number): boolean {
    const made = this.count
    let kept = -1
    for (let other = this.heads[set] ?? -1; other >= 0;) {
      const next = this.next[other] ?? -1
      if (this.covers(other, made)) return false
      if (!this.covers(made, other)) {
        kept = other
      } else if (kept < 0) this.heads[set] = next
      else this.next[kept] = next
      other = next
    }
    this.next[made] = this.heads[set] ?? -1
    this.heads[set] = made
    this.count++
    return true
  }

  private covers(a: number, b: number): boolean {
    if (this.lot[a] !== this.lot[b] || (this.overAtMs[a] ?? 0) > (this.overAtMs[b] ?? 0)) return false
    for (let g = 0; g < this.width; g++)
      if ((this.late[a * this.width + g] ?? 0) > (this.late[b * this.width + g] ?? 0)) return false
    return true
  }
}
