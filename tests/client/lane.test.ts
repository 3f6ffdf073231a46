import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import TimeLane from '../../client/parts/TimeLane.vue'
import { drawnShift, laneFrame, laneMarks, laneShift, laneSlot, markStep } from '../../client/lane.ts'
import { pictureKey } from '../../client/lane-picture.ts'
import type { SlotView } from '../../shared/contracts/view.ts'
import { NOW_MS, slotView } from './fixture.ts'

/* No outside source: where things stand in a lane follows from their times alone. */

const MIN = 60_000
const slot = slotView({ shipId: 'alder-22' })
const lane = (over: Partial<SlotView>, nowMs = NOW_MS) =>
  mount(TimeLane, {
    props: { slotView: { ...slot, ...over }, later: [], nowMs, minutes: 60, unit: 'lb', station: 'Kelp boom' }
  })

describe('a lane', () => {
  it('shows an instant where it lies between now and its end, wherever the strip was drawn from', () => {
    for (const nowMs of [NOW_MS, NOW_MS + 123_456, NOW_MS + 599_999, NOW_MS + 601_000]) {
      const frame = laneFrame(nowMs, 60)
      const { contactAt, endsAt } = laneSlot(slot, frame)
      const shown = (share: number) => share - laneShift(frame, nowMs)
      expect(shown(contactAt)).toBeCloseTo((slot.contactAtMs - nowMs) / (60 * MIN), 12)
      expect(shown(endsAt)).toBeCloseTo((slot.disconnectAtMs - nowMs) / (60 * MIN), 12)
    }
  })

  it('moves its strip in steps that nobody sees, the nearest to where it is', () => {
    for (const afterMs of [0, 1_000, 1_300, 2_499, 123_456, 599_999]) {
      const frame = laneFrame(NOW_MS + afterMs, 60)
      const awayMs = (drawnShift(frame, NOW_MS + afterMs) - laneShift(frame, NOW_MS + afterMs)) * 60 * MIN
      // Half of two and a half seconds, a sixth of a pixel of a lane of 480.
      expect(Math.abs(awayMs)).toBeLessThanOrEqual(1_250)
    }
  })

  it('moves its strip and nothing else from one picture to the next, and not that for less than is seen', async () => {
    const shown = lane({})
    const strip = shown.find('.strip')
    const [drawn, moved] = [strip.element.innerHTML, strip.attributes('style')]
    const block = strip.find('.block').element
    await shown.setProps({ nowMs: NOW_MS + 1_000, slotView: { ...slot } })
    expect(strip.attributes('style')).toBe(moved)
    await shown.setProps({ nowMs: NOW_MS + 5_000, slotView: { ...slot } })
    expect(strip.element.innerHTML).toBe(drawn)
    expect(strip.find('.block').element).toBe(block)
    // Five seconds of an hour's lane.
    expect(strip.attributes('style')).toContain(`translateX(${String(-100 / 720)}%)`)
  })

  it('is drawn anew when its slot comes otherwise', async () => {
    const shown = lane({})
    await shown.setProps({ slotView: { ...slot, contactAtMs: slot.contactAtMs + MIN } })
    expect(shown.find('[data-figure="contact"]').text()).toBe('12:05:01Z')
    await shown.setProps({ slotView: { ...slot, pinned: true } })
    expect(shown.text()).toContain('pinned')
  })

  it('keeps what is past at the left edge, off the strip', () => {
    const past = lane({ latestContactAtMs: NOW_MS - MIN, pastS: 300, state: 'missed' })
    expect(past.find('.strip .bracket').exists()).toBe(false)
    expect(past.find('.bracket.past').exists()).toBe(true)
    expect(past.text()).toContain('past by 05:00')
    expect(lane({}).find('.strip .bracket').exists()).toBe(true)
  })

  it('says each of its figures once', () => {
    const beyond = {
      startAtMs: NOW_MS + 70 * MIN,
      contactAtMs: NOW_MS + 72 * MIN,
      latestContactAtMs: NOW_MS + 80 * MIN
    }
    for (const over of [{}, { latestContactAtMs: NOW_MS - MIN }, beyond, { disconnectAtMs: NOW_MS - 1 }]) {
      const shown = lane(over)
      expect(shown.findAll('[data-figure="contact"]')).toHaveLength(1)
      expect(shown.findAll('[data-figure="latest-contact"]')).toHaveLength(1)
    }
  })
})

describe('the marks of a lane', () => {
  it('are the whole ten minutes in it, and on the strip one each ten minutes from where it begins', () => {
    expect(laneMarks(NOW_MS + MIN, 30 * MIN).map(({ atMs }) => (atMs - NOW_MS) / MIN)).toEqual([10, 20, 30])
    // A strip begins at one of them.
    const frame = laneFrame(NOW_MS + 13 * MIN, 30)
    expect(markStep(frame) * 30).toBeCloseTo(10, 12)
    expect(frame.originMs % (10 * MIN)).toBe(0)
  })
})

describe('two pictures with one key', () => {
  const key = (over: Partial<SlotView>, nowMs = NOW_MS) =>
    pictureKey({
      ...{ frame: laneFrame(nowMs, 60), slot: { ...slot, ...over }, later: [] },
      ...{ unit: 'lb', station: 'Kelp boom', draft: false }
    })

  it('differ in nothing that is shown', () => {
    expect(key({}, NOW_MS + 9_000)).toBe(key({}))
    expect(key({ fuelAtPushKg: 1 })).toBe(key({}))
    const shown: Partial<SlotView>[] = [
      { contactAtMs: slot.contactAtMs + 1_000 },
      { onLoadKg: slot.onLoadKg + 10 },
      { latestContactAtMs: (slot.latestContactAtMs ?? 0) - 1_000 },
      { pastS: 10 },
      { pinned: true },
      { state: 'in contact' },
      { disconnectAtMs: slot.disconnectAtMs + 1_000 },
      { pushAtMs: slot.pushAtMs + 1_000 }
    ]
    for (const over of shown) expect(key(over), JSON.stringify(over)).not.toBe(key({}))
  })
})
