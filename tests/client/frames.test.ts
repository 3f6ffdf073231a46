import { describe, expect, it } from 'vitest'
import { inFrames } from '../../client/frames.ts'

/* No outside source: what is done when follows from the turns alone. */

/** Frames that come when they are asked to. */
function film() {
  const wanted: (() => void)[] = []
  const done: string[] = []
  const frames = inFrames((work) => wanted.push(work))
  const piece = (name: string) => () => {
    done.push(name)
  }
  const frame = () => {
    const works = wanted.splice(0)
    for (const work of works) work()
    return works.length
  }
  return { frames, done, piece, frame }
}

describe('what is put on the page in pieces', () => {
  it('comes one a frame, in turn, and asks for no frame when nothing waits', () => {
    const { frames, done, piece, frame } = film()
    frames.ask(piece('rows'))
    frames.ask(piece('tankers'))
    expect(done).toEqual([])
    expect(frame()).toBe(1)
    expect(done).toEqual(['rows'])
    frame()
    expect(done).toEqual(['rows', 'tankers'])
    expect(frame()).toBe(0)
  })

  it('is done once however often it was asked, and where it was asked first', () => {
    const { frames, done, piece, frame } = film()
    const [rows, tankers] = [piece('rows'), piece('tankers')]
    for (const one of [rows, tankers, rows]) frames.ask(one)
    for (let n = 0; n < 4; n += 1) frame()
    expect(done).toEqual(['rows', 'tankers'])
  })

  it('waits for no piece that asks again for itself', () => {
    const { frames, done, piece, frame } = film()
    const rows = () => {
      done.push('rows')
      frames.ask(rows)
    }
    frames.ask(rows)
    frames.ask(piece('tankers'))
    for (let n = 0; n < 3; n += 1) frame()
    expect(done).toEqual(['rows', 'tankers', 'rows'])
  })

  it('goes before all that waits where it may not wait, and is forgotten when it is dropped', () => {
    const { frames, done, piece, frame } = film()
    const [rows, order, gone] = [piece('rows'), piece('order'), piece('gone')]
    for (const one of [gone, rows, order]) frames.ask(one)
    frames.ask(order, true)
    frames.drop(gone)
    for (let n = 0; n < 4; n += 1) frame()
    expect(done).toEqual(['order', 'rows'])
  })

  it('waits for no more than two that may not wait, however often those are asked', () => {
    const { frames, done, piece, frame } = film()
    const [rows, tankers, order, rest] = [piece('rows'), piece('tankers'), piece('order'), piece('rest')]
    for (let n = 0; n < 6; n += 1) {
      for (const one of [rows, tankers]) frames.ask(one)
      for (const one of [rest, order]) frames.ask(one, true)
      frame()
    }
    expect(done).toEqual(['rest', 'order', 'rows', 'rest', 'order', 'tankers'])
  })

  it('keeps nobody waiting for what was done before where nothing waited', () => {
    const { frames, done, piece, frame } = film()
    const [rows, order, rest] = [piece('rows'), piece('order'), piece('rest')]
    for (let n = 0; n < 2; n += 1) {
      frames.ask(rest, true)
      frames.ask(order, true)
      for (let m = 0; m < 2; m += 1) frame()
    }
    frames.ask(rows)
    frames.ask(rest, true)
    frame()
    expect(done).toEqual(['rest', 'order', 'rest', 'order', 'rest'])
  })
})
